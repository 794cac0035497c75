"""Log-likelihoods of a case's evidence under every hypothesis of every open build.

Columns run over the builds one after another, each in the order of its hypotheses.  A small share of misread values is
always allowed (``misread`` below), so no reading can rule anything out by itself.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import fsum, hypot, isfinite

import numpy as np
from numpy.typing import NDArray

from probewright.inference.builds import Build, OpenBuilds
from probewright.inference.checking import Band, band, predict
from probewright.inference.compiled import LEAST_REPORT, UNKNOWN_LEAVES_READING, WRONG_REPORT, Compiled
from probewright.inference.numeric import FLOOR, MISREAD_OVER, MISREAD_UNDER, Predicted, misread_density
from probewright.inference.prepared import Prepared
from probewright.inference.reports import Reports
from probewright_schemas.records import Limits

Array = NDArray[np.float64]

_ROOT_TWO_PI = float(np.sqrt(2 * np.pi))
#: Deviations beyond which a kernel is nothing: under 1e-17 of its height.
_FAR = 9.0


@dataclass(slots=True)  # not frozen: made too often for what freezing costs
class Piece:
    """One piece of evidence.

    Attributes
    ----------
    source : str
        What it is called in the answer.
    log_likelihood : ndarray of shape (n_columns,), in nats
    error : float
        The part of the likelihood that a mistake contributes under any hypothesis; 0 where no mistake is modelled.
    reading : int
        Index of the reading, -1 for other evidence.
    """

    source: str
    log_likelihood: Array
    error: float
    reading: int = -1


@dataclass(slots=True)  # not frozen: made too often for what freezing costs
class ByClass:
    """Likelihoods of one reading by class of one build, the unknown hypothesis last: shape (n_classes + 1,)."""

    likelihood: Array
    predicted: Predicted


def numeric_by_class(prepared: Sequence[Prepared], predictions: Sequence[Predicted], misread: float) -> list[ByClass]:
    """Likelihoods of numeric readings by class, all in one go.

    Parameters
    ----------
    prepared : sequence of Prepared
        With event ``value``, ``over`` or ``under``; ``value`` on the scale of the prediction.
    predictions : sequence of Predicted
        One for each.
    misread : float
        Share of misread values.
    """
    if not prepared:
        return []
    counts = [len(p.values) for p in predictions]
    density = _densities(prepared, predictions, counts)
    found, start = [], 0
    for ready, predicted, count in zip(prepared, predictions, counts, strict=True):
        if ready.event == "value":
            fits, error = density[start : start + count], misread_density(ready.test.kind, ready.value)
        else:
            fits, error = _event(ready, predicted)
        # Something unknown leaves the reading healthy or makes it anything.
        leaves = float(UNKNOWN_LEAVES_READING)
        unknown = leaves * fits[0] + (1 - leaves) * error
        found.append(ByClass(np.append((1 - misread) * fits + misread * error, unknown), predicted))
        start += count
    return found


def _densities(prepared: Sequence[Prepared], predictions: Sequence[Predicted], counts: Sequence[int]) -> Array:
    """Density of each reading under each of its classes, one after another: a kernel at every sample."""
    # One row for each class: what was read, and its own deviation, over the supply's scale; and that scale.
    own = [
        (p.value / q.scale, hypot(p.uncertainty, q.floor) / q.scale, q.scale)
        for p, q in zip(prepared, predictions, strict=True)
    ]
    read, deviation, scale = np.repeat(np.array(own), counts, axis=0).T
    low, high, widest = np.concatenate([p.reach for p in predictions], axis=1)
    margin = _FAR * np.hypot(widest, deviation)
    near = (read > low - margin) & (read < high + margin)
    # Most classes are far from what was read: their kernels add nothing, and are not computed.
    ends = np.cumsum(counts).tolist()
    parts = [near[end - count : end] for end, count in zip(ends, counts, strict=True)]
    values = np.concatenate([p.values[part] for p, part in zip(predictions, parts, strict=True)])
    width = np.concatenate([p.width[part] for p, part in zip(predictions, parts, strict=True)])
    width = np.hypot(width, deviation[near, None])
    kernel = (values - read[near, None]) / width
    np.multiply(kernel, kernel, out=kernel)
    kernel *= -0.5
    np.exp(kernel, out=kernel)
    kernel /= width
    density = np.zeros(len(read))
    density[near] = kernel.mean(axis=1) / (scale[near] * _ROOT_TWO_PI)
    return density


def _event(prepared: Prepared, predicted: Predicted) -> tuple[Array, float]:
    """Probability of over or under range by class, and when misread."""
    if prepared.event == "over":
        most = prepared.instrument.maximum_resistance
        if not isfinite(most):  # a meter that has no limit of its own: more than anything healthy
            most = float(predicted.values[0].max() * predicted.scale)
        return (predicted.values * predicted.scale > most).mean(axis=1), float(MISREAD_OVER)
    least = 3 * (prepared.uncertainty + predicted.floor)
    return (np.abs(predicted.values) * predicted.scale < least).mean(axis=1), float(MISREAD_UNDER)


def error_of(prepared: Prepared, misread: float) -> float:
    """The part that misreading contributes to a reading's likelihood."""
    if prepared.event == "value":
        return misread * misread_density(prepared.test.kind, prepared.value)
    if prepared.event == "seen":
        return misread / len(prepared.test.outcomes)
    return misread * float(MISREAD_OVER if prepared.event == "over" else MISREAD_UNDER)


