"""The schemas of batches and of re-evaluation: lines that come in, lines that go out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, ClassVar, get_args

from marshmallow import EXCLUDE

from probewright_schemas import batch_records, records
from probewright_schemas.base import RecordSchema
from probewright_schemas.case import CaseSchema, CorrectionSchema, LimitsSchema
from probewright_schemas.days import Day
from probewright_schemas.faults import Message, Path
from probewright_schemas.fields import Choice, Count, Item, Keyed, Listing, Text
from probewright_schemas.problem import ProblemSchema
from probewright_schemas.results import (
    DiagnosisSchema,
    PackIdentitySchema,
    array,
    nested,
    number,
    probability,
    texts,
    words,
)

#: More than any shop has to say at once.
MOST_CHANGES = 1000
#: Kinds of test whose readings a correction can be of.
CORRECTED_KINDS = (
    "voltage", "current", "resistance", "capacitance", "temperature", "pressure", "concentration", "duration",
)  # fmt: skip
_MOST_LINES = 2**53

Problems = Sequence[tuple[Path, Message]]


def _days_in_order(change: Mapping[str, Any]) -> Problems:
    """A range of days begins before it ends; both are written so that they sort as text."""
    since, until = change.get("from"), change.get("to")
    if isinstance(since, str) and isinstance(until, str) and since > until:
        return [(("from",), Message(f"is after to ({until})", "range"))]
    return ()


class MeterCorrectionSchema(RecordSchema):
    """A correction of one instrument's readings of one kind, over a range of days, both ends included."""

    record = batch_records.MeterCorrection
    closed = True
    rules = (_days_in_order,)
    meter = Text(
        "The instrument: its `id` in the cases, or the name in their `meters` where it has none.",
        example="clamp-07", required=True,
    )  # fmt: skip
    kind = Choice("The kind of test whose readings it corrects.", CORRECTED_KINDS, example="current", required=True)
    correction = Item(
        CorrectionSchema, "What the calibration found.", example={"gain": 1.064, "gain_uncertainty": 0.004},
        required=True,
    )  # fmt: skip
    since = Day("First day of readings that it holds for; open when absent.", example="2026-03-01", data_key="from")
    until = Day("Last day of readings that it holds for; open when absent.", example="2026-08-28", data_key="to")


class ReplacedLimitsSchema(RecordSchema):
    """Limits of a test that take the place of the pack's, and of a case's own."""

    record = batch_records.ReplacedLimits
    closed = True
    family = Text("The appliance family.", example="gas_range", required=True)
    test = Text("The test, an id of the family.", example="bake_igniter_current", required=True)
    limits = Item(LimitsSchema, "The new limits.", example={"low": 3.2, "high": 3.6, "unit": "A"}, required=True)
    when = Keyed(
        Text("The value, an id of the family.", example="flat"),
        "Options that a case must have given for them to hold; for all cases when absent.",
        example={"igniter_style": "flat"},
        most=20,
    )


class ChangesSchema(RecordSchema):
    """What is different from when the stored answers were given; the first line of a re-evaluation."""

    record = batch_records.Changes
    closed = True
    corrections = Listing(
        Item(MeterCorrectionSchema, "One correction."),
        "Corrections of meters; of several that fit a reading the last counts.",
        example=[{"meter": "clamp-07", "kind": "current", "correction": {"gain": 1.064}}],
        most=MOST_CHANGES,
    )
    limits = Listing(
        Item(ReplacedLimitsSchema, "Limits of one test."),
        "Replaced limits; of several that fit a test the last count.",
        example=[
            {"family": "gas_range", "test": "bake_igniter_current", "limits": {"low": 3.2, "high": 3.6, "unit": "A"}}
        ],
        most=MOST_CHANGES,
    )


class _Loose(RecordSchema):
    """Reads what it knows and leaves the rest alone: whole stored answers may be sent."""

    class Meta(RecordSchema.Meta):
        """Options of marshmallow."""

        unknown = EXCLUDE


