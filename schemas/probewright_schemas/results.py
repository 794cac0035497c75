"""The schemas of answers."""

from __future__ import annotations

import math
from collections.abc import Container
from typing import Any, get_args

from probewright_schemas import records
from probewright_schemas.base import RecordSchema
from probewright_schemas.fields import Choice, Flag, Item, Keyed, Listing, Number, Words


def number(description: str, example: float, unit: str, *, required: bool = False) -> Number:
    """A number of an answer, unbounded."""
    return Number(description, example=example, unit=unit, least=-math.inf, most=math.inf, required=required)


def probability(description: str, example: float, *, required: bool = False) -> Number:
    """A probability."""
    return Number(description, example=example, unit="1", least=0, most=1, required=required)


def words(description: str, example: str, *, required: bool = True, data_key: str | None = None) -> Words:
    """A string of an answer."""
    return Words(description, example=example, required=required, data_key=data_key)


def texts(description: str, example: str, *, required: bool = True) -> Listing:
    """An array of strings."""
    return Listing(words("One of them.", example), description, example=[example], required=required)


def nested(schema: type[Any], description: str, *also: str, required: bool = False) -> Item:
    """An object; its example shows what it must have, and ``also`` some of what it may have."""
    return Item(schema, description, example=example_of(schema(), also), required=required)


def array(schema: type[Any], description: str, *, required: bool = True) -> Listing:
    """An array of objects."""
    return Listing(Item(schema, "One of them."), description, example=[example_of(schema())], required=required)


def example_of(schema: RecordSchema, also: Container[str] = ()) -> dict[str, object]:
    """An object with the example of each field that it must have, and of some others."""
    return {
        field.data_key or name: field.metadata["examples"][0]
        for name, field in schema.fields.items()
        if field.required or name in also
    }


NOTICE = "Follow local codes; leave licensed work to licensed people."


class PackIdentitySchema(RecordSchema):
    """Which model answered."""

    record = records.PackIdentity
    family = words("The appliance family.", "gas_range")
    version = words("The pack's own version.", "1.0.0")
    digest = words("Changes with any number in the pack.", "sha256:9f2c...")


class FindingSchema(RecordSchema):
    """Something to know about a reading, and what would mend it."""

    record = records.Finding
    code = words("Stable name of the finding.", "condition_missing")
    severity = Choice(
        "A `reject` takes the reading out of the evidence.",
        get_args(records.Severity),
        example="doubt",
        required=True,
    )
    message = words("The finding, for a person.", "This reading decides nothing without the temperature at the part.")
    remedy = words("What would mend it.", "Give the temperature at the sensor as ambient.", required=False)


class UsedConditionSchema(RecordSchema):
    """A condition that a band was computed for."""

    record = records.UsedCondition
    value = number("The value used.", 21.1, "as `unit` says", required=True)
    unit = words("Its unit.", "degC")
    source = words(
        "Where it is from: `reading`, `case`, the test that measured it, or `assumed`.", "case", data_key="from"
    )


class ExpectedSchema(RecordSchema):
    """What a healthy appliance should read here."""

    record = records.Expected
    basis = words("The weakest basis of the numbers that it rests on.", "common_practice")
    unit = words("Unit of `low` and `high`.", "A", required=False)
    low = number("Lowest sound value; absent when that side is open.", 3.2, "as `unit` says")
    high = number("Highest sound value; absent when that side is open.", 3.6, "as `unit` says")
    seen = texts("Sound outcomes, where it is seen and not measured.", "white", required=False)
    source = words("Where the numbers are from.", "tech sheet of the case", required=False)
    conditions = Keyed(
        Item(UsedConditionSchema, "One condition."),
        "The conditions that the band holds for, by name.",
        example={"supply_voltage": {"value": 121, "unit": "V", "from": "case"}},
        required=True,
    )


class CheckedReadingSchema(RecordSchema):
    """A reading after validation, in the unit that it was given in."""

    record = records.CheckedReading
    test = words("The test.", "bake_igniter_current")
    verdict = Choice(
        "`within` or `outside` the expected band, `inconclusive` between, or `rejected` as evidence.",
        get_args(records.Verdict),
        example="outside",
        required=True,
    )
    value = number("The reading; the mean of repeated ones.", 2.6, "as `unit` says")
    as_read = number("What it was before its correction; absent where it has none.", 2.45, "as `unit` says")
    unit = words("Unit of the value, as the case gave it.", "A", required=False)
    seen = words("What was seen.", "dim_orange", required=False)
    over_range = Flag("The display showed over-range.", example=False, required=True)
    under_range = Flag("The display showed under-range.", example=False, required=True)
    expected = nested(ExpectedSchema, "What a healthy appliance should read.", "unit", "low", "high")
    standard_uncertainty = number("Standard uncertainty of the value (JCGM 100).", 0.012, "as `unit` says")
    probability_within = probability("Probability that the true value lies in the band (JCGM 106).", 0.0001)
    assumed = texts("What was assumed of the meter and conditions, for want of data.", "lead resistance 0.2 ohm")
    findings = array(FindingSchema, "What else is to be known about it.")


