"""Builds of an appliance, the states and places that work is done in, and its supply."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from probewright.circuit.parts import When, holds
from probewright.figures import Figure, Spread


@dataclass(frozen=True, slots=True)
class OptionValue:
    """One value of an option, with the share of appliances that have it (given that the option applies).

    >>> value = OptionValue("propane", "Propane", from_memory(0.2))
    >>> value.share.basis
    'from_memory'
    """

    id: str
    title: str
    share: Figure


@dataclass(frozen=True, slots=True)
class Option:
    """A choice between builds of the appliance; it applies only where ``when`` holds (of options that come earlier).

    >>> natural = OptionValue("natural_gas", "Natural gas", from_memory(0.8))
    >>> propane = OptionValue("propane", "Propane", from_memory(0.2))
    >>> fuel = Option("fuel", "Fuel", (natural, propane), when={"heat": "gas"})
    >>> [value.id for value in fuel.values]
    ['natural_gas', 'propane']
    """

    id: str
    title: str
    values: tuple[OptionValue, ...]
    when: When = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class State:
    """A state in which tests and repairs are done.

    ``minutes`` and ``steps`` are what it takes to get there from another state, ``cautions`` what to mind in it.
    ``risk`` orders states from the safest (0) upwards.

    >>> isolated = State(
    ...     "isolated", "Unplugged and proved dead", powered=False, gas_on=False, minutes=from_memory(2.0),
    ...     steps=("Pull the plug.", "Prove it dead at the terminals."), cautions=("A charge may remain.",), risk=0,
    ... )
    >>> isolated.powered
    False
    """

    id: str
    title: str
    powered: bool
    gas_on: bool
    minutes: Figure
    steps: tuple[str, ...]
    cautions: tuple[str, ...]
    risk: int


@dataclass(frozen=True, slots=True)
class Zone:
    """A place that must be opened to reach what is in it.  ``minutes`` covers opening and closing, paid once.

    >>> rear = Zone("rear", "Behind the rear cover", from_memory(8.0), ("Undo the six screws.",), ("Edges are sharp.",))
    >>> float(rear.minutes)
    8.0
    """

    id: str
    title: str
    minutes: Figure
    steps: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Tap:
    """Another nominal voltage for builds that take another share of the same service.

    >>> Tap(published(120.0, "ANSI C84.1, nominal voltage"), {"heat": "gas"}).when
    {'heat': 'gas'}
    """

    nominal: Figure
    when: When


@dataclass(frozen=True, slots=True)
class Supply:
    """The supply: nominal volts, and how it spreads where it was not measured.

    Less than ``least``, or more than ``most``, is a fault to find and not a condition to work under: readings are then
    compared with what the usual supply should give.  Without them 70 % and 115 % of the nominal voltage count.  Builds
    of the first of ``taps`` that holds have its nominal voltage; the rest holds for them in proportion.

    >>> mains = Supply(published(120.0, "ANSI C84.1, nominal voltage"), normal(from_memory(121.0), from_memory(2.0)))
    >>> mains.is_condition(118.0), mains.is_condition(60.0)
    (True, False)
    >>> leg = Tap(published(120.0, "ANSI C84.1, nominal voltage"), {"heat": "gas"})
    >>> legs = Supply(published(240.0, "ANSI C84.1, nominal voltage"), mains.unmeasured, taps=(leg,))
    >>> float(legs.nominal_in({"heat": "gas"})), float(legs.nominal_in({"heat": "electric"}))
    (120.0, 240.0)
    """

    nominal: Figure
    unmeasured: Spread
    least: Figure | None = None
    most: Figure | None = None
    taps: tuple[Tap, ...] = ()

    def nominal_in(self, configuration: Mapping[str, str]) -> Figure:
        """The nominal voltage of a build, in V."""
        return next((tap.nominal for tap in self.taps if holds(tap.when, configuration)), self.nominal)

    def is_condition(self, volts: float) -> bool:
        """Whether an appliance can be expected to work under this voltage, for builds of the supply's own nominal."""
        least = 0.7 * float(self.nominal) if self.least is None else float(self.least)
        most = 1.15 * float(self.nominal) if self.most is None else float(self.most)
        return least <= volts <= most
