"""Heaters and lost neutrals on a 120/240 V supply, through the parts that packs are made of.

The arithmetic is V^2/R and the series law; inputs are those of nameplates, ANSI C84.1 and public teaching slides on a
lost neutral.  Wires and terminals are bridged, so that the supply is as stiff as a textbook's.
"""

from __future__ import annotations

import pytest

from probewright.packs import Circuit, Copper, Level, Open, Part, Resistance, Short, Switch, derived, exactly, invented
from probewright_packs.common import FREQUENCY, LEG_TO_LEG, leg_changes, legs
from support.middle import Bench

#: No ohms to speak of in anything but the neutrals.
STIFF = tuple(Short(part, exactly(invented(1e-6))) for part in ("cord_one", "cord_two", "block_one", "block_two"))
#: Nobody else at home.
ALONE = (Open("house_one"), Open("house_two"))


def load(id_: str, a: str, b: str, ohms: float) -> Part:
    return Part(id_, a, b, Resistance(exactly(invented(ohms))))


def at(volts: float) -> tuple[Level, ...]:
    """Both legs brought to their halves of a voltage."""
    share = exactly(derived(volts / LEG_TO_LEG, "the voltage in question over the nominal one"))
    return (Level("line_one", share), Level("line_two", share))


def on_legs(*loads: Part, **changes) -> Bench:
    own = {fault: (*STIFF, *ALONE, *more) for fault, more in changes.items()}
    return Bench(Circuit("bench", "earth", (*legs(), *loads), own, FREQUENCY))


def heater(watts: float, **changes) -> Bench:
    """Rated at 240 V."""
    return on_legs(load("heater", "leg_one", "leg_two", 240.0**2 / watts), **changes)


def power(bench: Bench, fault: str) -> float:
    return bench.volts("leg_one", "leg_two", fault) * bench.amperes("heater", fault)


@pytest.mark.parametrize(
    ("watts", "ohms", "amperes"),
    # R = V^2 / P, I = P / V.
    [(2600, 22.1538, 10.8333), (3000, 19.2, 12.5), (3400, 16.9412, 14.1667), (4500, 12.8, 18.75),
     (5400, 10.6667, 22.5)],
)  # fmt: skip
def test_heaters_on_both_legs(watts: float, ohms: float, amperes: float) -> None:
    bench = heater(watts, sound=())
    assert bench.amperes("heater", "sound") == pytest.approx(amperes, abs=5e-4)
    off = ("cord_one", "cord_two")
    assert bench.ohms("leg_one", "leg_two", apart=off) == pytest.approx(ohms, abs=5e-4)


# 4500 W at 240 V on the limits of ANSI C84.1, Range A: service 228 to 252 V, utilization from 216 V.
@pytest.mark.parametrize(("volts", "watts"), [(228.0, 4061.25), (252.0, 4961.25), (216.0, 3645.0), (240.0, 4500.0)])
def test_a_heater_off_its_nominal_voltage(volts: float, watts: float) -> None:
    bench = heater(4500, here=at(volts))
    assert bench.volts("leg_one", "leg_two", "here") == pytest.approx(volts, abs=1e-3)
    assert power(bench, "here") == pytest.approx(watts, abs=0.05)


@pytest.mark.parametrize(("watts", "at_208"), [(2500, 1877.78), (4500, 3380.0), (5400, 4056.0)])
def test_a_heater_on_two_legs_of_a_three_phase_network(watts: float, at_208: float) -> None:
    # Two phasors of 120 V, 120 degrees apart, differ by 120 sqrt(3) = 207.85 V: three quarters of the heat.  The 208 V
    # of the network's name, rounded, give (208/240)^2, 0.15 % more.
    bench = heater(watts, turned=leg_changes()["supply_208_volts"])
    assert bench.volts("leg_one", "leg_two", "turned") == pytest.approx(207.846, abs=1e-2)
    assert power(bench, "turned") == pytest.approx(0.75 * watts, rel=1e-5)
    assert power(bench, "turned") == pytest.approx(at_208, rel=2e-3)
    for leg in ("leg_one", "leg_two"):
        assert bench.volts(leg, "neutral", "turned") == pytest.approx(120.0, abs=1e-2)


