"""The schemas of circuits, and of what is asked of them."""

from __future__ import annotations

from probewright_schemas.base import RecordSchema
from probewright_schemas.fields import Choice, Flag, Keyed
from probewright_schemas.figure_fields import (
    SpreadSchema,
    by_name,
    example_spread,
    figure,
    figures_of,
    id_field,
    spread,
    when_clause,
)
from probewright_schemas.results import array, nested, texts, words


class RequirementSchema(RecordSchema):
    """A circuit value that a function needs."""

    record = dict
    circuit = words("The circuit.", "bake")
    of = words("The part whose value it is.", "bake_valve")
    quantity = Choice("Effective current or voltage.", ("current", "voltage"), example="current", required=True)
    command = words("What the controls are set to.", "bake")
    state = words("The state.", "live")
    at_least = spread("The least that will do, if there is one.", 2.4, 2.6, required=False)
    at_most = spread("The most that will do, if there is one.", 0.05, 0.1, required=False)
    when = when_clause()


class LawSchema(RecordSchema):
    """How a part behaves."""

    record = dict
    kind = words("Its form.", "self_heating")
    spreads = by_name(
        SpreadSchema,
        "Parameters that spread, in ohm, henry, farad, kelvin as the form has it.",
        {"hot": example_spread(33, 38)},
    )
    figures = figures_of("Parameters that do not spread.", "heats_above", 100, inner="A parameter.")


class CircuitPartSchema(RecordSchema):
    """A part, switch or source between two nodes; which fields there are depends on `kind`."""

    record = dict
    kind = Choice("What it is.", ("part", "switch", "source"), example="part", required=True)
    id = id_field("bake_igniter")
    a = words("Node at one end.", "bake_feed")
    b = words("Node at the other end.", "bake_middle")
    law = nested(LawSchema, "How a part behaves.")
    like = words("A part that always has the same values.", "broil_igniter", required=False)
    closed_in = texts("Commands under which a switch is closed.", "bake", required=False)
    contact = spread("Resistance of a closed switch, ohm.", 0.01, 0.1, required=False)
    driven = Flag("Whether a switch moves only under power.", example=True)
    rests_closed = Flag("Whether a driven switch is closed without power.", example=False)
    volts = figure("Nominal effective voltage of a source, V.", 120, required=False)
    phase = figure("Phase of a source, degrees.", 180, required=False)
    when = when_clause()


class ChangeSchema(RecordSchema):
    """What a fault does to a circuit; which fields there are depends on `kind`."""

    record = dict
    kind = Choice(
        "The change.",
        ("open", "short", "drift", "contact", "leak", "stuck", "swap", "level"),
        example="drift",
        required=True,
    )
    part = words("The part.", "bake_igniter", required=False)
    switch = words("The switch.", "bake_contact", required=False)
    source = words("The source.", "line", required=False)
    first = words("The first of two swapped parts.", "cord_hot", required=False)
    second = words("The second of two swapped parts.", "neutral_conductor", required=False)
    a = words("Node at one end of a leak.", "sensor_plug_a", required=False)
    b = words("Node at the other end of a leak.", "chassis", required=False)
    position = Choice("Where a switch is stuck.", ("open", "closed"), example="open")
    ohms = spread("Resistance, ohm.", 4, 14, required=False)
    factor = spread("Factor on the impedance or voltage.", 1.1, 1.7, required=False)
    turned = figure("Degrees added to the phase of a source.", 60, required=False)


class CircuitSchema(RecordSchema):
    """A part of the wiring."""

    record = dict
    id = id_field("bake")
    reference = words("Node that counts as 0 V.", "earth")
    frequency = figure("Frequency, Hz.", 60)
    parts = array(CircuitPartSchema, "Parts, switches and sources.")
    changes = Keyed(
        array(ChangeSchema, "Changes.", required=False),
        "What each fault does to it.",
        example={"bake_igniter_open": [{"kind": "open", "part": "bake_igniter"}]},
        required=True,
    )
    when = when_clause()
