"""A case's evidence brought together: verdicts, fault probabilities, what each piece did, and what clashes."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from probewright.errors import EngineError, Fault, InvalidCase, ProbewrightError
from probewright.inference.aftermath import passages
from probewright.inference.builds import Build, OpenBuilds
from probewright.inference.checking import Judged, judge
from probewright.inference.contexts import LateContext
from probewright.inference.course import Course, Stretch, follow
from probewright.inference.evidence import Evidence, Piece, tell
from probewright.inference.likelihood import Usable, Weighed, weigh
from probewright.inference.posterior import Batch, TabledPosterior, Tables, decibans, impossible, posteriors, present
from probewright.inference.prepared import IMPLAUSIBLE, Prepared
from probewright.inference.preparing import plausible_supply, prepare
from probewright.inference.remarks import floats, found_dead, remark
from probewright.inference.scoring import replace_scores
from probewright.inference.store import ModelStore
from probewright.inference.supplies import told
from probewright.packs.context import ReadingContext
from probewright.packs.model import Family
from probewright.packs.registry import Scorer, Validators
from probewright.quantities.conformity import DEFAULT_THRESHOLDS, Thresholds
from probewright_schemas.records import Case, CheckedReading, Clash, Verdict

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Rules:
    """What a deployment sets, and what a pack brings: thresholds of verdicts, share of misread readings, own hooks."""

    thresholds: Thresholds = DEFAULT_THRESHOLDS
    misread: float = 0.01
    validator: Validators | None = None
    scorer: Scorer | None = None


class Told(NamedTuple):
    """What a reading amounts to: the members of a ``CheckedReading`` that decide anything."""

    test: str
    verdict: Verdict
    probability_within: float | None
    value: float | None
    standard_uncertainty: float | None
    seen: str | None
    over_range: bool
    under_range: bool


def _told(one: Judged, *, floating: bool) -> Told:
    prepared, verdict = one.prepared, "inconclusive" if floating else one.verdict
    valued = prepared.event == "value"
    return Told(
        prepared.test.id, verdict, one.within, prepared.value if valued else None,
        prepared.uncertainty if valued else None, prepared.reading.seen, prepared.event == "over",
        prepared.event == "under",
    )  # fmt: skip


class Readings:
    """A case's readings, validated and weighed.

    Attributes
    ----------
    opened : OpenBuilds
    supply : float or None
        The appliance's supply voltage in V, None where nobody knows it.
    told : list of Told
        What each amounts to, in the order of the case.
    weighed : tuple of Weighed
        The usable ones, like ones merged, as evidence.
    contexts : mapping of int to ReadingContext
        What the pack's own hooks are given, by place.
    repairs : int
        How many were made.
    """

    def __init__(self, begun: _Begun, weighed: Sequence[Weighed], rules: Rules) -> None:
        self.opened, self.supply, self.contexts = begun.opened, begun.supply, begun.contexts
        self.repairs = len(begun.case.repairs_done)
        # What a floating wire shows proves nothing, so it is no evidence until it is read again and found dead.
        self._floating = {i for w in weighed if floats(w) and not found_dead(w, weighed) for i in w.indices}
        self.weighed = tuple([w for w in weighed if w.prepared.index not in self._floating])
        self._judged = [one for one in begun.judged if one.prepared.index >= 0]
        self._all, self._misread = weighed, rules.misread

    @cached_property
    def told(self) -> list[Told]:
        """What each amounts to, without a word."""
        return [_told(one, floating=one.prepared.index in self._floating) for one in self._judged]

    @cached_property
    def checked(self) -> tuple[CheckedReading, ...]:
        """What is answered about each, in the order of the case."""
        by_index = {i: w for w in self._all for i in w.indices}
        return tuple([self._worded(one, by_index.get(one.prepared.index)) for one in self._judged])

    def _worded(self, one: Judged, weighed: Weighed | None) -> CheckedReading:
        checked = one.with_own()
        if weighed is None or not one.usable:
            return checked
        return remark(checked, weighed, self._misread, floating=one.prepared.index in self._floating)


class Evaluation:
    """What the evidence of one case amounts to.

    What is asked of every case is there at once; the rest is worked out when it is asked for.

    Attributes
    ----------
    readings : Readings
    faults : tuple of str
        Faults of any open build.
    present : ndarray of shape (n_faults,)
        Probability that each is there now.
    none, unknown : float
        Probability of no fault, and of something that the pack does not know.
    """

    def __init__(
        self, readings: Readings, now: Array, present: Array, course: Callable[[], Course],
    ) -> None:  # fmt: skip
        opened = readings.opened
        self.readings, self.faults, self.present = readings, opened.faults, present
        self.none, self.unknown = float(now[opened.none].sum()), float(now[opened.unknown].sum())
        self._now, self._course = now, course

    @cached_property
    def course(self) -> Course:
        """The course of the job."""
        return self._course()

    @cached_property
    def shares(self) -> Array:
        """Probability of each open build after the evidence: shape (n_builds,)."""
        return self.readings.opened.shares(self._now)

    @cached_property
    def together(self) -> Array:
        """Probability of each fault alone (on the diagonal), of each two at once (above it): (n_faults, n_faults)."""
        return self.readings.opened.together(self._now)

    @cached_property
    def sources(self) -> tuple[str, ...]:
        """The pieces of evidence: complaints, what works, readings, then each repair and the readings after it."""
        return self.course.sources

    @cached_property
    def decibans(self) -> Array:
        """What each piece did to each fault: shape (n_evidence, n_faults)."""
        opened = self.readings.opened
        return decibans(self.course.present((opened.first, opened.second)))

    @cached_property
    def clashes(self) -> tuple[Clash, ...]:
        """Pieces of evidence that do not go together."""
        return self.course.clashes()

    @property
    def log_evidence(self) -> float:
        """Logarithm of the probability of all the evidence, given the options, in nats."""
        return self.course.log_evidence


@dataclass(slots=True)  # not frozen: made too often for what freezing costs
class _Begun:
    """A case whose readings were judged and are still to be weighed; ``contexts`` are by the place of the reading."""

    case: Case
    opened: OpenBuilds
    supply: float | None
    judged: list[Judged]
    contexts: dict[int, ReadingContext]

    def usable(self) -> Usable:
        readings = [judged.prepared for judged in self.judged if judged.usable]
        return Usable(readings, self.opened, self.case.tech_sheet)


def read(case: Case, store: ModelStore, rules: Rules) -> Readings:
    """Validate and weigh a case's readings.

    Raises
    ------
    InvalidCase
        For ids and units that the family does not have, and options that contradict each other.
    """
    begun = _begin(case, store, rules)
    [weighed] = weigh([begun.usable()], rules.misread)
    return Readings(begun, weighed, rules)


def _begin(case: Case, store: ModelStore, rules: Rules) -> _Begun:
    """Prepare and judge a case's readings."""
    ready = prepare(case, store.vocabulary)
    opened = _open_builds(case, store)
    builds = opened.builds
    judged = [judge(p, opened, store.family, case.tech_sheet, rules.thresholds) for p in ready]
    contexts = _contexts(case, store, builds, judged, rules)
    if rules.validator is not None:
        for one in judged:
            _validate(one, contexts.get(one.prepared.index), rules.validator)
    return _Begun(case, opened, _supply(case, store.family, ready), judged, contexts)