class EvidenceSchema(RecordSchema):
    """What one piece of evidence did to a fault."""

    record = records.Evidence
    source = words(
        "The test, `complaint:` and its id, `working:` and the function's, `repair:` and its id, or a condition.",
        "bake_igniter_current",
        data_key="from",
    )
    decibans = number(
        "Ten times the decimal logarithm of the factor by which it changed the fault's odds; negative speaks against. "
        "Pieces count one after another (complaints, what works, readings before any repair, then each repair, with "
        "what it cures, and the readings after it), so they add up.",
        14.2,
        "dB",
        required=True,
    )


class RankedFaultSchema(RecordSchema):
    """A fault, how likely it is present, and why."""

    record = records.RankedFault
    fault = words("The fault.", "bake_igniter_weak")
    title = words("The fault, for a person.", "Bake igniter too weak to open the valve")
    probability = probability("Probability that it is present, alone or with another.", 0.93, required=True)
    part = words("The part it is in.", "bake_igniter", required=False)
    evidence = array(EvidenceSchema, "What the evidence did to it.")


class ClashSchema(RecordSchema):
    """Pieces of evidence that no single explanation fits."""

    record = records.Clash
    sources = texts("The pieces.", "outlet_voltage")
    message = words("The clash, for a person.", "No fault explains both readings.")


class LeadsToSchema(RecordSchema):
    """What comes next if things turn out in one way."""

    record = records.LeadsTo
    kind = Choice("What kind of step.", get_args(records.StepKind), example="repair", required=True)
    id = words("The test, repair or hazard.", "replace_bake_igniter")
    title = words("The step, for a person.", "Replace the bake igniter")


class StepOutcomeSchema(RecordSchema):
    """One way in which a step may turn out."""

    record = records.StepOutcome
    outcome = words("The way it turns out: what is seen, a range of readings, or a result of a repair.", "dim_orange")
    text = words("The same, for a person.", "dim orange")
    probability = probability("How likely it is.", 0.7, required=True)
    leads_to = nested(LeadsToSchema, "What would come next.", required=True)


class StepSchema(RecordSchema):
    """Something to do next."""

    record = records.Step
    kind = Choice(
        "What kind of step: `stop` and `refer` come before everything else.",
        get_args(records.StepKind),
        example="test",
        required=True,
    )
    id = words("The test, repair or hazard.", "bake_igniter_current")
    title = words("The step, for a person.", "Current through the bake igniter")
    why = words("Why this one.", "It tells a weak igniter from a closed gas valve.")
    state = words("The state to be in.", "live_gas_off", required=False)
    zone = words("Where.", "rear_panel", required=False)
    minutes = number("Time that it takes, with access and change of state.", 6, "min")
    expected_cost = number("Expected cost to a proven repair when this is done next.", 96.5, "currency of the costs")
    expected_minutes = number("Expected minutes to a proven repair when this is done next.", 48, "min")
    first_visit = probability("Probability of ending at this visit when this is done next and the plan followed.", 0.9)
    outcomes = array(StepOutcomeSchema, "How it may turn out, and what each outcome would lead to; empty if not known.")
    steps = texts("How, in order, with the steps to reach the state.", "Shut the gas at the appliance valve.")
    cautions = texts("What to mind.", "Mains voltage: clip the probes before power is restored.")


class PartChanceSchema(RecordSchema):
    """A part and how likely this job needs it."""

    record = records.PartChance
    part = words("The part.", "bake_igniter")
    title = words("The part, for a person.", "Bake igniter")
    probability = probability("Probability that the job needs it.", 0.93, required=True)


class ClosingCheckSchema(RecordSchema):
    """What must be shown before the job is left."""

    record = records.ClosingCheck
    id = words("The check.", "bake_current_in_band")
    text = words("The check, for a person.", "The igniter's current is in its band.")
    test = words("The test that shows it.", "bake_igniter_current", required=False)
    status = Choice(
        "Of repairs already done: whether a reading taken since shows it; absent where the repair is still to come.",
        get_args(records.CheckStatus),
        example="open",
    )


