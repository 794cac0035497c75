"""The schemas of a family's description: what ``GET /v1/families/{family}`` answers."""

from __future__ import annotations

from probewright_schemas.base import RecordSchema
from probewright_schemas.fields import Choice, Flag, Keyed
from probewright_schemas.figure_fields import figure, figures_of, id_field, lists, spread, title_field, when_clause
from probewright_schemas.measuring import LimitSchema, TestSchema
from probewright_schemas.packs import FamilySummarySchema
from probewright_schemas.results import array, nested, number, texts, words
from probewright_schemas.wiring import CircuitSchema, RequirementSchema


class OptionValueSchema(RecordSchema):
    """One value of an option."""

    record = dict
    id = id_field("natural_gas")
    title = title_field("Natural gas")
    share = figure("Share of the appliances that have it, where the option applies.", 0.6)


class OptionSchema(RecordSchema):
    """A choice between builds of the appliance."""

    record = dict
    id = id_field("fuel")
    title = title_field("Fuel")
    values = array(OptionValueSchema, "Its values.")
    when = when_clause()


class StateSchema(RecordSchema):
    """A state in which tests and repairs are done."""

    record = dict
    id = id_field("live_gas_off")
    title = title_field("Powered, gas shut")
    powered = Flag("Whether the appliance has power.", example=True, required=True)
    gas_on = Flag("Whether gas can flow.", example=False, required=True)
    minutes = figure("Minutes to get there from another state.", 3)
    steps = texts("How to get there.", "Shut the gas at the appliance valve.")
    cautions = texts("What to mind in it.", "Mains voltage on bare terminals.")
    risk = number("Order from the safest state (0) upwards; no measure.", 1, "1", required=True)


class ZoneSchema(RecordSchema):
    """A place that must be opened to reach what is in it."""

    record = dict
    id = id_field("rear_panel")
    title = title_field("Behind the rear cover")
    minutes = figure("Minutes to open and close it, spent once.", 8)
    steps = texts("How to open it.", "Pull the range out.")
    cautions = texts("What to mind.", "Edges are sharp.")


class FunctionSchema(RecordSchema):
    """Something the appliance must do."""

    record = dict
    id = id_field("bake_lights")
    title = title_field("The bake burner lights")
    requires = array(RequirementSchema, "Circuit values that it needs.")
    fails_with = figures_of(
        "For each fault that can defeat it, the probability that it does.", "bake_valve_stuck", 0.95
    )
    fails_anyway = figure("Probability that it fails with nothing wrong that the pack knows of.", 0.002, required=False)
    when = when_clause()


class ComplaintSchema(RecordSchema):
    """What a customer says."""

    record = dict
    id = id_field("bake_does_not_light")
    title = title_field("The oven does not light in bake")
    if_working = figure("Probability that it is said with nothing behind it.", 0.01)
    function = words("The function that it is about.", "bake_lights", required=False)
    if_failed = figure("Probability that it is said when the function fails.", 0.9, required=False)
    shown_by = figures_of(
        "For each fault that it is a symptom of, the probability that the fault brings it about.", "gas_leak", 0.7
    )
    cautions = texts("What to mind whenever it is made.", "Carry a carbon monoxide meter.")
    when = when_clause()


class FaultSchema(RecordSchema):
    """Something that can be wrong."""

    record = dict
    id = id_field("bake_igniter_weak")
    title = title_field("Bake igniter too weak to open the valve")
    rate = figure("Probability that an appliance on which a call is made has it.", 0.05)
    part = words("The part it is in.", "bake_igniter", required=False)
    excludes = texts("Faults that cannot be there at the same time.", "bake_igniter_open")
    when = when_clause()


class RepairSchema(RecordSchema):
    """Something that may cure faults."""

    record = dict
    id = id_field("replace_bake_igniter")
    title = title_field("Replace the bake igniter")
    cures = figures_of(
        "For each fault, the probability that it is cured when this is done properly.", "bake_igniter_weak", 0.97
    )
    minutes = figure("Minutes that it takes, beside access and change of state.", 20)
    state = words("The state.", "isolated")
    zones = texts("What must be opened.", "oven_cavity")
    part = words("The part it takes.", "bake_igniter", required=False)
    skill = words("The skill it takes.", "gas_licence", required=False)
    steps = texts("How.", "Undo the two screws of the igniter.")
    cautions = texts("What to mind.", "Silicon carbide is brittle: hold the igniter by its base.")
    closing_checks = texts("What proves it.", "bake_lights_from_cold")
    when = when_clause()


class PartSchema(RecordSchema):
    """A part that can be carried and replaced."""

    record = dict
    id = id_field("bake_igniter")
    title = title_field("Bake igniter")
    price = figure("Price, in the currency of the costs.", 48)


class HazardSchema(RecordSchema):
    """A hazard that comes before everything else."""

    record = dict
    id = id_field("gas_escape")
    title = title_field("Gas may be escaping")
    kind = Choice("What is left to do.", ("stop", "refer"), example="stop", required=True)
    why = words("Why.", "Gas may be escaping.")
    complaints = texts("Complaints that raise it.", "gas_smell")
    seen = lists("Outcomes of tests that raise it.", {"gas_odour": ["present"]})
    above = figures_of(
        "Tests that raise it above a limit, in the test's unit.", "carbon_monoxide_air_free", 100, inner="A limit."
    )
    cleared_by = lists("Outcomes of tests that clear it, read afterwards.", {"gas_odour": ["none"]})
    steps = texts("What to do.", "Shut the gas, leave the switches alone, open the windows.")
    cautions = texts("What to mind.", "No flame and no switch near gas.")


