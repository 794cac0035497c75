"""Supply voltages as they are told, and on one scale for all builds of a family.

Builds that are fed from a tap have another nominal voltage.  What is told in their volts counts as the same share of
the family's own nominal voltage: the engine works on that scale alone, and tells volts as the build has them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import log

from probewright.circuit.parts import may_hold
from probewright.packs.model import Supply, Tap, Test

_NEAR_NOTHING = 1e-9


def scaled(volts: float, supply: Supply, configuration: Mapping[str, str]) -> float:
    """Volts of a build on the scale of the family's nominal voltage."""
    return volts * float(supply.nominal) / float(supply.nominal_in(configuration))


def told(volts: float, supply: Supply, configuration: Mapping[str, str]) -> float:
    """Volts on the scale of the family's nominal voltage as a build has them: the inverse of :func:`scaled`."""
    return volts * float(supply.nominal_in(configuration)) / float(supply.nominal)


def as_condition(volts: float, supply: Supply, options: Mapping[str, str]) -> float | None:
    """What was given as a supply voltage, on the family's scale; None where no appliance works under it.

    ``options`` are those that are known.  While they leave more than one nominal voltage open, the nearest is meant.
    """
    nominal = min(_nominals(supply, options), key=lambda nominal: _apart(volts, nominal))
    on_scale = volts * float(supply.nominal) / nominal
    return on_scale if supply.is_condition(on_scale) else None


def measured_by(volts: float, of_supply: Sequence[Test], supply: Supply, options: Mapping[str, str]) -> Test | None:
    """The test that a supply voltage would have been read with, of those that measure it; None where there is none."""
    tests = [test for test in of_supply if may_hold(test.when, options)]
    if len(tests) == 1:
        return tests[0]
    fits = {t.id: min(_apart(volts, n) for n in _nominals(supply, known_by(t, options))) for t in tests}
    return min(tests, key=lambda test: fits[test.id], default=None)


def known_by(test: Test, options: Mapping[str, str]) -> dict[str, str]:
    """The options that are given, and those that a test itself tells: it is done in no other build."""
    own = {option: allowed for option, allowed in test.when.items() if isinstance(allowed, str)}
    return {**options, **own}


def _apart(volts: float, nominal: float) -> float:
    return abs(log(max(volts, _NEAR_NOTHING) / nominal))


def _nominals(supply: Supply, options: Mapping[str, str]) -> list[float]:
    """The nominal voltages that appliances with these options may have."""
    found: list[float] = []
    for tap in supply.taps:
        if may_hold(tap.when, options):
            found.append(float(tap.nominal))
            if _certain(tap, options):
                return found
    return [*found, float(supply.nominal)]


def _certain(tap: Tap, options: Mapping[str, str]) -> bool:
    return all(option in options for option in tap.when)