class EarlierReadingSchema(_Loose):
    """What an earlier answer said of one reading."""

    record = batch_records.EarlierReading
    test = Text("The test.", example="bake_igniter_current", required=True)
    verdict = Choice("Its verdict.", get_args(records.Verdict), example="within", required=True)
    probability_within = probability("Probability that the true value lay in the band.", 0.97)


class EarlierFaultSchema(_Loose):
    """How likely an earlier answer held a fault."""

    record = batch_records.EarlierFault
    fault = Text("The fault.", example="bake_igniter_weak", required=True)
    probability = probability("Its probability.", 0.93, required=True)


class EarlierStepSchema(_Loose):
    """What an earlier answer advised."""

    record = batch_records.EarlierStep
    kind = Choice("The kind of step.", get_args(records.StepKind), example="repair", required=True)
    id = Text("The step.", example="replace_bake_igniter", shortest=0, required=True)


class EarlierPackSchema(_Loose):
    """Which model gave an earlier answer."""

    record = records.PackIdentity
    family = Text("The appliance family.", example="gas_range", required=True)
    version = Text("The pack's own version.", example="1.0.0", required=True)
    digest = Text("Changes with any number in the pack.", example="sha256:9f2c...", required=True)


class EarlierAnswerSchema(_Loose):
    """An earlier answer: what re-evaluation reads of it.  A whole diagnosis may be sent."""

    record = batch_records.EarlierAnswer
    pack = Item(
        EarlierPackSchema, "The model that gave it.", required=True,
        example={"family": "gas_range", "version": "1.0.0", "digest": "sha256:9f2c..."},
    )  # fmt: skip
    readings = Listing(
        Item(EarlierReadingSchema, "One reading."), "Its readings, in the order of the case.",
        example=[{"test": "bake_igniter_current", "verdict": "within"}],
    )  # fmt: skip
    faults = Listing(
        Item(EarlierFaultSchema, "One fault."), "Its faults, likeliest first.",
        example=[{"fault": "bake_igniter_weak", "probability": 0.93}],
    )  # fmt: skip
    unexplained = probability("Its probability of something unknown.", 0.01)
    no_fault = probability("Its probability of nothing wrong.", 0.001)
    next = Item(
        EarlierStepSchema, "What it advised.", example={"kind": "repair", "id": "replace_bake_igniter"}
    )
    computation = Text("Its digest of everything that it depended on.", example="sha256:51d0...")


class StoredJobSchema(_Loose):
    """A case as it was stored, with the answer that it was given then, if any; other members are left alone."""

    record = batch_records.StoredJob
    case = Item(CaseSchema, "The case.", example={"family": "gas_range"}, required=True)
    answer = Item(
        EarlierAnswerSchema, "The answer that it was given.",
        example={
            "pack": {"family": "gas_range", "version": "1.0.0", "digest": "sha256:9f2c..."},
            "faults": [{"fault": "bake_igniter_weak", "probability": 0.93}],
        },
    )  # fmt: skip


class HeldSchema(RecordSchema):
    """What is held likeliest."""

    record = batch_records.Held
    fault = words("A fault's id, `no_fault`, or `unknown`.", "bake_igniter_weak")
    probability = probability("Its probability.", 0.93, required=True)


class AnswerChangeSchema(RecordSchema):
    """One thing that is different."""

    record = batch_records.Change
    kind = Choice(
        "A reading's verdict; the leading fault; the next step; a hazard that now shows, or shows no longer; a part "
        "that was replaced and now looks good; or an earlier answer that could not be compared.",
        get_args(batch_records.ChangeKind),
        example="verdict",
        required=True,
    )
    of = words("What it is about: the id of a test, a part or a hazard.", "bake_igniter_current", required=False)
    reading = number("The reading's place in the case, counted from 0.", 0, "1")
    before = words("The verdict, fault or step (`kind:id`) before.", "within", required=False)
    after = words("The same now.", "outside", required=False)
    probability_before = probability(
        "Before: that the reading is within its band, of the leading fault, or that the replaced part was bad.", 0.97
    )
    probability_after = probability("The same now; of a leading fault, that of the one that leads now.", 0.02)


