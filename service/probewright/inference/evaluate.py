"""A case's evidence brought together: verdicts, fault probabilities, what each piece did, and what clashes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from probewright.errors import Fault, InvalidCase
from probewright.inference.aftermath import passages
from probewright.inference.builds import Build, OpenBuilds
from probewright.inference.checking import Judged, judge
from probewright.inference.course import follow
from probewright.inference.likelihood import Piece, Weighed, reading_pieces, report_pieces, weigh
from probewright.inference.posterior import decibans
from probewright.inference.prepared import Prepared, plausible_supply, prepare
from probewright.inference.remarks import floats, found_dead, remark
from probewright.inference.scoring import replace_scores
from probewright.inference.store import ModelStore
from probewright.inference.supplies import told
from probewright.packs.context import ReadingContext
from probewright.packs.model import Family
from probewright.packs.registry import Scorer, Validators
from probewright.quantities.conformity import DEFAULT_THRESHOLDS, Thresholds
from probewright_schemas.records import Case, CheckedReading, Clash

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Rules:
    """What a deployment sets, and what a pack brings: thresholds of verdicts, share of misread readings, own hooks."""

    thresholds: Thresholds = DEFAULT_THRESHOLDS
    misread: float = 0.01
    validator: Validators | None = None
    scorer: Scorer | None = None


@dataclass(frozen=True, slots=True)
class Readings:
    """A case's readings, validated and weighed.

    ``checked`` is in the order of the case; ``weighed`` holds the usable ones, like ones merged.  ``supply`` is the
    appliance's supply voltage in V, None where nobody knows it.
    """

    opened: OpenBuilds
    supply: float | None
    checked: tuple[CheckedReading, ...]
    weighed: tuple[Weighed, ...]
    contexts: Mapping[int, ReadingContext]


@dataclass(frozen=True, slots=True)
class Evaluation:
    """What the evidence of one case amounts to.

    Attributes
    ----------
    readings : Readings
    shares : ndarray of shape (n_builds,)
        Probability of each open build after the evidence.
    faults : tuple of str
        Faults of any open build.
    present : ndarray of shape (n_faults,)
        Probability that each is there now.
    none, unknown : float
        Probability of no fault, and of something that the pack does not know.
    together : ndarray of shape (n_faults, n_faults)
        Probability of each fault alone (on the diagonal), and of each two at once (above it).
    sources : tuple of str
        The pieces of evidence: complaints, what works, readings before any repair, then each repair and the readings
        after it.
    decibans : ndarray of shape (n_evidence, n_faults)
        What each piece did to each fault.
    clashes : tuple of Clash
    log_evidence : float
        Logarithm of the probability of all the evidence, given the options, in nats.
    """

    readings: Readings
    shares: Array
    faults: tuple[str, ...]
    present: Array
    none: float
    unknown: float
    together: Array
    sources: tuple[str, ...]
    decibans: Array
    clashes: tuple[Clash, ...]
    log_evidence: float


def read(case: Case, store: ModelStore, rules: Rules, *, merged: bool) -> Readings:
    """Validate and weigh a case's readings.

    Parameters
    ----------
    merged : bool
        Whether hypotheses that the case's evidence cannot tell apart may stand as one.

    Raises
    ------
    InvalidCase
        For ids and units that the family does not have, and options that contradict each other.
    """
    ready = prepare(case, store.vocabulary)
    opened = _open_builds(case, store, merged=merged)
    builds = opened.builds
    judged = [judge(p, builds, store.family, case.tech_sheet, rules.thresholds) for p in ready]
    contexts = {j.prepared.index: _context(case, store, builds, j) for j in judged if j.prepared.index >= 0}
    if rules.validator is not None:
        judged = [_validated(j, contexts.get(j.prepared.index), rules.validator) for j in judged]
    weighed = weigh([j.prepared for j in judged if j.usable], builds, case.tech_sheet, rules.misread)
    # What a floating wire shows proves nothing, so it is no evidence until it is read again and found dead.
    floating = {i for w in weighed if floats(w) and not found_dead(w, weighed) for i in w.indices}
    by_index = {i: w for w in weighed for i in w.indices}
    checked = tuple(
        remark(j.checked, by_index[j.prepared.index], rules.misread, floating=j.prepared.index in floating)
        if j.usable and j.prepared.index in by_index
        else j.checked
        for j in judged if j.prepared.index >= 0
    )  # fmt: skip
    told = tuple(w for w in weighed if w.prepared.index not in floating)
    return Readings(opened, _supply(case, store.family, ready), checked, told, contexts)


def _open_builds(case: Case, store: ModelStore, *, merged: bool) -> OpenBuilds:
    opened = store.open_builds(case, merged=merged)
    if opened is None:
        given = ", ".join(f"{option} {value}" for option, value in case.options.items())
        told = f"no appliance of this family has {given} together"
        raise InvalidCase([Fault("/options", told, "options_contradict")])
    return opened


def _context(case: Case, store: ModelStore, builds: Sequence[Build], judged: Judged) -> ReadingContext:
    prepared = judged.prepared
    supply, configuration = store.family.supply, builds[0].compiled.configuration
    on_scale = prepared.situation.supply
    volts = told(float(supply.nominal) if on_scale is None else on_scale, supply, configuration)
    ambient = prepared.situation.ambient
    return ReadingContext(
        store.family, prepared.test, case, prepared.reading, judged.checked, configuration, volts, ambient
    )


def _validated(judged: Judged, context: ReadingContext | None, validator: Validators) -> Judged:
    """Add what the pack's own validator finds."""
    if context is None:
        return judged
    findings = tuple(validator(context))
    if not findings:
        return judged
    rejected = any(finding.severity == "reject" for finding in findings)
    verdict = "rejected" if rejected else judged.checked.verdict
    checked = replace(judged.checked, verdict=verdict, findings=(*judged.checked.findings, *findings))
    return replace(judged, checked=checked, usable=judged.usable and not rejected)


