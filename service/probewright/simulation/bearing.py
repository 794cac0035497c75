"""What a technician without a planner goes by: what the engine believes, and which tests bear on a complaint."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from probewright import engine
from probewright.figures import common_practice
from probewright.inference.compiled import Compiled
from probewright.inference.configurations import configurations
from probewright.inference.situation import Situation
from probewright.inference.store import ModelStore
from probewright.packs.model import Family, Test
from probewright.packs.registry import LoadedPack
from probewright.quantities.instruments import resolve
from probewright.settings import Settings
from probewright.simulation.ledger import full_cost, remedy
from probewright_schemas.records import Case, Step

Array = NDArray[np.float64]

#: degC at parts that were not used for a while.
ROOM = common_practice(21.0)
#: Nats that a test tells of what is wrong, under what a complaint alone leaves open, from which it bears on it.
BEARS = 0.01


@dataclass(frozen=True, slots=True)
class Believed:
    """What the engine makes of a case.

    ``present`` is the probability that each fault is there; ``explains`` that it is what explains the case, one fault
    at a time, together with ``none`` and ``unknown`` adding up to 1.  ``halt`` is the step of an interlock that holds.
    """

    present: Mapping[str, float]
    explains: Mapping[str, float]
    none: float
    unknown: float
    halt: Step | None


class Mind:
    """A pack and settings, asked for beliefs and never for advice."""

    def __init__(self, pack: LoadedPack, settings: Settings) -> None:
        self.pack, self.settings = pack, settings
        self._rates = {fault.id: float(fault.rate) for fault in pack.family.faults}
        self._store = ModelStore(pack.family)
        self.remedies = _remedies(pack.family)
        self._bearing = lru_cache(maxsize=1024)(self._bears)

    def believed(self, case: Case) -> Believed:
        """What is believed of a case."""
        answer = engine.diagnose(replace(case, effort="none"), self.pack, self.settings)
        present = {ranked.fault: ranked.probability for ranked in answer.faults}
        # Bystanders, as likely as before anybody called, explain nothing.
        rise = {f: max(0.0, (p - self._rates[f]) / (1.0 - self._rates[f])) for f, p in present.items()}
        share = max(0.0, 1.0 - answer.no_fault - answer.unexplained) / (sum(rise.values()) or 1.0)
        explains = {fault: value * share for fault, value in rise.items()}
        return Believed(present, explains, answer.no_fault, answer.unexplained, answer.next)

    def bearing(self, case: Case) -> frozenset[str]:
        """The tests that bear on a case's complaints: that tell more than :data:`BEARS` of what is wrong."""
        return self._bearing(tuple(sorted(case.options.items())), case.complaints)

    def closing_tests(self, case: Case) -> frozenset[str]:
        """The tests that show that the repairs done have succeeded."""
        family = self.pack.family
        done = {repair.repair for repair in case.repairs_done}
        wanted = {check for repair in family.repairs if repair.id in done for check in repair.closing_checks}
        return frozenset(c.test for c in family.closings if c.id in wanted and c.test is not None)

    def _bears(self, options: tuple[tuple[str, str], ...], complaints: tuple[str, ...]) -> frozenset[str]:
        family = self.pack.family
        found = configurations(family, dict(options))
        believed = self.believed(Case(family.id, options=dict(options), complaints=complaints))
        compiled = self._store.compiled(found[0]).singly()
        weights = np.array([
            believed.none, *(believed.explains.get(f, 0.0) for f in compiled.hypotheses.faults), believed.unknown
        ])  # fmt: skip
        weights /= weights.sum()
        tests = [test for test in compiled.tests.values() if not (test.closing or test.reported)]
        tables = {test.id: verdicts(compiled, test) for test in tests}
        return frozenset(test for test, table in tables.items() if told(weights, table) > BEARS)


def _remedies(family: Family) -> dict[str, float]:
    """What the remedy of each fault costs, in any build."""
    found = {fault.id: remedy(family, family.repairs, fault.id) for fault in family.faults}
    return {fault: full_cost(family, repair) for fault, repair in found.items() if repair is not None}


def verdicts(compiled: Compiled, test: Test) -> Array:
    """What a technician tells from a test, by hypothesis: what is seen, or a number under, in or over its healthy band.

    Parameters
    ----------
    compiled : Compiled
        Of no fault, single faults and the unknown one.

    Returns
    -------
    ndarray of shape (n_hypotheses, n_outcomes); each row adds up to 1.
    """
    meter, at = resolve(None, test.kind), Situation(None, float(ROOM), 0.0)
    if test.outcomes:
        return compiled.chances(test.id, at, (meter.beeper_threshold, meter.lead_offset, meter.maximum_resistance))
    predicted = compiled.numeric(test.id).predict(at, meter.input_impedance, meter.maximum_resistance)
    low = -np.inf if predicted.low is None else predicted.low - predicted.floor
    high = np.inf if predicted.high is None else predicted.high + predicted.floor
    values = predicted.values * predicted.scale
    under, over = (values < low).mean(axis=1), (values > high).mean(axis=1)
    by_class = np.stack([under, 1 - under - over, over], axis=1)
    # Something unknown may leave a reading as it is.
    return np.asarray(np.vstack([by_class, by_class[:1]])[compiled.index(test.id)])


def told(weights: Array, table: Array) -> float:
    """Nats that an outcome tells of a hypothesis: their mutual information.

    Parameters
    ----------
    weights : ndarray of shape (n_hypotheses,), adding up to 1
    table : ndarray of shape (n_hypotheses, n_outcomes)
        Probability of each outcome under each hypothesis.
    """
    outcomes = weights @ table
    ratio = np.log(np.maximum(table, 1e-300) / np.maximum(outcomes, 1e-300))
    return float((weights[:, None] * table * ratio).sum())
