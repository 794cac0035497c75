"""What meters would read in a network, by fault: the fault dictionary of a circuit.

Most faults leave most readings alone.  Hypotheses whose readings agree at a few sampled points are one *class*; only
one of each class is then solved at all points.  Class 0 is the healthy one.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Literal, TypeVar

import numpy as np
from numpy.typing import NDArray

from probewright.circuit.faulty import Hypothesis, Setting
from probewright.circuit.lattice import POINTS
from probewright.circuit.network import Network
from probewright.circuit.parts import Circuit
from probewright.circuit.solve import Probe, Solved, solve

Array = NDArray[np.float64]
ComplexArray = NDArray[np.complex128]
T = TypeVar("T", Array, ComplexArray)
Kind = Literal["voltage", "current", "resistance", "capacitance"]

#: Chebyshev-Lobatto points over the range of temperatures, in degC, that a reading may be taken at.
COLDEST, HOTTEST, STATIONS = -60.0, 420.0, 9
_WITH_STATIONS = 3
_PROBED = np.array([5, 47, 101])
#: Readings that agree to this (relative, or in V, A, ohm and F) are the same: far less than any meter could tell.
_SAME = 1e-6
_SAME_ABSOLUTE = {"voltage": 1e-6, "current": 1e-6, "resistance": 1e-6, "capacitance": 1e-15}
#: Ohm: everything above is open.
_OPEN = 1e10


@dataclass(frozen=True, slots=True)
class Measurement:
    """A meter in a circuit: between two nodes, or (``part``) around or across a part.

    ``setting.hertz`` is the circuit's frequency for voltages and currents, 0 for resistances.
    """

    kind: Kind
    setting: Setting
    plus: str = ""
    minus: str = ""
    part: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Dictionary:
    """What a measurement reads under each class of hypotheses; compared by identity, so it can be a key.

    Attributes
    ----------
    faults : tuple of str
        The faults that can change this network.
    classes : ndarray of int, shape (n_faults + 1, n_faults + 1)
        Class of each pair of faults, 0 standing for no fault; symmetric.
    voltage, impedance : ndarray of shape (n_classes, POINTS) or (n_classes, POINTS, STATIONS)
        Open-circuit phasor (V at the nominal supply) and source impedance (ohm), for voltages; with a last axis of
        temperatures when the circuit feels them.
    value : ndarray of shape (n_classes, POINTS) or (n_classes, POINTS, STATIONS)
        Ampere, ohm or farad, for all else.
    """

    measurement: Measurement
    faults: tuple[str, ...]
    classes: NDArray[np.intp]
    voltage: ComplexArray | None
    impedance: ComplexArray | None
    value: Array | None

    @property
    def feels_temperature(self) -> bool:
        """Whether readings depend on the temperature at the parts."""
        array = self.value if self.voltage is None else self.voltage
        return array is not None and array.ndim == _WITH_STATIONS

    @property
    def count(self) -> int:
        """How many classes there are."""
        return int(self.classes.max()) + 1


def stations() -> Array:
    """The temperatures (degC) at which temperature-dependent circuits are solved, shape (STATIONS,)."""
    k = np.arange(STATIONS)
    return 0.5 * (COLDEST + HOTTEST) - 0.5 * (HOTTEST - COLDEST) * np.cos(np.pi * k / (STATIONS - 1))


def dictionaries(
    circuit: Circuit, configuration: Mapping[str, str], faults: Sequence[str], measurements: Sequence[Measurement],
) -> list[Dictionary]:  # fmt: skip
    """Solve a circuit for many measurements.

    Parameters
    ----------
    circuit : Circuit
    configuration : mapping of option to value
    faults : sequence of str
        The faults that are possible in this configuration; those that the circuit does not name are left out.
    measurements : sequence of Measurement

    Returns
    -------
    list of Dictionary, in the order of ``measurements``.

    Raises
    ------
    PackModelError
        When a measurement names a node or part that this configuration lacks.
    """
    network = Network(circuit, configuration, faults)
    by_setting: dict[Setting, list[int]] = {}
    for i, measurement in enumerate(measurements):
        by_setting.setdefault(measurement.setting, []).append(i)
    result: dict[int, Dictionary] = {}
    for setting, indices in by_setting.items():
        made = _at_setting(network, setting, [measurements[i] for i in indices])
        result.update(zip(indices, made, strict=True))
    return [result[i] for i in range(len(measurements))]


def _at_setting(network: Network, setting: Setting, measurements: Sequence[Measurement]) -> list[Dictionary]:
    probes = [_probe(network, m) for m in measurements]
    faults = tuple(network.effects)
    hypotheses: list[Hypothesis] = [(), *((f,) for f in faults), *combinations(faults, 2)]
    probed = solve(network, setting, probes, hypotheses, _PROBED, 25.0)
    pairs = zip(measurements, probed, strict=True)
    groupings = [_group(_signature(m, solved), _SAME_ABSOLUTE[m.kind]) for m, solved in pairs]
    needed = sorted({int(first) for _, firsts in groupings for first in firsts})
    chosen = [hypotheses[i] for i in needed]
    temperatures = stations() if _feels(network) else np.array([25.0])
    full = [solve(network, setting, probes, chosen, np.arange(POINTS), float(t)) for t in temperatures]
    made = []
    for i, (measurement, (labels, firsts)) in enumerate(zip(measurements, groupings, strict=True)):
        rows = [needed.index(int(first)) for first in firsts]
        made.append(_dictionary(measurement, faults, labels, [at[i] for at in full], rows))
    return made


def _feels(network: Network) -> bool:
    return any(branch.law.feels_temperature for branch in network.branches)


def _probe(network: Network, measurement: Measurement) -> Probe:
    if not measurement.part:
        return Probe(network.node(measurement.plus), network.node(measurement.minus))
    for i, source in enumerate(network.sources):
        if source.id == measurement.part:
            return Probe(-1, -1, len(network.branches) + i)
    return Probe(-1, -1, network.branch(measurement.part))


def _values(measurement: Measurement, solved: Solved) -> Array:
    if measurement.kind == "current":
        return np.abs(solved.current)
    if measurement.kind == "resistance":
        return np.minimum(solved.impedance.real, _OPEN)
    reactive = 1 / solved.impedance
    return np.maximum(reactive.imag, 0) / (2 * np.pi * measurement.setting.hertz)


def _signature(measurement: Measurement, solved: Solved) -> ComplexArray:
    """One row for each hypothesis, to compare them by."""
    if measurement.kind == "voltage":
        return np.concatenate([solved.voltage, solved.impedance], axis=1)
    return _values(measurement, solved).astype(complex)


def _group(signatures: ComplexArray, absolute: float) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Label rows by class, in order of first appearance, and give the first row of each class."""
    labels = np.full(len(signatures), -1)
    firsts: list[int] = []
    for row in range(len(signatures)):
        if labels[row] >= 0:
            continue
        size = np.abs(signatures[row])
        same = (np.abs(signatures - signatures[row]) <= _SAME * size + absolute).all(axis=1)
        labels[same & (labels < 0)] = len(firsts)
        firsts.append(row)
    return labels, np.array(firsts)


def _dictionary(
    measurement: Measurement, faults: tuple[str, ...], labels: NDArray[np.intp], full: list[Solved], rows: list[int],
) -> Dictionary:  # fmt: skip
    classes = np.zeros((len(faults) + 1, len(faults) + 1), dtype=np.intp)
    singles = np.arange(1, len(faults) + 1)
    classes[0, singles] = classes[singles, 0] = classes[singles, singles] = labels[singles]
    for pair, label in zip(combinations(range(1, len(faults) + 1), 2), labels[len(faults) + 1 :], strict=True):
        classes[pair] = classes[pair[::-1]] = label
    if measurement.kind == "voltage":
        voltage = _stacked([solved.voltage[rows] for solved in full])
        return Dictionary(measurement, faults, classes, voltage, _stacked([s.impedance[rows] for s in full]), None)
    values = _stacked([_values(measurement, solved)[rows] for solved in full])
    return Dictionary(measurement, faults, classes, None, None, values)


def _stacked(arrays: Sequence[T]) -> T:
    """At one temperature as it is, at several with a last axis of temperatures."""
    return arrays[0] if len(arrays) == 1 else np.stack(arrays, axis=-1)