def _open_builds(case: Case, store: ModelStore) -> OpenBuilds:
    opened = store.open_builds(case)
    if opened is None:
        given = ", ".join(f"{option} {value}" for option, value in case.options.items())
        told = f"no appliance of this family has {given} together"
        raise InvalidCase([Fault("/options", told, "options_contradict")])
    return opened


def _contexts(
    case: Case, store: ModelStore, builds: Sequence[Build], judged: Sequence[Judged], rules: Rules,
) -> dict[int, ReadingContext]:  # fmt: skip
    """What the pack's own hooks are given, where it has any, of each reading by its place."""
    if rules.validator is None and rules.scorer is None:
        return {}
    supply, configuration = store.family.supply, builds[0].compiled.configuration
    in_volts: dict[float | None, float] = {}
    found: dict[int, ReadingContext] = {}
    for one in judged:
        prepared, on_scale = one.prepared, one.prepared.situation.supply
        if prepared.index < 0:
            continue
        volts = in_volts.get(on_scale)
        if volts is None:
            scaled = float(supply.nominal) if on_scale is None else on_scale
            volts = in_volts[on_scale] = told(scaled, supply, configuration)
        found[prepared.index] = LateContext(
            store.family, prepared.test, case, prepared.reading, one, configuration, volts, prepared.situation.ambient
        )
    return found


def _validate(judged: Judged, context: ReadingContext | None, validator: Validators) -> None:
    """Add what the pack's own validator finds."""
    findings = () if context is None else tuple(validator(context))
    if not findings:
        return
    judged.own = findings
    if any(finding.severity == "reject" for finding in findings):
        judged.verdict, judged.usable = "rejected", False


def _supply(case: Case, family: Family, ready: Sequence[Prepared]) -> float | None:
    """The supply voltage at large, on the family's scale: the case's own, else what was measured last."""
    own = plausible_supply(case, family)
    if own is not None:
        return own
    measured = [p for p in ready if p.given_by.get("supply_voltage", "reading") not in ("reading", IMPLAUSIBLE)]
    return measured[-1].situation.supply if measured else None


