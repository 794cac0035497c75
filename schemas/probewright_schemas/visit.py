"""The schemas of a visit planned beforehand: what is asked, and what is answered."""

from __future__ import annotations

from probewright_schemas import records, visit_records
from probewright_schemas.base import RecordSchema
from probewright_schemas.case import MOST_NAMES, MOST_READINGS, CaseSchema
from probewright_schemas.fields import Choice, Count, Flag, Item, Keyed, Listing, Number, Text
from probewright_schemas.results import (
    NOTICE,
    PackIdentitySchema,
    PlannerNoteSchema,
    StepSchema,
    array,
    nested,
    number,
    probability,
    texts,
    words,
)

#: Parts that anybody carries to a job.
_MOST_PARTS = 1000


class SeenReadingSchema(RecordSchema):
    """What was seen before the visit: an outcome of a test that is looked at, not measured."""

    record = records.Reading
    closed = True
    test = Text("The test, an id of the family; one that is seen.", example="control_lock", required=True)
    seen = Text("What was seen, an outcome of the test.", example="off", required=True)
    state = Text("The state it was seen in, an id of the family.", example="live")


class VisitRequestSchema(CaseSchema):
    """What is known of a job before the visit: a case without measurements and repairs, and what may be carried."""

    record = visit_records.VisitRequest
    rules = ()

    class Meta(CaseSchema.Meta):
        """Options of marshmallow."""

        exclude = ("meters", "tech_sheet", "repairs_done", "effort", "day")

    readings = Listing(
        Item(SeenReadingSchema, "One observation."),
        "What was seen, such as by the customer, in the order it was.",
        example=[{"test": "control_lock", "seen": "off", "state": "live"}],
        most=MOST_READINGS,
    )
    budget = Number(
        "Money that the carried parts may cost together; without it no limit.",
        example=150, unit="currency of the costs", least=0, most=1e9,
    )  # fmt: skip
    most_parts = Count("How many parts may be carried; without it no limit.", example=4, most=_MOST_PARTS)
    asked = Listing(
        Text("A question, an id of the family.", example="gas_smell_now"),
        "Questions that were put already, whatever the answer: they are not put again.",
        example=["gas_smell_now"],
        most=MOST_NAMES,
        unique=True,
    )


class CaseFragmentSchema(RecordSchema):
    """Members to add to those of a case; what would be empty is left out."""

    record = visit_records.CaseFragment
    options = Keyed(words("The value.", "propane"), "Options to set.", example={"fuel": "propane"})
    complaints = texts("Complaints to add.", "bake_does_not_light", required=False)
    working = texts("Functions to add as working.", "surface_burners_light", required=False)
    readings = Listing(
        Item(SeenReadingSchema, "One observation."),
        "Readings to add.",
        example=[{"test": "control_lock", "seen": "off", "state": "live"}],
    )


class AnswerChoiceSchema(RecordSchema):
    """One answer to a question."""

    record = visit_records.AnswerChoice
    id = words("The answer.", "shown")
    text = words("The answer, as a customer gives it.", "Yes.")
    adds = Item(
        CaseFragmentSchema, "What it adds to the case.", example={"complaints": ["bake_does_not_light"]}, required=True
    )
    probability = probability("How likely it is, by what is known so far.", 0.12)
    stop = nested(StepSchema, "What the customer is told at once when this is the answer; nobody drives.")


class CustomerQuestionSchema(RecordSchema):
    """A question for the customer."""

    record = visit_records.CustomerQuestion
    id = words("The question.", "lock_sign")
    text = words("The question, in words for a lay person.", "Does the display show a lock sign?")
    why = words("Its reason, in plain words.", "A locked control does nothing, and needs no repair.")
    answers = array(AnswerChoiceSchema, "The answers that are left open, and last that the customer does not know.")
    value = number(
        "What asking saves on average; absent where safety asks it, whatever it saves.", 9.5, "currency of the costs"
    )


