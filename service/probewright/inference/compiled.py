"""A family in one configuration, as arrays over its hypotheses.

Every array over hypotheses has the order of :class:`~probewright.inference.hypotheses.Hypotheses`; its last entry is
*something that the pack does not know*, under which anything that works may as well fail.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from probewright.circuit.measure import Dictionary
from probewright.circuit.parts import holds
from probewright.errors import PackModelError
from probewright.figures import from_memory
from probewright.inference.hypotheses import Hypotheses
from probewright.inference.numeric import NumericModel, Predictor
from probewright.inference.seen import chance_of_at_least, chance_of_closed, chances_of_bands, table_classes
from probewright.inference.situation import Situation, supply_scale
from probewright.packs.model import (
    Between,
    Complaint,
    Family,
    Function,
    Repair,
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


Beeper = tuple[float, float, float]
"""Of a continuity test's meter: threshold of the beeper, leads, and most ohms shown; all in ohm."""


class Dictionaries(Protocol):
    """Where the dictionaries of a configuration's circuits come from."""

    def predictor(self, test: Test, model: Between | Through | Shows | Stated) -> Predictor:
        """What a numeric test should read."""

    def of_test(self, test: Test, model: Between | Through | Shows) -> Dictionary:
        """The dictionary of a test."""

    def of_requirement(self, requirement: Requirement) -> Dictionary:
        """The dictionary of a requirement."""


