"""What each test would show next, in the few outcomes that matter to a decision.

What is seen has its own outcomes.  The axis of a measured value is cut where that tells most of what is to be done
(:mod:`probewright.inference.cuts`), weighing the faults that the test can see by their rates, together as likely as
everything that it cannot see.  Probabilities of outcomes are those of readings with the test's usual meter: samples of
the model, blurred as in :mod:`probewright.inference.likelihood`, and a share of misread ones.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import hypot, inf, isfinite
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from probewright.inference.compiled import UNKNOWN_LEAVES_READING, Compiled
from probewright.inference.cuts import candidates, choose
from probewright.inference.numeric import Predictor
from probewright.inference.reading_axis import ROOM, Axis, limits
from probewright.inference.situation import Situation
from probewright.inference.telling import told
from probewright.packs.model import Repair, Test
from probewright.quantities.instruments import resolve

#: Share of a hazard's limit within which a cut is no news beside it.
_CLOSE = 0.05
Array = NDArray[np.float64]
Index = NDArray[np.intp]
Edges = tuple[float, ...]

#: What reads less than this share of the least healthy value may be called nothing.
_ABSENT = 0.1
#: Standard deviations of meter and stray that a cut must lie from nothing: under it nobody sees a difference.
_TOLD_FROM_NOTHING = 0.5
#: Cuts of two builds that differ by less than this share are one.
_SAME = 0.01
_NO_RATE = 1e-300
#: Weight of all that a test cannot see, as one course of action: look elsewhere.
_ELSEWHERE = 0.5


def single_faults(compiled: Compiled) -> slice:
    """Where *no fault* and the single faults stand among the hypotheses."""
    return slice(0, len(compiled.hypotheses.faults) + 1)


def courses(compiled: Compiled) -> dict[str, str]:
    """The repair that each fault calls for: the surest, of those the quickest; faults without one are left out."""
    found: dict[str, str] = {}
    for fault in compiled.hypotheses.faults:
        curing = [repair for repair in compiled.repairs.values() if float(repair.cures.get(fault, 0.0)) > 0]
        if curing:
            found[fault] = min(curing, key=lambda r: _rank(r, fault)).id
    return found


def _rank(repair: Repair, fault: str) -> tuple[float, float, str]:
    return -float(repair.cures[fault]), float(repair.minutes), repair.id


class Axes:
    """The axes of measured tests, shared by all builds whose wiring gives the same predictions, and bounded."""

    def __init__(self) -> None:
        self.axis = lru_cache(maxsize=512)(self._axis)
        self.under = lru_cache(maxsize=2048)(self._under)
        self.cuts = lru_cache(maxsize=512)(self._cuts)

    def _axis(
        self, kind: str, unit: str, predictor: Predictor, classes: tuple[int, ...], supply: float | None,
    ) -> Axis:  # fmt: skip
        """In a room: whoever takes a reading that needs a temperature notes it."""
        meter = resolve(None, kind)
        at = Situation(supply=supply, ambient=float(ROOM), set_point=0.0)
        return Axis(unit, predictor.predict(at, meter.input_impedance, meter.maximum_resistance), classes, meter)

    def _under(self, axis: Axis, edges: Edges) -> tuple[Array, Array]:
        return axis.under(edges), axis.misread_under(edges)

    def _cuts(self, axis: Axis, known: Edges, weights: tuple[tuple[float, ...], ...]) -> Edges:
        extra = [x for x in (axis.low, axis.high) if x is not None]
        least, low = -inf, axis.low or 0.0
        if not axis.signed:
            least = _TOLD_FROM_NOTHING * axis.deviation(0.0)
            extra.append(least)
        if (1 - _ABSENT) * low > hypot(float(axis.width[0].max()), axis.floor):
            extra.append(_ABSENT * low)
        told = (*known, axis.over) if isfinite(axis.over) and axis.is_over.any() else known
        shown = np.where(axis.values > axis.over, axis.values.min(), axis.values)
        places = candidates(shown, axis.deviation, [*extra, *told])
        places = [place for place in places if place in told or least <= place <= axis.over]
        return choose(places, axis.under, np.array(weights), told)


class Place(NamedTuple):
    """Where a test stands in a stack: its outcomes in the pack's words, its cuts, its first column.

    Either outcomes or cuts are empty; what is measured has one outcome more than cuts.
    """

    outcomes: tuple[str, ...]
    edges: Edges
    start: int

    @property
    def columns(self) -> slice:
        """The columns of the test."""
        return slice(self.start, self.start + (len(self.outcomes) or len(self.edges) + 1))


@dataclass(frozen=True, slots=True, eq=False)
class Stack:
    """The outcome tables of many tests side by side.

    ``places`` maps a test id to where it stands, ``labels`` to its outcomes in words where nothing is known of the
    conditions; ``given`` has shape (n_faults + 2, n_columns).
    """

    places: Mapping[str, Place]
    labels: Mapping[str, tuple[str, ...]]
    given: Array


class Tables:
    """The outcome tables of one compiled configuration, made when first asked for."""

    def __init__(self, compiled: Compiled, axes: Axes | None = None) -> None:
        self.compiled = compiled.singly()
        self._axes = Axes() if axes is None else axes
        self.stack = lru_cache(maxsize=4)(self._stack)
        self.cuts = lru_cache(maxsize=1)(self._all_cuts)
        self._calls_for = courses(self.compiled)

    def axis(self, test: Test, *, supply_known: bool = False) -> tuple[Axis, Index]:
        """The axis of a measured test, and the class on it of *no fault* and each single fault."""
        index = self.compiled.index(test.id)[single_faults(self.compiled)]
        classes, places = np.unique(index, return_inverse=True)
        known = supply_known and not test.measures
        supply = float(self.compiled.family.supply.nominal) if known else None
        predictor = self.compiled.numeric(test.id)
        axis = self._axes.axis(test.kind, str(test.unit), predictor, tuple(classes.tolist()), supply)
        return axis, places

    def weights(self, test: Test) -> Array:
        """How likely each class goes with each course of action, as cuts are chosen by: shape (n_classes, n_courses).

        Classes as :meth:`axis` gives them; the first course is to look elsewhere.
        """
        _, places = self.axis(test)
        calls_for, faults = self._calls_for, self.compiled.hypotheses.faults
        rates = np.exp(self.compiled.hypotheses.log_prior[1 : len(faults) + 1])
        # A class that no fault of this build has is not weighed, nor is a course that nothing seen calls for.
        seen = [i for i in range(len(faults)) if places[i + 1] != places[0]]
        columns = {name: i for i, name in enumerate(sorted({calls_for.get(faults[i], "") for i in seen}), start=1)}
        weights = np.zeros((int(places.max()) + 1, len(columns) + 1))
        for i in seen:
            weights[places[i + 1], columns[calls_for.get(faults[i], "")]] += float(rates[i])
        weights[:, 1:] *= (1 - _ELSEWHERE) / max(float(weights.sum()), _NO_RATE)
        weights[places[0], 0] = _ELSEWHERE
        return weights

    def _all_cuts(self) -> Mapping[str, Edges]:
        """The cuts of every measured test."""
        measured = [test for test in self.compiled.tests.values() if not test.outcomes]
        return {test.id: self._with_hazards(test, self._cuts(test)) for test in measured}

    def _with_hazards(self, test: Test, cuts: Edges) -> Edges:
        """Cuts with the limits above which a hazard is there; what lies close to one gives way to it."""
        limits = [float(lock.above[test.id]) for lock in self.compiled.family.interlocks if test.id in lock.above]
        kept = [cut for cut in cuts if all(abs(cut - limit) > _CLOSE * abs(limit) for limit in limits)]
        return tuple(sorted({*kept, *limits}))

    def _cuts(self, test: Test) -> Edges:
        known = tuple(x for x in limits(test, self.compiled.configuration) if x is not None)
        # Rounded, so that builds that differ in nothing that matters here share their cuts to the last bit.
        weights = tuple(tuple(float(f"{x:.9g}") for x in row) for row in self.weights(test).tolist())
        return self._axes.cuts(self.axis(test)[0], known, weights)

    def _stack(
        self, misread: float, cuts: tuple[tuple[str, Edges], ...] | None = None, *, supply_known: bool = False,
    ) -> Stack:  # fmt: skip
        """All tests of the build.

        Parameters
        ----------
        misread : float
            Share of misread values.
        cuts : tuple of (test id, edges) or None
            Where to cut; None: where this build's own cuts are.
        supply_known : bool
            Whether readings that follow the supply are compared with what the supply that was measured gives.
        """
        edges = self.cuts() if cuts is None else dict(cuts)
        places, labels, parts, width = {}, {}, [], 0
        for test in self.compiled.tests.values():
            if test.outcomes:
                place, labels[test.id] = Place(test.outcomes, (), width), test.outcomes
                rows = self._seen(test, misread)
            else:
                place = Place((), edges[test.id], width)
                labels[test.id] = told(self.compiled, test, edges[test.id])
                rows = self._measured(test, edges[test.id], misread, supply_known=supply_known)
            places[test.id] = place
            width += rows.shape[1]
            parts.append(rows)
        rows = np.concatenate(parts, axis=1) if parts else np.zeros((len(self.compiled.hypotheses.faults) + 2, 0))
        return Stack(places, labels, rows)

    def _seen(self, test: Test, misread: float) -> Array:
        meter = resolve(None, test.kind)
        beeper = (meter.beeper_threshold, meter.lead_offset, meter.maximum_resistance)
        chances = self.compiled.chances(test.id, Situation(ambient=float(ROOM), set_point=0.0), beeper)
        rows = np.vstack([chances[single_faults(self.compiled)], chances[-1]])
        return np.asarray((1 - misread) * rows + misread / len(test.outcomes))

    def _measured(self, test: Test, edges: Edges, misread: float, *, supply_known: bool) -> Array:
        axis, places = self.axis(test, supply_known=supply_known)
        under, wrong = self._axes.under(axis, edges)
        # Where a meter changes its range its error jumps: no outcome may become less than impossible by that.
        by_class = np.diff(np.maximum.accumulate(under, axis=1), axis=1, prepend=0.0, append=1.0)
        error = np.diff(wrong, prepend=0.0, append=1.0)
        leaves = float(UNKNOWN_LEAVES_READING)
        known = (1 - misread) * by_class[places] + misread * error
        return np.vstack([known, leaves * known[0] + (1 - leaves) * error])


def shared_stacks(tables: Sequence[Tables], misread: float, *, supply_known: bool = False) -> tuple[Stack, ...]:
    """The stacks of several builds, cut alike where their cuts differ.

    Parameters
    ----------
    tables : sequence of Tables
        Likeliest build first: of cuts that lie next to each other its own stay.
    """
    if all(table.cuts() == tables[0].cuts() for table in tables[1:]):
        return tuple(table.stack(misread, supply_known=supply_known) for table in tables)
    joint: dict[str, list[float]] = {}
    for table in tables:
        for test, edges in table.cuts().items():
            kept = joint.setdefault(test, [])
            kept += [edge for edge in edges if all(abs(edge - k) > _SAME * max(abs(edge), abs(k)) for k in kept)]
    found = {test: tuple(sorted(edges)) for test, edges in joint.items()}
    return tuple(
        table.stack(misread, tuple((t, found[t]) for t in table.cuts()), supply_known=supply_known) for table in tables
    )
