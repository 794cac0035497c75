"""The schemas of a shop's file: what it lays over families, and records of its own.

They say what a file may hold and of which type it is.  What names mean is known only to the family, and checked there.
"""

from __future__ import annotations

from probewright_schemas.base import RecordSchema
from probewright_schemas.fields import Choice, Flag, Item, Listing, Text
from probewright_schemas.figure_fields import KINDS_OF_SPREAD, KINDS_OF_TEST
from probewright_schemas.shop_fields import (
    GivenSchema,
    ShopFigure,
    Tagged,
    amount,
    by_id,
    chance,
    chances,
    ids,
    listed,
    named,
    texts,
    told,
    when,
)  # fmt: skip


class SpreadSchema(GivenSchema):
    """A distribution."""

    of = "spread"
    kind = Choice("Its form.", KINDS_OF_SPREAD, example="normal", required=True)
    first = ShopFigure("Lower bound, mean or median.", required=True)
    second = ShopFigure("Upper bound, standard deviation or geometric standard deviation.", required=True)


def _spread(description: str, *, required: bool = False) -> Item:
    return Item(SpreadSchema, description, required=required)


class LimitSchema(GivenSchema):
    """Limits of a test."""

    of = "limit"
    low = ShopFigure("Lowest sound value, in the test's unit.")
    high = ShopFigure("Highest sound value, in the test's unit.")
    scales_with_supply = Flag("Whether it is for the nominal supply and scales with it.", example=True)
    when = when()


class LimitOfTestSchema(LimitSchema):
    """Limits, and the test that they are of."""

    of = "limit_of_test"
    test = named("The test.", required=True)


class OutcomeRowSchema(GivenSchema):
    """A row of a stated table."""

    of = "outcome_row"
    test = named("The test.", required=True)
    fault = named("The fault; the row of a sound appliance where it is left out.")
    chances = chances("The probability of each outcome.", required=True)
    when = when()


class RequirementSchema(GivenSchema):
    """A circuit value that something needs."""

    of = "requirement"
    circuit = named("The circuit.", required=True)
    of_ = Text("The part whose value it is.", example="bake_valve", data_key="of", required=True)
    quantity = Choice("Current in A or voltage in V.", ("current", "voltage"), example="current", required=True)
    command = named("What the controls are set to.", required=True)
    state = named("The state.", required=True)
    at_least = _spread("The least that will do; this or `at_most`.")
    at_most = _spread("The most that will do; this or `at_least`.")
    when = when()


class WithoutSchema(GivenSchema):
    """An outcome that is certain when something is not there."""

    of = "without"
    requirement = Item(RequirementSchema, "What must be there.", required=True)
    outcome = named("What is seen without it.", required=True)


class BetweenSchema(GivenSchema):
    """A meter between two nodes."""

    of = "between"
    circuit = named("The circuit.", required=True)
    plus = named("Node of the first probe.", required=True)
    minus = named("Node of the second probe.", required=True)
    apart = ids("Parts that are disconnected for it.")
    when = when()


class ThroughSchema(GivenSchema):
    """A clamp around a part."""

    of = "through"
    circuit = named("The circuit.", required=True)
    part = named("The part.", required=True)
    when = when()


class ShowsSchema(GivenSchema):
    """What an eye sees of a circuit value."""

    of = "shows"
    circuit = named("The circuit.", required=True)
    of_ = Text("The part whose value is seen.", example="bake_igniter", data_key="of", required=True)
    quantity = Choice("Current in A or voltage in V.", ("current", "voltage"), example="current", required=True)
    edges = listed(SpreadSchema, "Where one outcome ends and the next begins.", required=True)
    outcomes = Listing(
        named("An outcome."), "Outcomes from the lowest value upwards.", example=["none", "bright"], required=True
    )
    when = when()


class StatedSchema(GivenSchema):
    """A distribution of the reading."""

    of = "stated"
    healthy = _spread("Of a sound appliance.", required=True)
    by_fault = by_id(_spread("Under one fault."), "Under named faults.")
    relative_to = Choice("The condition that it is relative to.", ("set_point", "ambient"), example="set_point")
    when = when()


class TableSchema(GivenSchema):
    """Probabilities of what is seen."""

    of = "table"
    healthy = chances("Of a sound appliance.", required=True)
    by_fault = by_id(chances("Under one fault."), "Under named faults.")
    without = listed(WithoutSchema, "Outcomes that are certain without something.")
    when = when()