def onto_model_scale(prepared: Prepared, predicted: Predicted, sheet: Band) -> Prepared:
    """A reading as it would be if the technical sheet's limits were the model's own.

    Straight lines through zero, the lower and the upper limit, so that nothing stays nothing and what lies as far
    outside the sheet's limits as another reading outside the model's tells as much.
    """
    knots = [(0.0, 0.0)]
    for own, modelled in ((sheet.low, predicted.low), (sheet.high, predicted.high)):
        if own is not None and modelled is not None and own > knots[-1][0] and modelled > knots[-1][1]:
            knots.append((own, modelled))
    if len(knots) == 1:
        return prepared
    for (x0, y0), (x1, y1) in pairwise(knots):
        if prepared.value <= x1:
            slope = (y1 - y0) / (x1 - x0)
            return replace(prepared, value=y0 + slope * (prepared.value - x0), uncertainty=prepared.uncertainty * slope)
    slope = knots[-1][1] / knots[-1][0]
    return replace(prepared, value=prepared.value * slope, uncertainty=prepared.uncertainty * slope)


@dataclass(slots=True)  # not frozen: made too often for what freezing costs
class Weighed:
    """A usable reading (or several like ones, merged) with its likelihoods by class, for each predictor of the builds.

    ``by_predictor`` maps ``id(predictor)`` to the likelihoods; it is empty for what is seen.  ``indices`` are the
    places of all that were merged among the case's readings.
    """

    prepared: Prepared
    by_predictor: Mapping[int, ByClass]
    indices: tuple[int, ...]


def weigh(
    readings: Sequence[Prepared], builds: Sequence[Build], tech_sheet: Mapping[str, Limits], misread: float,
) -> list[Weighed]:  # fmt: skip
    """Compute the likelihoods by class of all usable readings, those that repeat each other merged."""
    groups = grouped(readings)
    merged = [mean(group) for group in groups]
    jobs: dict[tuple[int, int], tuple[Prepared, Predicted]] = {}
    for i, prepared in enumerate(merged):
        if prepared.event == "seen":
            continue
        for build in builds:
            if prepared.test.id not in build.compiled.tests:
                continue
            key = (i, id(build.compiled.numeric(prepared.test.id)))
            if key not in jobs:
                predicted, sheet = predict(build, prepared), tech_sheet.get(prepared.test.id)
                own = prepared if sheet is None else onto_model_scale(prepared, predicted, band(build, prepared, sheet))
                jobs[key] = (own, predicted)
    found = numeric_by_class([p for p, _ in jobs.values()], [q for _, q in jobs.values()], misread)
    answers: list[dict[int, ByClass]] = [{} for _ in merged]
    for (i, predictor), by_class in zip(jobs, found, strict=True):
        answers[i][predictor] = by_class
    indices = [tuple(prepared.index for prepared in group) for group in groups]
    return [Weighed(*one) for one in zip(merged, answers, indices, strict=True)]