def _supply(case: Case, family: Family, ready: Sequence[Prepared]) -> float | None:
    """The supply voltage at large, on the family's scale: the case's own, else what was measured last."""
    own = plausible_supply(case, family)
    if own is not None:
        return own
    measured = [p for p in ready if p.given_by.get("supply_voltage", "reading") != "reading"]
    return measured[-1].situation.supply if measured else None


def evaluate(case: Case, store: ModelStore, rules: Rules) -> Evaluation:
    """Weigh all evidence of a case.

    Raises
    ------
    InvalidCase
        As :func:`read`.
    """
    # Repairs, and a pack's own scorer, look at every hypothesis by itself.
    readings = read(case, store, rules, merged=not case.repairs_done and rules.scorer is None)
    opened = readings.opened
    done = [f"repair:{repair.repair}" for repair in case.repairs_done]
    steps = passages(case, opened.builds, readings.supply) if done else []
    course = follow(opened.log_prior, _pieces(case, readings, rules), done, steps)
    gained = decibans(opened.present(course.stages))
    now = course.now
    none, unknown = float(now[opened.none].sum()), float(now[opened.unknown].sum())
    return Evaluation(
        readings, opened.shares(now), opened.faults, opened.present(now), none, unknown, opened.together(now),
        course.sources, gained, course.clashes(), course.log_evidence,
    )  # fmt: skip


def _pieces(case: Case, readings: Readings, rules: Rules) -> list[list[Piece]]:
    """The evidence before any repair, and after each."""
    builds = readings.opened.builds
    of_readings = reading_pieces(readings.weighed, readings.opened, rules.misread)
    pieces: list[list[Piece]] = [[] for _ in (None, *case.repairs_done)]
    pieces[0] += report_pieces(case.complaints, case.working, builds, readings.supply)
    scored = replace_scores(of_readings, builds, readings.contexts, rules.scorer)
    for weighed, piece in zip(readings.weighed, scored, strict=True):
        pieces[weighed.prepared.stretch].append(piece)
    return pieces
