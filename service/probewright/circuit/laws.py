"""Laws of two-terminal parts: complex impedance from sampled parameters, frequency, temperature and heat.

A law is a frozen record.  It lists the distributions of its parameters; the solver samples them once and asks for
the impedance in ohm.  Pack authors may write their own: anything with these attributes will do.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol, runtime_checkable

import numpy as np
from numpy.typing import NDArray

from probewright.figures import Spread
from probewright.physics.copper import copper_ratio
from probewright.physics.sensors import PlatinumCurve, ntc_beta, platinum_resistance

Array = NDArray[np.float64]
ComplexArray = NDArray[np.complex128]


@dataclass(frozen=True, slots=True)
class Operating:
    """Where a part works: angular frequency (rad/s, 0 for direct current), temperature (degC), and whether it is hot.

    ``temperature`` and ``hot`` broadcast against the parameter arrays; ``hot`` concerns parts that heat themselves.

    >>> mains = Operating(2 * np.pi * 60.0, np.array(20.0), np.array(False))
    >>> round(mains.omega)
    377
    """

    omega: float
    temperature: Array
    hot: NDArray[np.bool_]


@runtime_checkable
class Law(Protocol):
    """What the solver asks of a part.

    >>> isinstance(Resistance(exactly(from_memory(10.0))), Law)
    True
    """

    @property
    def spreads(self) -> Sequence[Spread]:
        """The distributions of its parameters, in a fixed order."""

    @property
    def heats_above(self) -> float | None:
        """The power in W from which it counts as hot, or None when heat does not matter."""

    @property
    def feels_temperature(self) -> bool:
        """Whether the impedance depends on the temperature at the part."""

    def impedance(self, parameters: Array, at: Operating) -> Array | ComplexArray:
        """Impedance in ohm.

        Parameters
        ----------
        parameters : ndarray of shape (n_parameters, ...)
            Sampled values in the order of ``spreads``.
        at : Operating
            Frequency, temperature and heat.

        Returns
        -------
        ndarray of the broadcast shape of the trailing axes; real at direct current.
        """


@dataclass(frozen=True, slots=True)
class Resistance:
    """A plain resistance in ohm: heaters, wires, closed contacts, insulation.

    >>> Resistance(tolerance(common_practice(216.0), from_memory(0.05))).ohms.median
    216.0
    """

    ohms: Spread
    heats_above = None
    feels_temperature = False

    @property
    def spreads(self) -> tuple[Spread, ...]:
        return (self.ohms,)

    def impedance(self, parameters: Array, at: Operating) -> Array:  # noqa: ARG002 (the protocol asks for it)
        return parameters[0]


@dataclass(frozen=True, slots=True)
class Winding:
    """Resistance and inductance in series: valve coils, motor windings, transformer primaries (ohm, henry).

    >>> coil = Winding(exactly(from_memory(200.0)), exactly(from_memory(1.0)))
    >>> at = Operating(2 * np.pi * 60.0, np.array(20.0), np.array(False))
    >>> round(abs(complex(coil.impedance(np.array([200.0, 1.0]), at))))
    427
    """

    ohms: Spread
    henries: Spread
    heats_above = None
    feels_temperature = False

    @property
    def spreads(self) -> tuple[Spread, ...]:
        return (self.ohms, self.henries)

    def impedance(self, parameters: Array, at: Operating) -> Array | ComplexArray:
        if at.omega == 0:
            return parameters[0]
        return parameters[0] + 1j * at.omega * parameters[1]


@dataclass(frozen=True, slots=True)
class Copper:
    """A winding of copper: ohms at 20 degC, which follow the temperature, and henries in series.

    Right after work it is hot, and reads a quarter more than when cold.  Where neither matters, :class:`Winding` costs
    less.

    >>> main = Copper(exactly(from_memory(2.0)), exactly(from_memory(0.01)))
    >>> at = Operating(0.0, np.array(75.0), np.array(False))
    >>> round(float(main.impedance(np.array([2.0, 0.01]), at)), 2)
    2.43
    """

    at_20: Spread
    henries: Spread
    heats_above = None
    feels_temperature = True

    @property
    def spreads(self) -> tuple[Spread, ...]:
        return (self.at_20, self.henries)

    def impedance(self, parameters: Array, at: Operating) -> Array | ComplexArray:
        ohms = parameters[0] * copper_ratio(at.temperature)
        return ohms if at.omega == 0 else ohms + 1j * at.omega * parameters[1]


@dataclass(frozen=True, slots=True)
class Capacitance:
    """A capacitor in farad, or the stray capacitance of a cable; open at direct current.

    >>> stray = Capacitance(exactly(from_memory(100e-12)))
    >>> at = Operating(2 * np.pi * 60.0, np.array(20.0), np.array(False))
    >>> round(abs(complex(stray.impedance(np.array([100e-12]), at))) / 1e6, 1)
    26.5
    """

    farads: Spread
    heats_above = None
    feels_temperature = False

    @property
    def spreads(self) -> tuple[Spread, ...]:
        return (self.farads,)

    def impedance(self, parameters: Array, at: Operating) -> Array | ComplexArray:
        if at.omega == 0:
            return np.full_like(parameters[0], np.inf)
        return 1 / (1j * at.omega * parameters[0])


@dataclass(frozen=True, slots=True)
class SelfHeating:
    """A part whose resistance (ohm) is another when it has heated itself: silicon-carbide igniters, lamps, PTC pills.

    It counts as hot when it takes more than ``heats_above`` watts in its hot state.

    >>> igniter = SelfHeating(exactly(from_memory(300.0)), exactly(from_memory(36.0)), from_memory(100.0))
    >>> at = Operating(0.0, np.array(20.0), np.array(True))
    >>> float(igniter.impedance(np.array([300.0, 36.0]), at))
    36.0
    """

    cold: Spread
    hot: Spread
    heats_above: float
    feels_temperature = False

    @property
    def spreads(self) -> tuple[Spread, ...]:
        return (self.cold, self.hot)

    def impedance(self, parameters: Array, at: Operating) -> Array:
        return np.where(at.hot, parameters[1], parameters[0])


@dataclass(frozen=True, slots=True)
class Platinum:
    """A platinum sensor: nominal resistance (ohm at 0 degC) and an error in kelvin at the part's temperature.

    ``error`` is sampled in kelvin and added to the temperature: tolerance classes are stated that way.

    >>> sensor = Platinum(exactly(from_memory(1000.0)), exactly(from_memory(0.0)), IEC_60751)
    >>> at = Operating(0.0, np.array(100.0), np.array(False))
    >>> round(float(sensor.impedance(np.array([1000.0, 0.0]), at)), 1)
    1385.1
    """

    nominal: Spread
    error: Spread
    curve: PlatinumCurve
    heats_above = None
    feels_temperature = True

    @property
    def spreads(self) -> tuple[Spread, ...]:
        return (self.nominal, self.error)

    def impedance(self, parameters: Array, at: Operating) -> Array:
        return platinum_resistance(at.temperature + parameters[1], parameters[0], self.curve)


@dataclass(frozen=True, slots=True)
class Thermistor:
    """A negative-temperature-coefficient thermistor by the Beta equation: ohm at 25 degC and Beta in kelvin.

    >>> sensor = Thermistor(exactly(from_memory(10e3)), exactly(from_memory(3950.0)))
    >>> at = Operating(0.0, np.array(25.0), np.array(False))
    >>> float(sensor.impedance(np.array([10e3, 3950.0]), at))
    10000.0
    """

    at_25: Spread
    beta: Spread
    heats_above = None
    feels_temperature = True

    @property
    def spreads(self) -> tuple[Spread, ...]:
        return (self.at_25, self.beta)

    def impedance(self, parameters: Array, at: Operating) -> Array:
        return ntc_beta(at.temperature, parameters[0], parameters[1])
