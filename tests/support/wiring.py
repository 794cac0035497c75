"""Tests of a family as its circuits answer them."""

from __future__ import annotations

import numpy as np

from probewright.circuit.measure import Dictionary, Measurement, dictionaries
from probewright.circuit.parts import holds
from probewright.circuit.solve import Setting
from probewright.packs.model import Between, Family, Through


class Wiring:
    """Solves one test of the family in one build: ideal meters, nominal supply."""

    def __init__(self, family: Family, build: dict[str, str]) -> None:
        self._family, self.build = family, build
        self._faults = [f.id for f in family.faults if holds(f.when, build)]
        self._solved: dict[str, Dictionary] = {}

    def solve(self, test_id: str) -> Dictionary:
        """The dictionary of a test, solved once."""
        if test_id not in self._solved:
            self._solved[test_id] = self._solve(test_id)
        return self._solved[test_id]

    def _solve(self, test_id: str) -> Dictionary:
        test = next(t for t in self._family.tests if t.id == test_id)
        model = next(m for m in test.models if holds(m.when, self.build))
        powered = next(s.powered for s in self._family.states if s.id == test.states[0])
        circuit = next(c for c in self._family.circuits if c.id == model.circuit)
        hertz = float(circuit.frequency) if powered else 0.0
        kind = {"continuity": "resistance", "seen": "current"}.get(test.kind, test.kind)
        if isinstance(model, Between):
            setting = Setting(test.command, powered, hertz, model.apart)
            measurement = Measurement(kind, setting, model.plus, model.minus)
        else:
            part = model.part if isinstance(model, Through) else model.of
            measurement = Measurement(kind, Setting(test.command, powered, hertz), part=part)
        return dictionaries(circuit, self.build, self._faults, [measurement])[0]

    def reads(self, test_id: str, *faults: str, meter: float = np.inf) -> np.ndarray:
        """Samples of what the test reads with these faults (at most two), on a meter of that input (ohm)."""
        found = self.solve(test_id)
        places = [found.faults.index(f) + 1 if f in found.faults else 0 for f in faults]
        a, b = (*places, 0, 0)[:2]
        row = int(found.classes[a, b])
        if found.voltage is not None and found.impedance is not None:
            divided = 1.0 if np.isinf(meter) else meter / (meter + found.impedance[row])
            return np.abs(found.voltage[row] * divided)
        assert found.value is not None
        return found.value[row]
