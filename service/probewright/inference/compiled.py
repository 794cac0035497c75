"""A family in one configuration, as arrays over its hypotheses.

Every array over hypotheses has the order of :class:`~probewright.inference.hypotheses.Hypotheses`; its last entry is
*something that the pack does not know*, under which anything that works may as well fail.
"""

from __future__ import annotations

from collections.abc import Mapping, MutableMapping, Sequence
from functools import lru_cache
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from probewright.circuit.measure import Dictionary
from probewright.circuit.parts import holds
from probewright.errors import PackModelError
from probewright.figures import Basis, Spread, from_memory, weakest
from probewright.inference.chances import (
    EVERY,
    HEALTHY,
    NO_METER,
    Beeper,
    ByBand,
    ByBeep,
    ByTable,
    Chances,
    Need,
    Some,
    Works,
)
from probewright.inference.hypotheses import Hypotheses
from probewright.inference.numeric import NumericModel, Predictor
from probewright.inference.seen import Threshold
from probewright.inference.situation import Situation
from probewright.packs.model import (
    Between,
    Complaint,
    Family,
    Function,
    Requirement,
    Shows,
    Stated,
    Table,
    Test,
    Through,
)  # fmt: skip

Array = NDArray[np.float64]
Index = NDArray[np.intp]
#: An unknown trouble leaves a function working, and any one reading healthy, this often.
UNKNOWN_LEAVES = from_memory(0.5)
UNKNOWN_LEAVES_READING = from_memory(0.75)
#: How often a function is reported as working although it fails.
WRONG_REPORT = from_memory(0.03)
#: Meters whose log-likelihoods are kept for one test.
_MOST_METERS = 32
#: Anything may be complained of this often, whatever a pack says: no report may rule everything out.
LEAST_REPORT = from_memory(1e-9)


class Dictionaries(Protocol):
    """Where the dictionaries of a configuration's circuits come from."""

    def predictor(self, test: Test, model: Between | Through | Shows | Stated) -> Predictor:
        """What a numeric test should read."""

    def of_test(self, test: Test, model: Between | Through | Shows) -> Dictionary:
        """The dictionary of a test."""

    def of_requirement(self, requirement: Requirement) -> Dictionary:
        """The dictionary of a requirement."""

    def table(self, test: Test, model: Table) -> tuple[tuple[str, ...], Index, Array]:
        """Faults, classes and rows of a stated table; see :func:`probewright.inference.seen.table_classes`."""

    def threshold(self, dictionary: Dictionary, at_least: Spread, place: int) -> Threshold:
        """How often a circuit value reaches a threshold; ``place`` keeps the edges of one test apart."""


