"""Small circuits, and what a meter shows in them; every number is invented unless a test names its source."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from probewright.circuit.laws import Capacitance, Resistance, Winding
from probewright.circuit.measure import Dictionary, Kind, Measurement, dictionaries
from probewright.circuit.parts import Change, Circuit, Part, Source, Switch
from probewright.circuit.solve import Setting
from probewright.figures import Spread, exactly, invented, uniform

HERTZ = 60.0


def at(value: float) -> Spread:
    """Exactly this."""
    return exactly(invented(value))


def among(low: float, high: float) -> Spread:
    """Anywhere between, evenly."""
    return uniform(invented(low), invented(high))


def resistor(id_: str, a: str, b: str, ohms: float | Spread) -> Part:
    return Part(id_, a, b, Resistance(ohms if isinstance(ohms, Spread) else at(ohms)))


def coil(id_: str, a: str, b: str, ohms: float, henries: float) -> Part:
    return Part(id_, a, b, Winding(at(ohms), at(henries)))


def capacitor(id_: str, a: str, b: str, farads: float) -> Part:
    return Part(id_, a, b, Capacitance(at(farads)))


def source(id_: str, a: str, b: str, volts: float, phase: float = 0.0) -> Source:
    return Source(id_, a, b, invented(volts), phase)


def switch(id_: str, a: str, b: str, ohms: float = 1.0, closed_in: Sequence[str] = ("on",), **more: bool) -> Switch:
    return Switch(id_, a, b, tuple(closed_in), at(ohms), **more)


def circuit(
    *parts: Part | Switch | Source, changes: Mapping[str, Sequence[Change]] | None = None, hertz: float = HERTZ,
    reference: str = "0",
) -> Circuit:  # fmt: skip
    acts = {fault: tuple(what) for fault, what in (changes or {}).items()}
    return Circuit("bench", reference, parts, acts, invented(hertz))


def meter(
    kind: Kind, where: str | tuple[str, str], *, command: str = "on", powered: bool | None = None,
    apart: Sequence[str] = (), hertz: float = HERTZ,
) -> Measurement:  # fmt: skip
    """A measurement of a part, or between two nodes; resistances are read unpowered and with direct current."""
    live = kind in ("voltage", "current") if powered is None else powered
    setting = Setting(command, live, 0.0 if kind == "resistance" else hertz, tuple(apart))
    if isinstance(where, str):
        return Measurement(kind, setting, part=where)
    return Measurement(kind, setting, *where)


def dictionary(of: Circuit, measurement: Measurement, configuration: Mapping[str, str] | None = None) -> Dictionary:
    return dictionaries(of, configuration or {}, tuple(of.changes), [measurement])[0]


def class_of(found: Dictionary, faults: Sequence[str]) -> int:
    """The class of a set of at most two faults."""
    numbers = [found.faults.index(fault) + 1 for fault in faults]
    return int(found.classes[(*numbers, 0, 0)[0], (*numbers, 0, 0)[1]])


def readings(
    of: Circuit, measurement: Measurement, *faults: str, input_ohms: float | None = None,
) -> NDArray[np.float64]:  # fmt: skip
    """What is read at every sampled point, a voltage by an ideal meter or one of ``input_ohms``."""
    found = dictionary(of, measurement)
    row = class_of(found, faults)
    if found.voltage is None or found.impedance is None:
        return np.asarray(found.value)[row]
    share = 1.0 if input_ohms is None else input_ohms / (input_ohms + found.impedance[row])
    return np.abs(found.voltage[row] * share)


def reading(of: Circuit, measurement: Measurement, *faults: str, input_ohms: float | None = None) -> float:
    """What is read where nothing has a tolerance."""
    found = readings(of, measurement, *faults, input_ohms=input_ohms)
    assert np.ptp(found) <= 1e-9 * abs(found[0])
    return float(found[0])


def parallel(*ohms: float) -> float:
    """By hand: conductances add up."""
    return 1 / sum(1 / value for value in ohms)