def evaluate(case: Case, store: ModelStore, rules: Rules) -> Evaluation:
    """Weigh all evidence of a case.

    Raises
    ------
    InvalidCase
        As :func:`read`.
    """
    [found] = evaluate_many([case], store, rules)
    if isinstance(found, ProbewrightError):
        raise found
    return found


def evaluate_many(
    cases: Sequence[Case], store: ModelStore, rules: Rules,
) -> list[Evaluation | ProbewrightError]:  # fmt: skip
    """Weigh all evidence of many cases: the same bits for each, whatever else is worked out beside it.

    Returns
    -------
    list of Evaluation or ProbewrightError
        One for each case; an error in the place of what cannot be evaluated.
    """
    found: list[Evaluation | ProbewrightError] = []
    begun: list[tuple[int, _Begun]] = []
    for place, case in enumerate(cases):
        try:
            one = _begin(case, store, rules)
        except ProbewrightError as error:
            found.append(error)
        else:
            found.append(EngineError("a case of a batch was lost"))
            begun.append((place, one))
    weighed = weigh([one.usable() for _, one in begun], rules.misread)
    alike: dict[int, list[_Ready]] = {}
    for (place, one), of_case in zip(begun, weighed, strict=True):
        readings, case = Readings(one, of_case, rules), one.case
        evidence = Evidence(readings.opened, case.complaints, case.working, readings.supply, readings.weighed)
        alike.setdefault(id(readings.opened), []).append(_Ready(place, case, readings, evidence))
    for group in alike.values():
        for ready, evaluation in zip(group, _evaluations(group, rules), strict=True):
            found[ready.place] = evaluation
    return found


class _Ready(NamedTuple):
    """A case whose evidence is known, and its place among all."""

    place: int
    case: Case
    readings: Readings
    evidence: Evidence


def _evaluations(group: Sequence[_Ready], rules: Rules) -> Iterator[Evaluation | ProbewrightError]:
    """Cases that leave the same builds open."""
    told = tell([ready.evidence for ready in group], rules.misread)
    plain = [i for i, ready in enumerate(group) if rules.scorer is None and not ready.case.repairs_done]
    opened = group[0].readings.opened
    faults = opened.first, opened.second
    own = [told[i] for i in plain]
    batch = posteriors(
        opened.log_prior, faults, told[0].classes, told[0].tables, [of_case.pieces for of_case in own]
    ) if own else None  # fmt: skip
    rows = dict(zip(plain, range(len(plain)), strict=True))
    for i, (ready, of_case) in enumerate(zip(group, told, strict=True)):
        if batch is None or i not in rows:
            yield _alone(ready, of_case, rules)
        else:
            yield _among(ready, of_case, batch, rows[i], rules)


def _among(ready: _Ready, told: Tables, batch: Batch, row: int, rules: Rules) -> Evaluation | ProbewrightError:
    """A case on which nothing was repaired, out of a batch."""
    prior = ready.readings.opened.log_prior
    if not batch.possible[row]:
        return impossible(prior, told.log_likelihoods())
    now = batch.probabilities[row]

    def course() -> Course:
        found = TabledPosterior(now, float(batch.log_evidence[row]), prior, told)
        return Course((Stretch(tuple(ready.evidence.sources(rules.misread)), found),), (), ())

    return Evaluation(ready.readings, now, batch.present[row], course)


def _alone(ready: _Ready, told: Tables, rules: Rules) -> Evaluation | ProbewrightError:
    """A case whose pack scores its readings, or that was repaired."""
    case, readings, opened = ready.case, ready.readings, ready.readings.opened
    try:
        pieces = ready.evidence.pieces(told, rules.misread)
        scored = replace_scores(pieces, opened.builds, readings.contexts, rules.scorer)
        done = [f"repair:{repair.repair}" for repair in case.repairs_done]
        steps = passages(case, opened.builds, readings.supply) if done else []
        course = follow(opened.log_prior, _stretches(scored, readings), done, steps)
    except ProbewrightError as error:
        return error
    [now] = present(course.now[None].copy(), (opened.first, opened.second))
    return Evaluation(readings, course.now, now, lambda: course)


def _stretches(pieces: Sequence[Piece], readings: Readings) -> list[list[Piece]]:
    """The evidence before any repair, and after each."""
    stretch = {weighed.prepared.index: weighed.prepared.stretch for weighed in readings.weighed}
    found: list[list[Piece]] = [[] for _ in range(1 + readings.repairs)]
    reports = len(pieces) - len(readings.weighed)
    for place, piece in enumerate(pieces):
        found[0 if place < reports else stretch[piece.reading]].append(piece)
    return found