def test_two_equal_elements_in_series() -> None:
    # Series law: two elements of 2500 W at 240 V take 625 W each.
    pair = on_legs(load("heater", "leg_one", "middle", 23.04), load("other", "middle", "leg_two", 23.04), sound=())
    assert pair.volts("middle", "leg_two", "sound") == pytest.approx(120.0, abs=1e-3)
    assert power(pair, "sound") / 2 == pytest.approx(625.0, abs=0.01)


# Watts of each load at 120 V, ampere through both, volts across each.  144 and 72 ohm: public teaching slides on a lost
# neutral; the others by the series law.
LOST = [(100, 200, 1.1111, 160.0, 80.0), (100, 1000, 1.5152, 218.18, 21.82), (600, 1800, 7.5, 180.0, 60.0)]


@pytest.mark.parametrize("neutral", ["service_neutral_open", "legs_neutral_open"])
@pytest.mark.parametrize(("first", "second", "amperes", "volts_first", "volts_second"), LOST)
def test_a_lost_neutral(
    neutral: str, first: float, second: float, amperes: float, volts_first: float, volts_second: float
) -> None:
    loads = (load("first", "leg_one", "neutral", 120.0**2 / first),
             load("second", "leg_two", "neutral", 120.0**2 / second))  # fmt: skip
    wires = tuple(Short(part, exactly(invented(1e-6))) for part in ("neutral_conductor", "block_neutral"))
    bench = on_legs(*loads, sound=(*wires, Short("service_neutral", exactly(invented(1e-6)))),
                    lost=leg_changes()[neutral])  # fmt: skip
    for leg, part, volts in (("leg_one", "first", volts_first), ("leg_two", "second", volts_second)):
        assert bench.volts(leg, "neutral", "sound") == pytest.approx(120.0, abs=1e-3)
        assert bench.amperes(part, "lost") == pytest.approx(amperes, abs=1e-3)
        # The neutral's own ohms take some thousandths of a volt.
        assert bench.volts(leg, "neutral", "lost") == pytest.approx(volts, abs=0.01)


def test_the_windings_of_a_split_phase_motor() -> None:
    # I. Kosow, Electric Machinery and Transformers, second edition, examples 10-1 and 10-2 (textbook companion 1092 of
    # the FOSSEE project): on 110 V the starting winding takes 4 A at -15 degrees, the running winding 6 A at -40.  Both
    # together: 9.773 A, power factor 0.8657; 425.0 and 505.6 W; 3.864 A in phase and 3.857 A in quadrature.
    def winding(id_: str, node: str, ohms: float, reactance: float) -> Part:
        law = Copper(exactly(invented(ohms)), exactly(invented(reactance / (2 * 3.141592653589793 * 60))))
        return Part(id_, node, "neutral", law)

    parts = (
        *legs(),
        Switch("start_contact", "leg_one", "start_feed", ("start",), exactly(invented(1e-6))),
        winding("starting", "start_feed", 26.5630, 7.1175),  # 110 V over 4 A, at 15 degrees
        winding("running", "leg_one", 14.0441, 11.7844),  # 110 V over 6 A, at 40 degrees
    )
    wires = tuple(Short(part, exactly(invented(1e-6))) for part in ("neutral_conductor", "block_neutral",
                                                                    "service_neutral"))  # fmt: skip
    changes = {"at_110": (*STIFF, *ALONE, *wires, *at(220.0))}
    motor = Circuit("motor", "earth", parts, changes, FREQUENCY)
    starting, running = Bench(motor, "start", 20.0), Bench(motor, "run", 20.0)
    both = [starting.phasor(name, "at_110") for name in ("starting", "running")]
    assert abs(sum(both)) == pytest.approx(9.773, abs=1e-3)
    assert sum(both).real / abs(sum(both)) == pytest.approx(0.8657, abs=1e-4)
    assert [110.0 * current.real for current in both] == pytest.approx([425.0, 505.6], abs=0.1)
    assert (both[0].real, -both[1].imag) == pytest.approx((3.864, 3.857), abs=1e-3)
    # Once the contact opens the running winding is left alone; warm windings draw less.
    assert running.amperes("running", "at_110") == pytest.approx(6.0, abs=1e-3)
    assert running.amperes("starting", "at_110") < 1e-6
    warm = Bench(motor, "run", 75.0).amperes("running", "at_110")
    assert warm == pytest.approx(110.0 / abs(complex(14.0441 * 1.21611, 11.7844)), rel=1e-4)