class ClosingSchema(RecordSchema):
    """What must be shown before the job is left."""

    record = dict
    id = id_field("bake_current_in_band")
    text = words("The check, for a person.", "The igniter's current is in its band.")
    test = words("The test that shows it.", "bake_igniter_current", required=False)
    limits = array(LimitSchema, "Limits that prove it, where they are not those of the test.")
    passes = texts("Outcomes that prove it, where it is not the healthy one alone.", "none")
    guarded = Flag(
        "Whether safety depends on it, so that nothing but a reading that clearly conforms will do.", example=True,
        required=True,
    )


class AnswerSchema(RecordSchema):
    """One answer to a question for the customer, and what it adds to a case."""

    record = dict
    id = id_field("shown")
    text = words("The answer, as a customer gives it.", "Yes, there is a lock sign.")
    options = Keyed(
        words("The value.", "propane"), "Options that it tells.", example={"fuel": "propane"}, required=True
    )
    complaints = texts("Complaints that it makes.", "display_dead")
    working = texts("Functions that it says work.", "display_on")
    seen = Keyed(
        words("The outcome.", "on"), "Outcomes of tests that it tells.", example={"control_lock": "on"}, required=True
    )
    stop = words("The hazard that it raises.", "gas_escape", required=False)


class QuestionSchema(RecordSchema):
    """Something to ask the customer before a visit."""

    record = dict
    id = id_field("lock_sign")
    text = words("The question, in words for a lay person.", "Does the display show a lock sign?")
    answers = array(AnswerSchema, "The answers; that the customer does not know is always another.")
    why = words("Its reason, in plain words.", "A locked control does nothing, and needs no repair.")
    always = Flag("Whether safety asks it, whatever it saves.", example=False, required=True)
    when = when_clause()


class CostsSchema(RecordSchema):
    """Costs when a case gives none."""

    record = dict
    labour_per_hour = figure("Labour, currency per hour.", 95)
    callback = figure("A callback or referral, currency.", 120)
    return_visit = figure("A second trip, when a part is not at hand, currency.", 150)
    verification_minutes = figure("Minutes to prove a repair.", 10)


class TapSchema(RecordSchema):
    """Another nominal voltage of the same service."""

    record = dict
    nominal = figure("Nominal voltage, V.", 120)
    when = when_clause()


class SupplySchema(RecordSchema):
    """The supply."""

    record = dict
    nominal = figure("Nominal voltage, V.", 120)
    unmeasured = spread("How it spreads where nobody measured it, V.", 114, 126)
    least = figure("Under this it is a fault to find, V; without it 70 % of the nominal.", 100, required=False)
    most = figure("Over this it is a fault to find, V; without it 115 % of the nominal.", 132, required=False)
    taps = array(TapSchema, "Other nominal voltages, of builds that take another share of the service.", required=False)


class AcceptedSchema(RecordSchema):
    """A finding of the pack's review that its author accepts."""

    record = dict
    rule = words("The rule of the review.", "faults_alike")
    of = words("The record that it is about.", "faults supply_cord_open and board_wire_open", data_key="record")
    reason = words("Why it stands.", "Both are looked at in one place.")


class FamilySchema(FamilySummarySchema):
    """Everything a pack says about an appliance family, each number with its basis."""

    supply = nested(SupplySchema, "The supply.", required=True)
    ambient = spread("Temperature at a part where nobody gave it, degC.", 15, 30)
    options = array(OptionSchema, "Choices between builds.")
    states = array(StateSchema, "States that tests and repairs are done in.")
    zones = array(ZoneSchema, "Places that must be opened.")
    circuits = array(CircuitSchema, "The wiring.")
    functions = array(FunctionSchema, "What the appliance must do.")
    complaints = array(ComplaintSchema, "What customers say.")
    tests = array(TestSchema, "What can be measured or seen.")
    faults = array(FaultSchema, "What can be wrong.")
    parts = array(PartSchema, "What can be replaced.")
    repairs = array(RepairSchema, "What can be done.")
    hazards = array(HazardSchema, "What comes before everything else.")
    closing_checks = array(ClosingSchema, "What must be shown before a job is left.")
    costs = nested(CostsSchema, "Costs when a case gives none.", required=True)
    questions = array(QuestionSchema, "What to ask the customer before a visit.")
    checklist = texts("Tests in the order in which the trade usually does them.", "outlet_voltage")
    van = texts("Parts that are on the shop's van.", "bake_igniter", required=False)
    unknown_rate = figure("Prior probability of something that the pack does not know.", 0.02)
    cautions = texts("What to mind throughout.", "Two people lift a cooktop.")
    notice = words("Applies to every answer.", "Follow local codes; leave licensed work to licensed people.")
    accepted = array(AcceptedSchema, "What the pack's review found and its author accepts, each with the reason.")