_MODELS = (BetweenSchema, ThroughSchema, ShowsSchema, StatedSchema, TableSchema)


class TestSchema(GivenSchema):
    """A test of the shop's own."""

    __test__ = False  # not a pytest class

    of = "test"
    id = named("The id.", required=True)
    title = told("Its name.", required=True)
    kind = Choice("What is measured, or `seen`.", KINDS_OF_TEST, example="seen", required=True)
    states = ids("States it may be done in, the recommended one first.", required=True)
    zone = named("Where.", required=True)
    minutes = amount("Minutes that it takes.", required=True)
    models = Listing(Tagged(_MODELS, "A model."), "What it should give.", example=[], required=True)
    unit = named("Unit of the answer.")
    command = named("What the controls are set to.")
    outcomes = ids("What may be seen, the healthy outcome first.")
    limits = listed(LimitSchema, "Limits.")
    needs = ids("Conditions without which it decides nothing.")
    measures = Choice("The condition that it is a reading of.", ("supply_voltage",), example="supply_voltage")
    instrument = named("The instrument it takes.")
    skill = named("The skill it takes.")
    steps = texts("How.")
    cautions = texts("What to mind.")
    closing = Flag("Whether it is done to prove a repair only.", example=False)
    reported = Flag("Whether the customer tells it.", example=False)
    when = when()


class FaultSchema(GivenSchema):
    """A fault of the shop's own."""

    of = "fault"
    id = named("The id.", required=True)
    title = told("Its name.", required=True)
    rate = chance("Probability that an appliance on which a call is made has it.", required=True)
    part = named("The part it is in.")
    excludes = ids("Faults that cannot be there at the same time.")
    when = when()


class RepairSchema(GivenSchema):
    """A repair of the shop's own."""

    of = "repair"
    id = named("The id.", required=True)
    title = told("Its name.", required=True)
    cures = chances("For each fault, the probability that it is cured.", required=True)
    minutes = amount("Minutes that it takes.", required=True)
    state = named("The state.", required=True)
    zones = ids("What must be opened.", required=True)
    part = named("The part it takes.")
    skill = named("The skill it takes.")
    steps = texts("How.")
    cautions = texts("What to mind.")
    closing_checks = ids("What proves it.")
    when = when()


class PartSchema(GivenSchema):
    """A part of the shop's own."""

    of = "part"
    id = named("The id.", required=True)
    title = told("Its name.", required=True)
    price = amount("Its price.", required=True)


class ClosingSchema(GivenSchema):
    """A closing check of the shop's own."""

    of = "closing"
    id = named("The id.", required=True)
    text = told("The check.", required=True)
    test = named("The test that shows it.")
    limits = listed(LimitSchema, "Limits that prove it.")
    passes = ids("Outcomes that prove it.")
    guarded = Flag("Whether safety depends on it.", example=False)


class ComplaintSchema(GivenSchema):
    """A complaint of the shop's own."""

    of = "complaint"
    id = named("The id.", required=True)
    title = told("Its name.", required=True)
    if_working = chance("Probability that it is said with nothing behind it.", required=True)
    function = named("The function that it is about.")
    if_failed = chance("Probability that it is said when the function fails.")
    shown_by = chances("For each fault, the probability that it brings it about.")
    cautions = texts("What to mind.")
    when = when()


class OpenSchema(GivenSchema):
    """It conducts no more."""

    of = "open"
    part = named("The part.", required=True)


class ShortSchema(GivenSchema):
    """It is bridged."""

    of = "short"
    part = named("The part.", required=True)
    ohms = _spread("Resistance, ohm.", required=True)


class DriftSchema(GivenSchema):
    """Its impedance is multiplied."""

    of = "drift"
    part = named("The part.", required=True)
    factor = _spread("The factor.", required=True)


class ContactSchema(GivenSchema):
    """A bad contact in series."""

    of = "contact"
    part = named("The part.", required=True)
    ohms = _spread("Resistance, ohm.", required=True)


class LeakSchema(GivenSchema):
    """An insulation failure."""

    of = "leak"
    a = named("Node at one end.", required=True)
    b = named("Node at the other end.", required=True)
    ohms = _spread("Resistance, ohm.", required=True)


