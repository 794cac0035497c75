"""The schemas of tests and of what they should give."""

from __future__ import annotations

from probewright_schemas.base import RecordSchema
from probewright_schemas.fields import Choice, Flag, Item, Keyed
from probewright_schemas.figure_fields import (
    KINDS_OF_TEST,
    FigureSchema,
    SpreadSchema,
    by_name,
    example_spread,
    figure,
    id_field,
    spread,
    title_field,
    when_clause,
)
from probewright_schemas.results import array, nested, texts, words
from probewright_schemas.wiring import RequirementSchema

_MOSTLY = {"value": 0.9, "basis": "from_memory"}


class LimitSchema(RecordSchema):
    """Limits that a standard or the trade sets."""

    record = dict
    low = figure("Lowest sound value, in the test's unit.", 3.2, required=False)
    high = figure("Highest sound value, in the test's unit.", 3.6, required=False)
    scales_with_supply = Flag("Whether it is for the nominal supply and scales with it.", example=False, required=True)
    when = when_clause()


class WithoutSchema(RecordSchema):
    """An outcome that is certain when something is not there."""

    record = dict
    requirement = nested(RequirementSchema, "What must be there.", required=True)
    outcome = words("What is seen without it.", "none")


class TestModelSchema(RecordSchema):
    """What a test should give; which fields there are depends on `kind`."""

    __test__ = False  # not a pytest class

    record = dict
    kind = Choice(
        "`between` two nodes, `through` a part, `shows` a circuit value to the eye, or `stated` or a `table`.",
        ("between", "through", "shows", "stated", "table"),
        example="through",
        required=True,
    )
    when = when_clause()
    circuit = words("The circuit.", "bake", required=False)
    plus = words("Node of the first probe.", "bake_feed", required=False)
    minus = words("Node of the second probe.", "neutral", required=False)
    apart = texts("Parts that are disconnected for it.", "oven_sensor", required=False)
    part = words("The part whose current it is.", "bake_igniter", required=False)
    of = words("The part whose value is seen.", "bake_igniter", required=False)
    quantity = Choice("Current in A or voltage in V.", ("current", "voltage"), example="current")
    edges = array(SpreadSchema, "Where one outcome ends and the next begins.", required=False)
    outcomes = texts("Outcomes from the lowest value upwards.", "none", required=False)
    spread = spread(
        "For a `stated` model, the reading of a sound appliance, in the test's unit.", 3.8, 4.2, required=False
    )
    spread_by_fault = by_name(
        SpreadSchema,
        "For a `stated` model, the reading under named faults.",
        {"regulator_pressure_wrong": example_spread(1, 3)},
        required=False,
    )
    chances = Keyed(
        Item(FigureSchema, "A probability."),
        "For a `table`, the probability of each outcome of a sound appliance.",
        example={"firm": _MOSTLY},
    )
    chances_by_fault = Keyed(
        Keyed(Item(FigureSchema, "A probability."), "Outcomes.", example={"loose": _MOSTLY}),
        "For a `table`, the same under named faults.",
        example={"bake_igniter_loose": {"loose": _MOSTLY}},
    )
    relative_to = Choice("The condition that the spread is relative to.", ("set_point", "ambient"), example="set_point")
    without = array(WithoutSchema, "Outcomes that are certain without something.", required=False)


class TestSchema(RecordSchema):
    """Something a technician measures or looks at."""

    __test__ = False  # not a pytest class

    record = dict
    id = id_field("bake_igniter_current")
    title = title_field("Current through the bake igniter")
    kind = Choice(
        "What is measured; `seen` for what is looked at.",
        KINDS_OF_TEST,
        example="current",
        required=True,
    )
    unit = words("Unit of the answer.", "A", required=False)
    states = texts("States it may be done in, the recommended one first.", "live_gas_off")
    zone = words("Where.", "rear_panel")
    command = words("What the controls are set to.", "bake")
    minutes = figure("Minutes that it takes, beside access and change of state.", 5)
    outcomes = texts("What may be seen, the healthy outcome first.", "white")
    limits = array(LimitSchema, "Limits that come before the model's own band.")
    needs = texts("Conditions without which it decides nothing.", "ambient")
    measures = words("The condition that it is itself a reading of.", "supply_voltage", required=False)
    instrument = words("The instrument it takes.", "clamp_meter", required=False)
    skill = words("The skill it takes.", "gas_licence", required=False)
    steps = texts("How.", "Clamp one conductor of the igniter.")
    cautions = texts("What to mind.", "Keep hands off the terminals while it is powered.")
    closing = Flag("Whether it is done to prove a repair only, never to find a fault.", example=False, required=True)
    reported = Flag("Whether the customer tells it, and no technician does it.", example=False, required=True)
    models = array(TestModelSchema, "What it should give: the first whose `when` holds.")
    when = when_clause()
