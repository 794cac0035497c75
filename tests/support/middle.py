"""Circuits with every uncertain number at the middle of its spread, so that readings follow by hand."""

from __future__ import annotations

import numpy as np

from probewright.circuit.network import Network
from probewright.circuit.parts import Circuit
from probewright.circuit.solve import Probe, Setting, Solved, solve

#: Degrees Celsius at every part, unless told.
ROOM = 25.0


class AtTheMiddle(Network):
    """A network whose parameters all stand at the middle of their spreads."""

    def _sample(self):
        return np.array([[spread.median] for spread in self._spreads]).reshape(len(self._spreads), 1)


class Bench:
    """One circuit, in one build and under one command, with a meter."""

    def __init__(self, of: Circuit, command: str = "off", celsius: float = ROOM, **options: str) -> None:
        self._network = AtTheMiddle(of, options, list(of.changes))
        self._hertz, self._command, self._celsius = float(of.frequency), command, celsius

    def _solved(self, probe: Probe, faults: tuple[str, ...], *, powered: bool, apart: tuple[str, ...] = ()) -> Solved:
        hertz = self._hertz if powered else 0.0
        setting = Setting(self._command, powered, hertz, apart)
        return solve(self._network, setting, [probe], [faults], np.array([0]), self._celsius)[0]

    def volts(self, plus: str, minus: str, *faults: str, meter: float = 1e7) -> float:
        """Between two nodes, on a meter of that input in ohm."""
        probe = Probe(self._network.node(plus), self._network.node(minus))
        found = self._solved(probe, faults, powered=True)
        return float(abs(found.voltage[0, 0] * meter / (meter + found.impedance[0, 0])))

    def phasor(self, part: str, *faults: str) -> complex:
        """Amperes through a part, with their phase."""
        index = self._network.branch(part)
        branch = self._network.branches[index]
        return complex(self._solved(Probe(branch.a, branch.b, index), faults, powered=True).current[0, 0])

    def amperes(self, part: str, *faults: str) -> float:
        """Through a part."""
        return abs(self.phasor(part, *faults))

    def ohms(self, plus: str, minus: str, *faults: str, apart: tuple[str, ...] = ()) -> float:
        """Between two nodes, with the supply off."""
        probe = Probe(self._network.node(plus), self._network.node(minus))
        return float(self._solved(probe, faults, powered=False, apart=apart).impedance[0, 0].real)