class CorrectedReadingSchema(RecordSchema):
    """A reading that a correction changed."""

    record = batch_records.CorrectedReading
    reading = number("The reading's place in the case, counted from 0.", 0, "1", required=True)
    test = words("The test.", "bake_igniter_current")
    meter = words("The instrument.", "clamp-07")
    as_read = number("As it was read.", 2.45, "as `unit` says", required=True)
    value = number("As corrected.", 2.6068, "as `unit` says", required=True)
    unit = words("The unit in which it was given.", "A")


class ReevaluationSchema(RecordSchema):
    """What became of one stored case."""

    record = batch_records.Reevaluation
    reference = words("Your own name for the job.", "job-1042", required=False)
    family = words("The appliance family.", "gas_range")
    status = Choice(
        "`same`: the very same computation, by its digest; `unchanged`: asked again, without a difference that counts; "
        "`changed`; `new`: there was no earlier answer.",
        get_args(batch_records.Status),
        example="changed",
        required=True,
    )
    why = words("What changed and why, in one sentence.", "The corrected reading of 2.6068 A is outside its band.")
    shift = probability("The largest change of any probability: how strongly it changed.", 0.88)
    before = nested(HeldSchema, "What was held likeliest.")
    after = nested(HeldSchema, "What is held likeliest now.", required=True)
    changes = array(AnswerChangeSchema, "What is different, the gravest first.")
    corrected = array(CorrectedReadingSchema, "The readings that a correction changed, with both values.")
    notes = texts("What could not be done, such as a correction of readings without a day.", "reading 0 has no day")
    pack = nested(PackIdentitySchema, "The model that answered now.", required=True)
    computation = words("Digest of everything that the new answer depends on.", "sha256:51d0...")
    answer = nested(DiagnosisSchema, "The new answer in whole, where it was asked for and is not the same.")


class SummarySchema(RecordSchema):
    """The last line of a stream: without it the stream was cut off."""

    record = dict
    lines = number("Lines that came in, empty ones left out.", 3, "1", required=True)
    answered = number("Lines that were answered.", 2, "1", required=True)
    refused = number("Lines that got a problem in the place of an answer.", 1, "1", required=True)
    packs = array(PackIdentitySchema, "The models that answered.")


class ReevaluationSummarySchema(SummarySchema):
    """The last line of a re-evaluation: without it the stream was cut off."""

    by_status: ClassVar[Keyed] = Keyed(
        number("How many.", 1, "1"), "Cases by status.", example={"changed": 1, "same": 1}, required=True
    )
    by_change: ClassVar[Keyed] = Keyed(
        number("How many.", 1, "1"), "Cases by kind of change; one may have several.", example={"verdict": 1},
        required=True,
    )  # fmt: skip


def _line() -> Count:
    return Count("The line that it answers, counted from 1.", example=1, most=_MOST_LINES)


class BatchLineSchema(RecordSchema):
    """One line of the answer: `line` with `answer` or `problem`, or at the end `summary`."""

    record = dict
    line = _line()
    answer = nested(DiagnosisSchema, "The diagnosis.")
    problem = nested(ProblemSchema, "Why the line was not answered.")
    summary = nested(SummarySchema, "How many there were.")


class ReevaluationLineSchema(RecordSchema):
    """One line of the answer: `line` with `result` or `problem`, or at the end `summary`."""

    record = dict
    line = _line()
    result = nested(ReevaluationSchema, "What became of the case.")
    problem = nested(ProblemSchema, "Why the line was not answered.")
    summary = nested(ReevaluationSummarySchema, "How many there were.")