class PlannedPartSchema(RecordSchema):
    """A part that the job may use, and whether to carry it."""

    record = visit_records.PlannedPart
    part = words("The part.", "bake_igniter")
    title = words("The part, for a person.", "Bake igniter")
    price = number("Its price.", 48, "currency of the costs", required=True)
    carry = Flag("Whether to carry it.", example=True, required=True)
    probability_used = probability("Probability that the job uses it when it is at hand.", 0.39, required=True)
    ends_with = probability(
        "Probability that the visit ends the job when the other carried parts and this one are at hand.",
        0.83, required=True,
    )  # fmt: skip
    ends_without = probability("The same when this one is not at hand.", 0.43, required=True)
    on_van = Flag(
        "Whether the shop has it on the van anyway, so that it is not chosen: it counts toward neither the budget nor "
        "the number of parts.", example=False, required=True,
    )  # fmt: skip


class ToolChanceSchema(RecordSchema):
    """An instrument that the visit may need."""

    record = visit_records.ToolChance
    tool = words("The instrument, as the family's tests name it.", "multimeter")
    probability = probability("Probability that the visit needs it, closing checks included.", 0.74, required=True)


class SkillChanceSchema(RecordSchema):
    """A skill or licence that the visit may need."""

    record = visit_records.SkillChance
    skill = words("The skill, as the family's tests and repairs name it.", "gas_licence")
    probability = probability("Probability that the visit needs it, closing checks included.", 0.13, required=True)


class VisitMinutesSchema(RecordSchema):
    """How long the visit takes on the spot, until the job is proven or handed over."""

    record = visit_records.VisitMinutes
    expected = number("Expected minutes.", 95, "min", required=True)
    low = number("Nine visits in ten take more.", 45, "min", required=True)
    high = number("One visit in ten takes more.", 170, "min", required=True)
    closing_checks = number("Of the expected minutes, those of closing checks.", 30, "min", required=True)


class WorkItemSchema(RecordSchema):
    """A test or repair that the visit may come to."""

    record = visit_records.WorkItem
    kind = Choice("What it is.", ("test", "repair"), example="test", required=True)
    id = words("The test or repair.", "bake_igniter_glow")
    title = words("The same, for a person.", "Glow of the bake igniter")
    minutes = number("Minutes of work and way, on average.", 12, "min", required=True)
    probability = probability("Probability that the visit comes to it.", 0.6, required=True)


class WorkGroupSchema(RecordSchema):
    """Work that is done in one state and place."""

    record = visit_records.WorkGroup
    state = words("The state to be in.", "live_gas_off")
    zone = words("Where.", "oven_cavity", required=False)
    steps = texts("The way there, in order.", "Shut the gas at the appliance valve.")
    work = array(WorkItemSchema, "What is done there, in the order in which it is come to.")
    cautions = texts("What to mind there.", "Mains voltage: clip the probes before power is restored.")


class FaultChanceSchema(RecordSchema):
    """A fault, and how likely it is."""

    record = visit_records.FaultChance
    fault = words("The fault.", "bake_igniter_weak")
    title = words("The fault, for a person.", "Bake igniter too weak to open the valve")
    probability = probability("Probability that it is present, alone or with another.", 0.4, required=True)


class VisitPlanSchema(RecordSchema):
    """The visit, planned before anybody drives."""

    record = visit_records.VisitPlan
    reference = words("The case's own name for the job.", "job-1042", required=False)
    pack = nested(PackIdentitySchema, "Which model answered.", required=True)
    stop = nested(StepSchema, "What the customer is to do at once: a hazard stops everything, and nothing is planned.")
    questions = array(CustomerQuestionSchema, "What to ask the customer: first what safety asks, then what saves most.")
    parts = array(PlannedPartSchema, "Parts to carry, and others that the job may want, the likeliest first.")
    tools = array(ToolChanceSchema, "Instruments to bring, the likeliest first.")
    skills = array(SkillChanceSchema, "Skills and licences that may be needed, the likeliest first.")
    minutes = nested(VisitMinutesSchema, "How long the visit takes.")
    first_visit_probability = probability("Probability that the visit ends the job with the carried parts.", 0.83)
    expected_cost = number(
        "Expected cost to a proven repair with the carried parts, as a diagnosis reckons it.", 142,
        "currency of the costs",
    )  # fmt: skip
    order = array(WorkGroupSchema, "The work by state and place, in the order in which it is done.")
    likeliest = array(FaultChanceSchema, "The likeliest faults.")
    planner = nested(PlannerNoteSchema, "How the plan was made.")
    cautions = texts("What to mind throughout.", "Two people lift a cooktop.")
    assumptions = texts("What was assumed for want of data.", "supply voltage 120 V")
    notice = words("Applies to every answer.", NOTICE)