class Compiled:
    """One family in one configuration; ``whole`` is the same with its hypotheses unmerged."""

    def __init__(
        self, family: Family, configuration: Mapping[str, str], dictionaries: Dictionaries,
        hypotheses: Hypotheses | None = None, whole: Compiled | None = None,
    ) -> None:  # fmt: skip
        self.whole = self if whole is None else whole
        self.family = family
        self.configuration = dict(configuration)
        self.hypotheses = Hypotheses.of(family, configuration) if hypotheses is None else hypotheses
        self.tests = {t.id: t for t in family.tests if holds(t.when, configuration)}
        self.functions = {f.id: f for f in family.functions if holds(f.when, configuration)}
        self.complaints = {c.id: c for c in family.complaints if holds(c.when, configuration)}
        self.repairs = {r.id: r for r in family.repairs if holds(r.when, configuration)}
        self.dictionaries = dictionaries
        self.numeric = lru_cache(maxsize=256)(self._numeric)
        self.index = lru_cache(maxsize=256)(self._index)
        self.chances = lru_cache(maxsize=256)(self._chances)
        self.working = lru_cache(maxsize=256)(self._working)
        self.complained = lru_cache(maxsize=256)(self._complained)
        self.seen = lru_cache(maxsize=512)(self._seen)
        self.complaint_columns = lru_cache(maxsize=256)(self._complaint_columns)
        self.working_columns = lru_cache(maxsize=256)(self._working_columns)

    def merged(self, labels: Index) -> Compiled:
        """The same over hypotheses that are put together by labels; see :meth:`Hypotheses.merged`."""
        hypotheses = self.hypotheses.merged(labels)
        return Compiled(self.family, self.configuration, self.dictionaries, hypotheses, self.whole)

    def model(self, test: Test) -> Between | Through | Shows | Stated | Table:
        """The model of a test that holds in this configuration."""
        for model in test.models:
            if holds(model.when, self.configuration):
                return model
        raise PackModelError(f"test {test.id!r} has no model for {self.configuration}")

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

    def classes(self, faults: Sequence[str], table: Index) -> Index:
        """The class of each known hypothesis, from a table over pairs of some faults."""
        place = self.hypotheses.positions(faults)
        return np.asarray(table[place[self.hypotheses.first], place[self.hypotheses.second]])

    def _chances(self, test_id: str, situation: Situation, meter: Beeper) -> Array:
        """Probabilities of the outcomes of a test that is seen or heard: shape (n_hypotheses, n_outcomes)."""
        test = self.tests[test_id]
        model = self.model(test)
        known = self._known_chances(test, model, situation, meter)
        leaves = float(UNKNOWN_LEAVES_READING)
        unknown = leaves * known[0] + (1 - leaves) / len(test.outcomes)
        return np.vstack([known, unknown])

    def _seen(
        self, test_id: str, outcome: int, situation: Situation, meter: Beeper, misread: float,
    ) -> tuple[Array, Array]:  # fmt: skip
        """Log-likelihoods and likelihoods of one outcome: each of shape (n_hypotheses,)."""
        chances = self.chances(test_id, situation, meter)
        likelihood = (1 - misread) * chances[:, outcome] + misread / chances.shape[1]
        return np.log(likelihood), likelihood

    def _complaint_columns(self, complaint_id: str, situation: Situation) -> tuple[Array, Array]:
        """The same of a complaint."""
        likelihood = self.complained(complaint_id, situation)
        return np.log(likelihood), likelihood

    def _working_columns(self, function_id: str, situation: Situation) -> tuple[Array, Array]:
        """The same of a function that is reported to work."""
        likelihood = self.reported_working(function_id, situation)
        return np.log(likelihood), likelihood

    def _known_chances(
        self, test: Test, model: object, situation: Situation, meter: Beeper,
    ) -> Array:  # fmt: skip
        if isinstance(model, Table):
            return self._table_chances(test, model, situation)
        if isinstance(model, Shows):
            dictionary = self.dictionaries.of_test(test, model)
            by_class = chances_of_bands(dictionary, supply_scale(situation, self.family.supply), model.edges)
            ordered = by_class[:, [model.outcomes.index(o) for o in test.outcomes]]
            return np.asarray(ordered[self.classes(dictionary.faults, dictionary.classes)])
        if isinstance(model, Between):
            dictionary = self.dictionaries.of_test(test, model)
            beeps = chance_of_closed(dictionary, *meter)[self.classes(dictionary.faults, dictionary.classes)]
            return np.stack([beeps if outcome == "closed" else 1 - beeps for outcome in test.outcomes], axis=-1)
        raise PackModelError(f"test {test.id!r} is {test.kind}, which its model cannot give")

    def _table_chances(self, test: Test, model: Table, situation: Situation) -> Array:
        faults, classes, rows = table_classes(model, test.outcomes)
        chances = np.asarray(rows[self.classes(faults, classes)])
        for requirement, outcome in model.without:
            met = self._met(requirement, situation)[:, None]
            certain = np.array([float(o == outcome) for o in test.outcomes])
            chances = met * chances + (1 - met) * certain
        return chances

    def _met(self, requirement: Requirement, situation: Situation) -> Array:
        """Probability that a requirement is met, by known hypothesis."""
        if not holds(requirement.when, self.configuration):
            return np.ones(len(self.hypotheses) - 1)
        dictionary = self.dictionaries.of_requirement(requirement)
        by_class = chance_of_at_least(dictionary, supply_scale(situation, self.family.supply), requirement.at_least)
        return np.asarray(by_class[self.classes(dictionary.faults, dictionary.classes)])

    def _working(self, function_id: str, situation: Situation) -> Array:
        """Probability that a function works: shape (n_hypotheses,)."""
        function: Function = self.functions[function_id]
        hypotheses = self.hypotheses
        works = np.full(len(hypotheses) - 1, 1.0 - float(function.fails_anyway or 0.0))
        for requirement in function.requires:
            works = works * self._met(requirement, situation)
        survives = 1 - hypotheses.per_fault(function.fails_with)
        works = works * survives[hypotheses.first] * survives[hypotheses.second]
        return np.append(works, float(UNKNOWN_LEAVES))

    def reported_working(self, function_id: str, situation: Situation) -> Array:
        """Probability that a function is reported as working: shape (n_hypotheses,)."""
        works = self.working(function_id, situation)
        return works * (1 - float(WRONG_REPORT)) + (1 - works) * float(WRONG_REPORT)

    def _complained(self, complaint_id: str, situation: Situation) -> Array:
        """Probability that a complaint is made: shape (n_hypotheses,)."""
        complaint: Complaint = self.complaints[complaint_id]
        hypotheses = self.hypotheses
        quiet = np.full(len(hypotheses), 1 - float(complaint.if_working))
        unknown = 1.0
        if complaint.function is not None and complaint.function in self.functions:
            works = self.working(complaint.function, situation)
            if_failed = float(complaint.if_failed if complaint.if_failed is not None else complaint.if_working)
            quiet = works * quiet + (1 - works) * (1 - if_failed)
        elif complaint.shown_by:
            unknown = 1 - float(UNKNOWN_LEAVES) * max(float(chance) for chance in complaint.shown_by.values())
        spared = 1 - hypotheses.per_fault(complaint.shown_by)
        quiet[:-1] *= spared[hypotheses.first] * spared[hypotheses.second]
        quiet[-1] *= unknown
        return 1 - quiet

    def remains(self, repair: Repair) -> Array:
        """Probability that a repair left each hypothesis' faults in place: shape (n_hypotheses,)."""
        left = 1 - self.hypotheses.per_fault(repair.cures)
        return np.append(left[self.hypotheses.first] * left[self.hypotheses.second], 1.0)