def grouped(readings: Sequence[Prepared]) -> list[list[Prepared]]:
    """Put readings of one test under the same conditions together, where they agree and no repair lies between.

    They see the same part: counting them as independent would count its tolerance twice.
    """
    groups: list[list[Prepared]] = []
    for prepared in readings:
        for group in groups:
            if all(_repeats(earlier, prepared) for earlier in group):
                group.append(prepared)
                break
        else:
            groups.append([prepared])
    return groups


def _repeats(a: Prepared, b: Prepared) -> bool:
    same = a.test is b.test and a.event == b.event and a.situation == b.situation and a.stretch == b.stretch
    if not same or a.instrument.input_impedance != b.instrument.input_impedance:
        return False
    if a.event == "seen":
        return a.reading.seen == b.reading.seen
    stray = float(FLOOR[a.test.kind])
    return abs(a.value - b.value) <= 3 * hypot(a.uncertainty, b.uncertainty, stray)


def mean(group: Sequence[Prepared]) -> Prepared:
    """The weighted mean of readings that repeat each other.

    The meter's error is common to all, so the mean is no surer than the surest of them.
    """
    first = group[0]
    if len(group) == 1 or first.event != "value":
        return first
    least = 1e-9 * max(1e-9, *(abs(p.value) for p in group))
    weights = [1 / max(p.uncertainty, least) ** 2 for p in group]
    value = fsum(weight * p.value for weight, p in zip(weights, group, strict=True)) / fsum(weights)
    return replace(first, value=value, uncertainty=min(p.uncertainty for p in group))


def reading_pieces(weighed: Sequence[Weighed], opened: OpenBuilds, misread: float) -> list[Piece]:
    """The evidence of readings."""
    pieces = []
    for one in weighed:
        prepared, error = one.prepared, error_of(one.prepared, misread)
        if prepared.event == "seen":
            columns = _joined([_seen(prepared, build.compiled, misread, error) for build in opened.builds])
        else:
            predictors, index = opened.gather(prepared.test.id)
            by_class = [one.by_predictor[predictor].likelihood for predictor in predictors]
            likelihood = np.concatenate([*by_class, [error]])
            columns = np.log(likelihood)[index]
        pieces.append(Piece(prepared.source, columns, error, prepared.index))
    return pieces


def _seen(prepared: Prepared, compiled: Compiled, misread: float, error: float) -> Array:
    if prepared.test.id not in compiled.tests:
        # A build without this test explains its reading no better than a mistake would.
        return _constant(error, compiled)
    outcome = prepared.test.outcomes.index(str(prepared.reading.seen))
    return compiled.seen(prepared.test.id, outcome, prepared.situation, prepared.beeper, misread)


def _constant(likelihood: float, compiled: Compiled) -> Array:
    """The same log-likelihood under every hypothesis."""
    return np.full(len(compiled.hypotheses), np.log(likelihood))


def _joined(blocks: Sequence[Array]) -> Array:
    return blocks[0] if len(blocks) == 1 else np.concatenate(blocks)


def report_pieces(
    complaints: Sequence[str], working: Sequence[str], builds: Sequence[Build], supply: float | None,
) -> list[Piece]:  # fmt: skip
    """The evidence of complaints and of functions that are reported to work.

    Each piece is given those before it: reports about one function are about one and the same failure.
    """
    family = builds[0].compiled.family
    by_chance = {c.id: max(float(c.if_working), float(LEAST_REPORT)) for c in family.complaints}
    reports = [Reports(build.compiled, supply) for build in builds]
    pieces = []
    for complaint in complaints:
        # A build in which the complaint cannot arise explains it by chance only.
        chance = by_chance[complaint]
        blocks = [
            np.log(r.complained(complaint)) if complaint in r.compiled.complaints else _constant(chance, r.compiled)
            for r in reports
        ]  # fmt: skip
        pieces.append(Piece(f"complaint:{complaint}", _joined(blocks), chance))
    for function in working:
        wrong = float(WRONG_REPORT)
        blocks = [
            np.log(r.works(function)) if function in r.compiled.functions else _constant(wrong, r.compiled)
            for r in reports
        ]
        pieces.append(Piece(f"working:{function}", _joined(blocks), wrong))
    return pieces