class Compiled:
    """One family in one configuration."""

    def __init__(
        self, family: Family, configuration: Mapping[str, str], dictionaries: Dictionaries,
        hypotheses: Hypotheses | None = None,
    ) -> None:  # fmt: skip
        self.family = family
        self.configuration = dict(configuration)
        self.hypotheses = Hypotheses.of(family, configuration) if hypotheses is None else hypotheses
        self.tests = {t.id: t for t in family.tests if holds(t.when, configuration)}
        self.functions = {f.id: f for f in family.functions if holds(f.when, configuration)}
        self.complaints = {c.id: c for c in family.complaints if holds(c.when, configuration)}
        self.repairs = {r.id: r for r in family.repairs if holds(r.when, configuration)}
        self.dictionaries = dictionaries
        self.kept: dict[tuple[str, ...], Any] = {}  # what structure.classes prepares
        self.numeric = lru_cache(maxsize=256)(self._numeric)
        self.index = lru_cache(maxsize=256)(self._index)
        self._shown = lru_cache(maxsize=256)(self._shown_by)
        self._works = lru_cache(maxsize=256)(self._works_by)
        self.seen_basis = lru_cache(maxsize=256)(self._basis_of_seen)
        self._spared = lru_cache(maxsize=256)(self._spares)
        self._remembered = lru_cache(maxsize=32)(self._all_chances)
        self._sound = lru_cache(maxsize=1024)(self._of_sound)
        self.working = lru_cache(maxsize=8)(self._working)

    def singly(self) -> Compiled:
        """The same over no fault, the single faults and the unknown one alone: for what pairs do not matter to."""
        return Compiled(self.family, self.configuration, self.dictionaries, self.hypotheses.singly())

    def model(self, test: Test) -> Between | Through | Shows | Stated | Table:
        """The model of a test that holds in this configuration."""
        for model in test.models:
            if holds(model.when, self.configuration):
                return model
        raise PackModelError(f"test {test.id!r} has no model for {self.configuration}")

    def classes(self, faults: Sequence[str], table: Index) -> Index:
        """The class of each known hypothesis, from a table over pairs of some faults."""
        place = self.hypotheses.positions(faults)
        return np.asarray(table[place[self.hypotheses.first], place[self.hypotheses.second]])

    def _numeric(self, test_id: str) -> Predictor:
        """The predictor of a test whose reading is a number."""
        test = self.tests[test_id]
        model = self.model(test)
        if isinstance(model, Table):
            raise PackModelError(f"test {test_id!r} measures {test.kind} but its model is a table")
        return self.dictionaries.predictor(test, model)

    def _index(self, test_id: str) -> Index:
        """For a numeric test the class of each hypothesis; the unknown one has the number after the last class."""
        model: NumericModel = self.numeric(test_id).model
        return np.append(self.classes(model.faults, model.classes), model.classes.max() + 1)

    def chances(self, test_id: str, situation: Situation, meter: Beeper) -> Array:
        """Probabilities of the outcomes of a test that is seen or heard: shape (n_hypotheses, n_outcomes)."""
        return self._remembered(test_id, *self._relevant(test_id, situation, meter))

    def shown_by_supply(self, test_id: str) -> bool:
        """Whether the supply voltage makes a difference to a test that is seen or heard."""
        return self._shown(test_id).by_supply

    def _relevant(self, test_id: str, situation: Situation, meter: Beeper) -> tuple[float | None, Beeper]:
        """What of the conditions and the meter matters: the rest is left out, so that results can be remembered."""
        shown = self._shown(test_id)
        return situation.supply if shown.by_supply else None, meter if shown.by_meter else NO_METER

    def _all_chances(self, test_id: str, supply: float | None, meter: Beeper) -> Array:
        return _with_unknown(self._shown(test_id).known(volts([supply]), meter))[0]

    def healthy(self, test_id: str, situation: Situation, meter: Beeper) -> tuple[float, ...]:
        """Probabilities of the outcomes of a test that is seen or heard, of an appliance with nothing wrong."""
        return self._sound(test_id, *self._relevant(test_id, situation, meter))

    def _of_sound(self, test_id: str, supply: float | None, meter: Beeper) -> tuple[float, ...]:
        return tuple(self._shown(test_id).known(volts([supply]), meter, HEALTHY)[0, 0].tolist())

    def seen(
        self, test_id: str, outcomes: Sequence[int], situations: Sequence[Situation], meters: Sequence[Beeper],
        misread: float, members: Index, kept: MutableMapping[tuple[Beeper, float], Array],
    ) -> Array:  # fmt: skip
        """Log-likelihoods of what was seen or heard in several readings of one test.

        Parameters
        ----------
        outcomes : sequence of int, length n_readings
            Places among the test's outcomes.
        situations, meters : sequences, length n_readings
        members : ndarray of int, shape (n_classes,)
            The hypotheses that are asked about, last the unknown one.
        kept : mutable mapping
            What was worked out of these hypotheses before, and will be again.

        Returns
        -------
        ndarray of shape (n_readings, n_classes), in nats
        """
        relevant = [self._relevant(test_id, *one) for one in zip(situations, meters, strict=True)]
        keys = dict.fromkeys(relevant)
        if not self._shown(test_id).by_supply:  # there are few meters, and what they show can be remembered
            known = {key: self._logs(test_id, key[1], misread, members, kept) for key in keys}
            return np.array([known[key][outcome] for key, outcome in zip(relevant, outcomes, strict=True)])
        place = {key: i for i, key in enumerate(keys)}
        chances = self._several(test_id, list(keys), members[:-1])
        chosen = np.ascontiguousarray(chances[[place[key] for key in relevant], :, outcomes])
        return np.log((1 - misread) * chosen + misread / chances.shape[2])

    def _logs(
        self, test_id: str, meter: Beeper, misread: float, members: Index,
        kept: MutableMapping[tuple[Beeper, float], Array],
    ) -> Array:  # fmt: skip
        """Log-likelihoods of each outcome, whatever the supply: shape (n_outcomes, n_classes), in nats."""
        found = kept.get((meter, misread))
        if found is None:
            if len(kept) >= _MOST_METERS:
                kept.clear()
            [chances] = self._several(test_id, [(None, meter)], members[:-1])
            found = np.log((1 - misread) * np.ascontiguousarray(chances.T) + misread / chances.shape[1])
            kept[meter, misread] = found
        return found

    def _several(self, test_id: str, keys: Sequence[tuple[float | None, Beeper]], known: Index) -> Array:
        """Probabilities under several conditions: shape (n_keys, n_classes, n_outcomes)."""
        by_meter: dict[Beeper, list[int]] = {}
        for i, (_, meter) in enumerate(keys):
            by_meter.setdefault(meter, []).append(i)
        found = np.empty((len(keys), len(known) + 1, len(self.tests[test_id].outcomes)))
        for meter, places in by_meter.items():
            supplies = volts([keys[i][0] for i in places])
            found[places] = _with_unknown(self._shown(test_id).known(supplies, meter, known))
        return found

    def _shown_by(self, test_id: str) -> Chances:
        test = self.tests[test_id]
        model = self.model(test)
        if isinstance(model, Table):
            faults, classes, rows = self.dictionaries.table(test, model)
            without = [(self._need(r), _certain(test, outcome)) for r, outcome in model.without if self._applies(r)]
            return ByTable(rows[self.classes(faults, classes)], without)
        if isinstance(model, Shows):
            dictionary = self.dictionaries.of_test(test, model)
            edges = [self.dictionaries.threshold(dictionary, edge, i) for i, edge in enumerate(model.edges)]
            order = [model.outcomes.index(outcome) for outcome in test.outcomes]
            return ByBand(edges, order, self.classes(dictionary.faults, dictionary.classes))
        if isinstance(model, Between):
            dictionary = self.dictionaries.of_test(test, model)
            closed = [outcome == "closed" for outcome in test.outcomes]
            return ByBeep(dictionary, self.family, closed, self.classes(dictionary.faults, dictionary.classes))
        raise PackModelError(f"test {test.id!r} is {test.kind}, which its model cannot give")

    def _basis_of_seen(self, test_id: str) -> Basis:
        """What the healthy outcomes of a test rest on."""
        model = self.model(self.tests[test_id])
        if isinstance(model, Table):
            return weakest(figure.basis for figure in model.healthy.values())
        if isinstance(model, Shows):
            return weakest(edge.basis for edge in model.edges)
        return self.dictionaries.predictor(self.tests[test_id], model).model.basis

    def _applies(self, requirement: Requirement) -> bool:
        return holds(requirement.when, self.configuration)

    def _need(self, requirement: Requirement) -> Need:
        dictionary = self.dictionaries.of_requirement(requirement)
        threshold = self.dictionaries.threshold(dictionary, requirement.threshold, 0)
        index = self.classes(dictionary.faults, dictionary.classes)
        return Need(threshold, index, under=requirement.at_least is None)

    def _works_by(self, function_id: str) -> Works:
        function: Function = self.functions[function_id]
        survives = 1 - self.hypotheses.per_fault(function.fails_with)
        alone = 1.0 - float(function.fails_anyway or 0.0)
        needs = [self._need(requirement) for requirement in function.requires if self._applies(requirement)]
        return Works(needs, alone * survives[self.hypotheses.first] * survives[self.hypotheses.second])

    def _working(self, function_id: str, supply: float | None) -> Array:
        """Probability that a function works at a supply voltage: shape (n_hypotheses,)."""
        return self.working_at(function_id, volts([supply]))[0]

    def working_at(self, function_id: str, supplies: Array, known: Some = EVERY) -> Array:
        """Probability that a function works at several supply voltages (NaN: unknown).

        Returns
        -------
        ndarray of shape (n_supplies, n_classes + 1)
            Of the known hypotheses that are asked about, and last of the unknown one.
        """
        works = self._works(function_id).known(supplies, known)
        return np.concatenate([works, np.full((len(supplies), 1), float(UNKNOWN_LEAVES))], axis=1)

    def reported_working(self, function_id: str, supply: float | None) -> Array:
        """Probability that a function is reported as working: shape (n_hypotheses,)."""
        works = self.working(function_id, supply)
        return works * (1 - float(WRONG_REPORT)) + (1 - works) * float(WRONG_REPORT)

    def complained(self, complaint_id: str, supply: float | None) -> Array:
        """Probability that a complaint is made: shape (n_hypotheses,)."""
        complaint: Complaint = self.complaints[complaint_id]
        if complaint.function is not None and complaint.function in self.functions:
            works = self.working(complaint.function, supply)
            if_failed, if_working = self.complained_if(complaint_id)
            chance = if_failed + works * (if_working - if_failed)
        else:
            chance = 1 - (1 - float(complaint.if_working)) * self._spared(complaint_id)
        return np.maximum(chance, float(LEAST_REPORT))

    def complained_if(self, complaint_id: str, hypotheses: Some = EVERY) -> tuple[Array, Array]:
        """Probability that a complaint of a function is made where that fails, and where it works: (n_hypotheses,)."""
        complaint, spared = self.complaints[complaint_id], self._spared(complaint_id)[hypotheses]
        if_failed = complaint.if_working if complaint.if_failed is None else complaint.if_failed
        return 1 - (1 - float(if_failed)) * spared, 1 - (1 - float(complaint.if_working)) * spared

    def _spares(self, complaint_id: str) -> Array:
        """Probability that no fault shows as a complaint by itself: shape (n_hypotheses,)."""
        complaint, hypotheses = self.complaints[complaint_id], self.hypotheses
        unknown = 1.0
        if complaint.function not in self.functions and complaint.shown_by:
            unknown = 1 - float(UNKNOWN_LEAVES) * max(float(chance) for chance in complaint.shown_by.values())
        spared = 1 - hypotheses.per_fault(complaint.shown_by)
        return np.append(spared[hypotheses.first] * spared[hypotheses.second], unknown)


def volts(supplies: Sequence[float | None]) -> Array:
    """Supply voltages as an array, NaN for what nobody knows."""
    return np.array([np.nan if supply is None else supply for supply in supplies])


def _with_unknown(known: Array) -> Array:
    """Add the unknown hypothesis, under which a reading is healthy or anything, at the end of the middle axis."""
    leaves, outcomes = float(UNKNOWN_LEAVES_READING), known.shape[2]
    return np.concatenate([known, leaves * known[:, :1] + (1 - leaves) / outcomes], axis=1)


def _certain(test: Test, outcome: str) -> Array:
    return np.array([float(other == outcome) for other in test.outcomes])
