"""What a repair does to what is believed: faults leave, and whether the complaint stayed says which did.

A repair removes each fault that it cures with its probability, so a hypothesis moves to what is left of it: from one
fault to none, from two to either, or to none.  Then the complaint is there or gone, as the appliance now is.

- **Gone**: a function was tried and works; a symptom without one stayed away as often as it was tried.  Something
  unknown, which no repair changes, had made the function fail if the complaint was there until then, and still does; of
  known faults a new part may tip what is marginal.
- **Still there**: a hypothesis that the repair left as it was shows what it showed before.  One that it changed must
  bring the complaint about with what is left; where no complaint is named, anything left may be it.  A repair that is
  sure to cure is still allowed to have been done badly, for that the complaint remained is the first sign of it.
- Of several repairs in a row after which it was gone the last one tells: nobody tries an appliance between all of them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from probewright.figures import common_practice, from_memory
from probewright.inference.builds import Build
from probewright.inference.compiled import LEAST_REPORT, Compiled
from probewright.inference.reports import Reports
from probewright.packs.model import Repair
from probewright_schemas.records import Case

Array = NDArray[np.float64]
Index = NDArray[np.intp]

#: How often an appliance is tried before a symptom is called gone.
TRIES = common_practice(3.0)
#: The least chance that a repair was done and the fault is still there, when the complaint is.
REPAIR_FAILS = from_memory(0.02)


@dataclass(frozen=True, slots=True, eq=False)
class _Passage:
    """One repair in one build, as chances over its hypotheses; the last is the unknown one, which nothing cures.

    ``left`` is the chance that both faults stay; ``to_second``, ``to_first`` and ``to_none`` that the other one of the
    two, or neither, does.  ``same`` and ``new`` are the likelihoods of how the complaint then was, where the repair
    changed nothing, and where something is left of what there was.
    """

    first: Index
    second: Index
    left: Array
    to_second: Array
    to_first: Array
    to_none: Array
    same: Array
    new: Array

    def forward(self, weights: Array) -> Array:
        known, count = weights[:-1], len(weights)
        # The single fault i stands at position i, no fault at 0.
        moved = np.bincount(self.second, known * self.to_second, count)
        moved += np.bincount(self.first, known * self.to_first, count)
        moved[0] += float(known @ self.to_none)
        return np.append(known * self.left, weights[-1]) * self.same + moved * self.new

    def backward(self, values: Array) -> Array:
        changed, stayed = self.new * values, self.same * values
        back = self.left * stayed[:-1] + self.to_second * changed[self.second] + self.to_first * changed[self.first]
        return np.append(back + self.to_none * changed[0], stayed[-1])


class Passages:
    """What one repair, and how the complaint was afterwards, does to weights over the columns of all builds."""

    def __init__(self, blocks: Sequence[_Passage]) -> None:
        self._blocks = tuple(blocks)
        self._ends = np.cumsum([len(block.same) for block in blocks])[:-1]

    def forward(self, weights: Array) -> Array:
        """Weights after the repair, from those before: shape (n_columns,), not normalised.

        Their sum is the probability of what became of the complaint.
        """
        parts = np.split(weights, self._ends)
        return np.concatenate([block.forward(part) for block, part in zip(self._blocks, parts, strict=True)])

    def backward(self, values: Array) -> Array:
        """Likelihood of what was found after the repair, by the column before it: shape (n_columns,).

        Parameters
        ----------
        values : ndarray of shape (n_columns,)
            Likelihood of it by the column after the repair.
        """
        parts = np.split(values, self._ends)
        return np.concatenate([block.backward(part) for block, part in zip(self._blocks, parts, strict=True)])


def passages(case: Case, builds: Sequence[Build], supply: float | None) -> list[Passages]:
    """What each repair of a case did, in their order.

    Parameters
    ----------
    builds : sequence of Build
        With hypotheses that are not merged.
    supply : float or None
        In V, None where nobody knows it.
    """
    done, found = case.repairs_done, []
    for i, repair in enumerate(done):
        was_there = i == 0 or done[i - 1].complaint_remains
        told = repair.complaint_remains or i + 1 == len(done) or done[i + 1].complaint_remains
        blocks = []
        for build in builds:
            compiled = build.compiled
            same = new = np.ones(len(compiled.hypotheses))
            if told:
                same, new = _complaint(case, compiled, supply, remains=repair.complaint_remains, was_there=was_there)
            record = compiled.repairs.get(repair.repair)
            blocks.append(_passage(compiled, record, same, new, failed=repair.complaint_remains))
        found.append(Passages(blocks))
    return found


def _passage(compiled: Compiled, repair: Repair | None, same: Array, new: Array, *, failed: bool) -> _Passage:
    hypotheses = compiled.hypotheses
    cure = hypotheses.per_fault({} if repair is None else repair.cures)
    if failed:
        cure = np.minimum(cure, 1.0 - float(REPAIR_FAILS))
    first, second = hypotheses.first, hypotheses.second
    gone_first, gone_second = cure[first], cure[second]
    # A single fault has nothing second: when it goes, nothing is left, which stands at position 0 as the second does.
    return _Passage(
        first, second, (1 - gone_first) * (1 - gone_second), gone_first * (1 - gone_second),
        (1 - gone_first) * gone_second, gone_first * gone_second, same, new,
    )  # fmt: skip


def _complaint(
    case: Case, compiled: Compiled, supply: float | None, *, remains: bool, was_there: bool
) -> tuple[Array, Array]:
    """Likelihood of how the complaint was after a repair, for hypotheses that it left alone and that it changed."""
    if not remains:
        quiet = _quiet(case, compiled, supply, Reports(compiled, supply))
        if not was_there:
            return quiet, quiet
        stayed = _quiet(case, compiled, supply, _complained(case, compiled, supply))
        return np.append(quiet[:-1], stayed[-1]), quiet
    there = _there(case, compiled, supply)
    return (np.ones(len(there)) if was_there else there), there


def _there(case: Case, compiled: Compiled, supply: float | None) -> Array:
    """Likelihood that something complained of is there: shape (n_hypotheses,)."""
    absent = np.ones(len(compiled.hypotheses))
    by_chance = {complaint.id: float(complaint.if_working) for complaint in compiled.family.complaints}
    by_function, others = _sorted(case, compiled)
    for function, complaints in by_function.items():
        fails = works = np.ones(len(absent))
        for complaint in complaints:
            if_failed, if_working = compiled.complained_if(complaint)
            fails, works = fails * (1 - if_failed), works * (1 - if_working)
        chance = compiled.working(function, supply)
        absent = absent * (fails + chance * (works - fails))
    for complaint in others:
        made = compiled.complained(complaint, supply) if complaint in compiled.complaints else by_chance[complaint]
        absent = absent * (1 - made)
    if not case.complaints:
        absent[1:] = 0.0  # anything left may be it
    return np.maximum(1 - absent, float(LEAST_REPORT))


def _complained(case: Case, compiled: Compiled, supply: float | None) -> Reports:
    """What is known of functions from the complaints themselves."""
    reports = Reports(compiled, supply)
    for complaint in case.complaints:
        if complaint in compiled.complaints:
            reports.complained(complaint)
    return reports


def _quiet(case: Case, compiled: Compiled, supply: float | None, known: Reports) -> Array:
    """Likelihood that nothing complained of shows any more, as functions are ``known``: shape (n_hypotheses,)."""
    likelihood = np.ones(len(compiled.hypotheses))
    by_function, others = _sorted(case, compiled)
    for function in by_function:  # tried once, whatever was said of it
        likelihood = likelihood * known.works(function)
    for complaint in others:
        if complaint in compiled.complaints:
            likelihood = likelihood * (1 - compiled.complained(complaint, supply)) ** float(TRIES)
    return likelihood


def _sorted(case: Case, compiled: Compiled) -> tuple[dict[str, list[str]], list[str]]:
    """The complaints of each function of a build, and those that are of none."""
    by_function: dict[str, list[str]] = {}
    others: list[str] = []
    for complaint in case.complaints:
        record = compiled.complaints.get(complaint)
        if record is not None and record.function in compiled.functions:
            by_function.setdefault(str(record.function), []).append(complaint)
        else:
            others.append(complaint)
    return by_function, others
