"""Usable readings weighed: those that repeat each other merged, and what each class of hypotheses says of them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import fsum, hypot

from probewright.inference.builds import OpenBuilds
from probewright.inference.densities import ByClass, numeric_by_class
from probewright.inference.numeric import FLOOR, MISREAD_OVER, MISREAD_UNDER, Predicted, misread_density
from probewright.inference.prepared import Prepared
from probewright.inference.rulers import Band, rulers_of
from probewright_schemas.records import Limits


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
    by_predictor: dict[int, ByClass]
    indices: tuple[int, ...]


@dataclass(slots=True)  # not frozen: made too often for what freezing costs
class Usable:
    """The usable readings of one case, with the builds that it leaves open and its technical sheet."""

    readings: Sequence[Prepared]
    opened: OpenBuilds
    tech_sheet: Mapping[str, Limits]


def weigh(cases: Sequence[Usable], misread: float) -> list[list[Weighed]]:
    """Compute the likelihoods by class of all usable readings, those of one case that repeat each other merged."""
    weighed: list[list[Weighed]] = []
    jobs: list[tuple[Weighed, int, Prepared, Predicted]] = []
    for case in cases:
        merged = [Weighed(mean(group), {}, tuple([p.index for p in group])) for group in grouped(case.readings)]
        weighed.append(merged)
        jobs += (job for one in merged if one.prepared.event != "seen" for job in _jobs(one, case))
    found = numeric_by_class([job[2] for job in jobs], [job[3] for job in jobs], misread)
    for (one, predictor, _, _), by_class in zip(jobs, found, strict=True):
        one.by_predictor[predictor] = by_class
    return weighed


def _jobs(one: Weighed, case: Usable) -> Iterator[tuple[Weighed, int, Prepared, Predicted]]:
    """What a numeric reading is to be compared with: once for all builds that predict the same."""
    prepared, done = one.prepared, set()
    sheet = case.tech_sheet.get(prepared.test.id)
    for ruler in rulers_of(case.opened, prepared.test).rulers:
        predictor = id(ruler.predictor)
        if predictor not in done:
            done.add(predictor)
            predicted = ruler.predict(prepared)
            own = prepared if sheet is None else onto_model_scale(prepared, predicted, ruler.band(prepared, sheet))
            yield one, predictor, own, predicted


def grouped(readings: Sequence[Prepared]) -> list[list[Prepared]]:
    """Put readings of one test under the same conditions together, where they agree and no repair lies between.

    They see the same part: counting them as independent would count its tolerance twice.
    """
    if len({prepared.test.id for prepared in readings}) == len(readings):
        return [[prepared] for prepared in readings]
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
