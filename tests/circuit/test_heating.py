"""Parts that are another resistance once they have heated themselves."""

from __future__ import annotations

import numpy as np
import pytest

from probewright.circuit.laws import SelfHeating
from probewright.circuit.parts import Contact, Drift, Level, Open, Part, Short, Swap
from support.circuits import among, at, circuit, meter, reading, readings, resistor, source, switch

COLD, HOT, HEATS_ABOVE = 200.0, 36.5, 60.0
VALVE = 1.0


def igniter(law=None):
    return Part("igniter", "b", "c", law or SelfHeating(at(COLD), at(HOT), HEATS_ABOVE))


def oven(*more, law=None, volts=120.0, **changes):
    return circuit(source("line", "a", "0", volts), switch("contact", "a", "b", 0.5), igniter(law),
                   resistor("valve", "c", "0", VALVE), *more, changes=changes)  # fmt: skip


def current(of, *faults, **more):
    return reading(of, meter("current", "igniter", **more), *faults)


def test_hot_under_power_and_cold_without():
    assert current(oven()) == pytest.approx(120 / 38, rel=1e-7)
    assert reading(oven(), meter("resistance", ("b", "c"))) == pytest.approx(COLD, rel=1e-6)
    assert reading(oven(), meter("voltage", ("b", "c"), command="off")) == pytest.approx(0, abs=1e-6)


def test_too_little_power_leaves_it_cold():
    # Hot it would take 36.5 (V / 38)^2 watts: 60 W at 48.72 V.
    assert current(oven(volts=48.8)) == pytest.approx(48.8 / 38, rel=1e-7)
    assert current(oven(volts=48.6)) == pytest.approx(48.6 / 201.5, rel=1e-7)


@pytest.mark.parametrize(
    ("change", "amperes"),
    [
        (Drift("igniter", at(1.5)), 120 / (1.5 + 1.5 * HOT)),
        (Drift("igniter", at(10.0)), 120 / (1.5 + 10 * COLD)),  # 39 W when hot: it stays cold
        (Contact("contact", at(30.0)), 120 / (31.5 + HOT)),
        (Contact("contact", at(80.0)), 120 / (81.5 + COLD)),  # 38 W when hot
        (Level("line", at(0.5)), 60 / 38),
        (Level("line", at(0.1)), 12 / 201.5),
        (Open("valve"), 0.0),
        (Open("igniter"), 0.0),
        (Short("valve", at(0.01)), 120 / (0.5 + HOT + 0.01 / 1.01)),
    ],
    ids=lambda value: type(value).__name__.lower() if not isinstance(value, float) else "",
)
def test_with_a_fault(change, amperes):
    assert current(oven(fault=(change,)), "fault") == pytest.approx(amperes, rel=1e-6, abs=1e-8)


def test_heat_of_a_bad_contact_does_not_heat_the_part():
    # In series with 1000 ohm a hot igniter would take half a watt; the contact takes the rest.
    bad = oven(law=SelfHeating(at(COLD), at(HOT), 5.0), fault=(Contact("igniter", at(1000.0)),))
    assert current(bad, "fault") == pytest.approx(120 / (1001.5 + COLD), rel=1e-6)


def test_a_crossed_part_still_heats():
    other = (resistor("other", "a", "d", 50.0), resistor("load", "d", "0", 3.0))
    crossed = oven(*other, fault=(Swap("igniter", "other"),))
    assert reading(crossed, meter("current", "load"), "fault") == pytest.approx(120 / (0.5 + HOT + 3), rel=1e-6)
    assert reading(crossed, meter("current", "valve"), "fault") == pytest.approx(120 / (50 + VALVE), rel=1e-6)


def test_two_of_them_in_series():
    second = Part("lamp", "0", "e", SelfHeating(at(5.0), at(50.0), 1e-3))
    both = circuit(source("line", "a", "e", 120.0), resistor("lead", "a", "b", 0.5), igniter(),
                   resistor("valve", "c", "0", VALVE), second, changes={"low": (Level("line", at(0.05)),)})  # fmt: skip
    # 67.6 W heat the igniter when both are hot.
    assert current(both) == pytest.approx(120 / (0.5 + HOT + VALVE + 50), rel=1e-7)
    # At 6 V it stays cold, and the lamp glows all the same.
    assert current(both, "low") == pytest.approx(6 / (0.5 + COLD + VALVE + 50), rel=1e-7)


def test_each_sample_is_hot_or_cold_by_itself():
    spread = oven(law=SelfHeating(at(COLD), among(20.0, 240.0), HEATS_ABOVE))
    amperes = readings(spread, meter("current", "igniter"))
    hot = 120 / amperes - 1.5
    cold = np.isclose(hot, COLD, rtol=1e-6)
    # 60 W at 120 V: up to 236.99 ohm by 14400 R = 60 (R + 1.5)^2.
    assert hot[~cold].max() < 236.99
    assert 0 < cold.sum() <= 0.02 * len(hot)
    assert (~cold).sum() > 0.9 * len(hot)