class StuckSchema(GivenSchema):
    """A switch that stays as it is."""

    of = "stuck"
    switch = named("The switch.", required=True)
    position = Choice("Where it is stuck.", ("open", "closed"), example="open", required=True)


class SwapSchema(GivenSchema):
    """Two parts' ends exchanged."""

    of = "swap"
    first = named("The first part.", required=True)
    second = named("The second part.", required=True)


class LevelSchema(GivenSchema):
    """A source's voltage multiplied, or turned."""

    of = "level"
    source = named("The source.", required=True)
    factor = _spread("The factor.", required=True)
    turned = ShopFigure("Degrees added to its phase.")


_CHANGES = (OpenSchema, ShortSchema, DriftSchema, ContactSchema, LeakSchema, StuckSchema, SwapSchema, LevelSchema)


class EffectsSchema(GivenSchema):
    """How a fault shows in what is there."""

    of = "effects"
    fault = named("The fault.", required=True)
    fails_with = chances("Functions that it may defeat.")
    shown_by = chances("Complaints that it may bring about.")
    outcomes = by_id(chances("Outcomes."), "Rows that it adds to the tables of tests.")
    stated = by_id(_spread("The reading."), "What tests read under it.")
    cured_by = chances("Repairs that may cure it.")
    changes = by_id(Listing(Tagged(_CHANGES, "A change."), "Changes.", example=[]), "What it does to circuits.")


class MinutesSchema(GivenSchema):
    """Minutes."""

    of = "minutes"
    tests = by_id(amount("Minutes."), "Of tests.")
    repairs = by_id(amount("Minutes."), "Of repairs.")
    zones = by_id(amount("Minutes."), "To open and close.")
    states = by_id(amount("Minutes."), "To get into a state.")


class CostsSchema(GivenSchema):
    """Costs."""

    of = "costs"
    labour_per_hour = amount("Labour, currency per hour.")
    callback = amount("A callback or referral, currency.")
    return_visit = amount("A second trip, currency.")
    verification_minutes = amount("Minutes to prove a repair.")


class SupplySchema(GivenSchema):
    """The supply."""

    of = "supply"
    nominal = amount("Nominal voltage, V.")
    usual = _spread("How it spreads where nobody measured it, V.")
    least = amount("Under this it is a fault, V.")
    most = amount("Over this it is a fault, V.")


class CautionsSchema(GivenSchema):
    """Cautions beside those that are there."""

    of = "cautions"
    family = texts("Told in every answer.")
    tests = by_id(texts("Cautions."), "Of tests.")
    repairs = by_id(texts("Cautions."), "Of repairs.")
    states = by_id(texts("Cautions."), "Of states.")
    zones = by_id(texts("Cautions."), "Of zones.")
    complaints = by_id(texts("Cautions."), "Of complaints.")


class ShopFamilySchema(GivenSchema):
    """What is laid over one family."""

    of = "overlay"
    van = ids("Parts on the van.")
    unknown_rate = chance("Probability of something that the pack does not know.")
    checklist = ids("Tests in the order in which the shop does them.")
    fault_rates = chances("Rates of faults.")
    option_shares = by_id(chances("Shares."), "Shares of builds.")
    minutes = Item(MinutesSchema, "Minutes.")
    part_prices = by_id(amount("A price."), "Prices of parts.")
    costs = Item(CostsSchema, "Costs.")
    supply = Item(SupplySchema, "The supply.")
    cautions = Item(CautionsSchema, "Cautions.")
    limits = listed(LimitOfTestSchema, "Limits.")
    outcomes = listed(OutcomeRowSchema, "Rows of stated tables.")
    faults = listed(FaultSchema, "Faults of the shop's own.")
    tests = listed(TestSchema, "Tests of the shop's own.")
    repairs = listed(RepairSchema, "Repairs of the shop's own.")
    parts = listed(PartSchema, "Parts of the shop's own.")
    closings = listed(ClosingSchema, "Closing checks of the shop's own.")
    complaints = listed(ComplaintSchema, "Complaints of the shop's own.")
    effects = listed(EffectsSchema, "How faults show in what is there.")


class ShopFileSchema(RecordSchema):
    """A shop's file."""

    record = dict
    layer = named("The layer's name; the file's where it is left out.")
    contract = Text("The version of the pack contract that it was written for.", example="1.1")
    families = by_id(Item(ShopFamilySchema, "What is laid over one family."), "Families by id.", required=True)