class PlannerNoteSchema(RecordSchema):
    """How the plan was made."""

    record = records.PlannerNote
    method = words("The way of planning.", "two steps ahead")
    fell_back = Flag("Whether a quicker way had to do than was asked for.", example=False, required=True)
    why = words("Why it had to.", "The time for a thorough plan ran out.", required=False)


class OutlookSchema(RecordSchema):
    """What is to be expected from here to a proven repair, when the plan is followed."""

    record = records.Outlook
    expected_cost = number("Expected cost.", 142, "currency of the costs", required=True)
    expected_minutes = number("Expected minutes.", 48, "min", required=True)
    first_visit_probability = probability("Probability of ending at this visit.", 0.9, required=True)


class ConfigurationSchema(RecordSchema):
    """A build of the appliance that the given options leave open."""

    record = records.OpenConfiguration
    options = Keyed(
        words("The value.", "propane"), "The options.", example={"fuel": "propane"}, required=True
    )
    probability = probability("How likely this build is, given the evidence.", 0.12, required=True)


def _reference() -> Words:
    return words("The case's own name for the job.", "job-1042", required=False)


def _pack() -> Item:
    return nested(PackIdentitySchema, "Which model answered.", required=True)


def _assumptions() -> Listing:
    return texts("What was assumed for want of data.", "supply voltage 120 V")


class DiagnosisSchema(RecordSchema):
    """The answer to a case."""

    record = records.Diagnosis
    reference = _reference()
    pack = _pack()
    readings = array(CheckedReadingSchema, "The readings in the order of the case, each with its verdict.")
    faults = array(RankedFaultSchema, "The faults, likeliest first; those that are all but ruled out are left out.")
    unexplained = probability("Probability of something that the pack does not know.", 0.01, required=True)
    no_fault = probability("Probability that nothing is wrong.", 0.002, required=True)
    configurations = array(ConfigurationSchema, "Builds of the appliance that the options leave open, likeliest first.")
    clashes = array(ClashSchema, "Pieces of evidence that contradict each other.")
    next = nested(
        StepSchema,
        'The next step; with `"effort": "none"` only where a hazard stops everything.',
        "state", "zone", "minutes", "expected_cost",
    )  # fmt: skip
    alternatives = array(StepSchema, "Other steps, best first.")
    parts = array(PartChanceSchema, "Parts that the job may need, likeliest first.")
    closing_checks = array(ClosingCheckSchema, "What must be shown before the job is left, in the order to do it.")
    outlook = nested(OutlookSchema, "What to expect from here to a proven repair.")
    planner = nested(PlannerNoteSchema, "How the plan was made.")
    cautions = texts("What to mind throughout.", "Two people lift a cooktop.")
    assumptions = _assumptions()
    notice = words("Applies to every answer.", NOTICE)
    computation = words(
        "Digest of everything that this answer depends on, the case's reference left out: equal digests are one and "
        "the same computation.",
        "sha256:51d0...",
        required=False,
    )


class ReadingsReportSchema(RecordSchema):
    """Readings checked, nothing inferred."""

    record = records.ReadingsReport
    reference = _reference()
    pack = _pack()
    readings = array(CheckedReadingSchema, "The readings in the order of the case, each with its verdict.")
    assumptions = _assumptions()
    notice = words("Applies to every answer.", NOTICE)


class ScoredReadingSchema(RecordSchema):
    """Log-likelihoods of one reading."""

    record = records.ScoredReading
    test = words("The test.", "bake_igniter_current")
    log_likelihoods = Listing(
        number("Under one hypothesis.", -2.31, "nat"),
        "Natural logarithm of the likelihood under each hypothesis, in the order of `hypotheses`; -1e9 for impossible.",
        example=[-9.2, -2.31],
        required=True,
    )


class ScoreReportSchema(RecordSchema):
    """Likelihood scoring, for systems that reason themselves."""

    record = records.ScoreReport
    reference = _reference()
    pack = _pack()
    hypotheses = Listing(
        words("One hypothesis.", "bake_igniter_weak"),
        "`no_fault`, each single fault, and `unknown`.",
        example=["no_fault", "bake_igniter_weak", "unknown"],
        required=True,
    )
    readings = array(ScoredReadingSchema, "The readings that could be scored.")
    skipped = array(CheckedReadingSchema, "The readings that were rejected, with the reasons.")
    notice = words("Applies to every answer.", NOTICE)
