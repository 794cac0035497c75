"""From the posterior to what planning is told: one belief over the faults of all open builds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from probewright.inference.evaluate import Evaluation
from probewright.inference.outcomes import Place, Stack
from probewright.inference.situation import Situation
from probewright.inference.telling import told
from probewright.planning.belief import Belief, OutcomeTable, Tell
from probewright.quantities.units import convert
from probewright_schemas.records import Case, Quantity

Array = NDArray[np.float64]
#: Builds less likely than this are left out of the predictions of tests.
_LEAST_SHARE = 0.02
_MORE_LIKELY_THAN_NOT = 0.5


def belief(evaluation: Evaluation, tables: Sequence[Stack], tell: Tell | None = None) -> Belief:
    """What planning needs.

    Parameters
    ----------
    evaluation : Evaluation
    tables : sequence of Stack
        Outcome tables of each build of :func:`likely`, their tests cut alike.
    tell : callable or None
        As :func:`teller` makes it.
    """
    mixed = tables[0] if len(evaluation.readings.opened.builds) == 1 else _mixed(evaluation, tables)
    units = {test.id: test.unit for test in evaluation.readings.opened.builds[0].compiled.family.tests}
    outcomes = {
        test: OutcomeTable(
            mixed.labels[test], mixed.given[:, place.columns], place.edges, None if place.outcomes else units[test]
        )
        for test, place in mixed.places.items()
    }
    return Belief(
        evaluation.faults, evaluation.present, evaluation.none, evaluation.unknown, outcomes, tell, evaluation.together
    )


def teller(case: Case, evaluation: Evaluation) -> Tell:
    """What puts outcomes of measured tests into words under the conditions of a case.

    Of several builds the likeliest that has the test is told.
    """
    conditions = case.conditions
    situation = Situation(evaluation.readings.supply, _degrees(conditions.ambient), _degrees(conditions.set_point))
    builds, shares = evaluation.readings.opened.builds, evaluation.shares.tolist()
    order = sorted(range(len(builds)), key=lambda i: -shares[i])

    def tell(test: str, edges: tuple[float, ...]) -> tuple[str, ...]:
        compiled = next(builds[i].compiled for i in order if test in builds[i].compiled.tests)
        return told(compiled, compiled.tests[test], edges, situation, case.tech_sheet.get(test))

    return tell


def _degrees(given: Quantity | None) -> float | None:
    return None if given is None else convert(given.value, given.unit, "degC", "temperature")


def likely(evaluation: Evaluation) -> list[int]:
    """The builds whose predictions count."""
    found = [i for i, share in enumerate(evaluation.shares.tolist()) if share >= _LEAST_SHARE]
    return found or [int(np.argmax(evaluation.shares))]


def _mixed(evaluation: Evaluation, tables: Sequence[Stack]) -> Stack:
    """Predictions averaged over builds, by their shares; a build counts for the faults and tests that it has.

    A fault that no build with a test has leaves that test as a healthy appliance shows it.  Tests that the appliance
    more likely lacks than has are left out: nobody should be sent to look for them.
    """
    builds, chosen = evaluation.readings.opened.builds, likely(evaluation)
    aligned = _align(tuple(tables), tuple(builds[i].compiled.hypotheses.faults for i in chosen), evaluation.faults)
    shares = evaluation.shares[chosen]
    given = np.tensordot(shares, aligned.given, 1)
    weight = np.tensordot(shares, aligned.has, 1)
    healthy = given[0] / weight[0]
    places = {test: place for test, place in aligned.places.items() if weight[0, place.start] >= _MORE_LIKELY_THAN_NOT}
    return Stack(places, aligned.labels, np.where(weight > 0, given / np.where(weight > 0, weight, 1.0), healthy))


@dataclass(frozen=True, slots=True, eq=False)
class _Aligned:
    """Stacks of several builds over the tests and faults of all of them.

    ``given`` and ``has`` have the shape (n_builds, n_faults + 2, n_columns): the predictions, 0 where a build has none,
    and 1 where it has.
    """

    places: Mapping[str, Place]
    labels: Mapping[str, tuple[str, ...]]
    given: Array
    has: Array


@lru_cache(maxsize=64)
def _align(tables: tuple[Stack, ...], of: tuple[tuple[str, ...], ...], faults: tuple[str, ...]) -> _Aligned:
    """Lay stacks over each other; ``of`` are the faults of each."""
    places: dict[str, Place] = {}
    labels: dict[str, tuple[str, ...]] = {}
    width = 0
    for table in tables:
        for test, place in table.places.items():
            if test not in places:
                places[test], labels[test] = place._replace(start=width), table.labels[test]
                width = places[test].columns.stop
    given, has = np.zeros((2, len(tables), len(faults) + 2, width))
    for k, (table, own) in enumerate(zip(tables, of, strict=True)):
        columns = np.concatenate([np.arange(s.start, s.stop) for s in (places[test].columns for test in table.places)])
        cells = np.ix_(_rows(own, faults), columns)
        given[k][cells] = table.given
        has[k][cells] = 1.0
    return _Aligned(places, labels, given, has)


def _rows(own: tuple[str, ...], faults: tuple[str, ...]) -> NDArray[np.intp]:
    """Where a build's rows (no fault, its faults, unknown) stand among those of all faults."""
    place = {fault: i for i, fault in enumerate(faults, start=1)}
    return np.array([0, *(place[f] for f in own), len(faults) + 1], dtype=np.intp)
