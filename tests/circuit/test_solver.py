"""Networks that a general solver trips over, and the laws of parts, by sums done by hand."""

from __future__ import annotations

import cmath
import math

import numpy as np
import pytest

from probewright.circuit.laws import Law, Platinum, Resistance, Thermistor
from probewright.circuit.parts import Leak, Level, Open, Part, Short, Switch
from probewright.errors import PackModelError
from probewright.figures import invented, uniform
from probewright.physics.sensors import IEC_60751
from support.circuits import (
    at,
    capacitor,
    circuit,
    coil,
    dictionary,
    meter,
    parallel,
    reading,
    resistor,
    source,
    switch,
)  # fmt: skip

OMEGA = 2 * math.pi * 60
OPEN = 1e9  # far above any part here, and above what any meter shows


def divider(**changes):
    parts = (source("line", "a", "0", 120.0), resistor("upper", "a", "b", 10.0), resistor("lower", "b", "0", 30.0))
    return circuit(*parts, changes=changes)


def test_divider():
    assert reading(divider(), meter("voltage", ("b", "0"))) == pytest.approx(90.0, rel=1e-9)
    assert reading(divider(), meter("voltage", ("a", "b"))) == pytest.approx(30.0, rel=1e-9)
    assert reading(divider(), meter("voltage", "lower")) == pytest.approx(90.0, rel=1e-9)
    for part in ("upper", "lower", "line"):
        assert reading(divider(), meter("current", part)) == pytest.approx(3.0, rel=1e-9)


def test_unplugged_source_is_an_open_end():
    # Were it a short, the two resistors would read in parallel.
    assert reading(divider(), meter("resistance", ("b", "0"))) == pytest.approx(30.0, rel=1e-7)
    assert reading(divider(), meter("resistance", ("a", "0"))) == pytest.approx(40.0, rel=1e-7)
    assert reading(divider(), meter("voltage", ("b", "0"), powered=False)) == 0
    assert reading(divider(), meter("current", "lower", powered=False)) == 0


def test_dead_supply_is_still_a_connection():
    dead = divider(dead=(Level("line", at(0.0)),))
    found = dictionary(dead, meter("voltage", ("b", "0")))
    row = found.classes[0, 1]
    assert abs(found.voltage[row, 0]) == 0
    assert found.impedance[row, 0].real == pytest.approx(parallel(10.0, 30.0), rel=1e-9)


def test_floating_parts_read_nothing_and_open():
    island = circuit(source("line", "a", "0", 120.0), resistor("load", "a", "0", 10.0),
                     resistor("island", "x", "y", 5.0), resistor("stub", "a", "end", 5.0))  # fmt: skip
    assert reading(island, meter("voltage", ("x", "0"))) == pytest.approx(0, abs=1e-9)
    assert reading(island, meter("voltage", ("x", "y"))) == pytest.approx(0, abs=1e-9)
    assert reading(island, meter("voltage", ("end", "0"))) == pytest.approx(120, rel=1e-6)
    assert reading(island, meter("current", "stub")) == pytest.approx(0, abs=1e-8)
    assert reading(island, meter("resistance", ("x", "a"))) >= OPEN
    assert reading(island, meter("resistance", ("x", "y"))) == pytest.approx(5.0, rel=1e-6)


def test_supply_that_floats():
    # A transformer's secondary without any connection to the reference.
    secondary = circuit(source("secondary", "p", "q", 24.0), resistor("load", "p", "q", 12.0))
    assert reading(secondary, meter("voltage", ("p", "q"))) == pytest.approx(24.0, rel=1e-9)
    assert reading(secondary, meter("current", "load")) == pytest.approx(2.0, rel=1e-9)


def test_nothing_at_all():
    lone = circuit(source("line", "a", "0", 120.0))
    assert reading(lone, meter("voltage", ("a", "0"))) == pytest.approx(120.0)
    assert reading(lone, meter("resistance", ("a", "0"))) >= OPEN


@pytest.mark.parametrize("reference", ["a", "b", "0"])
def test_the_reference_is_only_a_name(reference):
    parts = (source("line", "a", "0", 120.0), resistor("upper", "a", "b", 10.0), resistor("lower", "b", "0", 30.0))
    moved = circuit(*parts, reference=reference)
    assert reading(moved, meter("voltage", ("b", "0"))) == pytest.approx(90.0, rel=1e-9)
    assert reading(moved, meter("resistance", ("a", "0"))) == pytest.approx(40.0, rel=1e-7)


def test_split_phase():
    both = circuit(source("l1", "x", "n", 120.0), source("l2", "y", "n", 120.0, 180.0),
                   resistor("load", "x", "y", 24.0), reference="n")  # fmt: skip
    assert reading(both, meter("voltage", ("x", "y"))) == pytest.approx(240.0, rel=1e-9)
    assert reading(both, meter("current", "load")) == pytest.approx(10.0, rel=1e-9)


def test_three_phases():
    star = circuit(*(source(f"l{k}", f"p{k}", "n", 120.0, 120.0 * k) for k in range(3)),
                   *(resistor(f"r{k}", f"p{k}", "star", 10.0) for k in range(3)), reference="n")  # fmt: skip
    assert reading(star, meter("voltage", ("p0", "p1"))) == pytest.approx(120 * math.sqrt(3), rel=1e-9)
    assert reading(star, meter("voltage", ("star", "n"))) == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize(
    ("part", "impedance"),
    [
        (resistor("load", "a", "0", 25.0), 25.0),
        (coil("load", "a", "0", 30.0, 0.1), 30.0 + 1j * OMEGA * 0.1),
        (coil("load", "a", "0", 0.0, 0.1), 1j * OMEGA * 0.1),
        (capacitor("load", "a", "0", 10e-6), 1 / (1j * OMEGA * 10e-6)),
    ],
    ids=["resistance", "winding", "lossless winding", "capacitance"],
)
def test_laws_at_60_hertz(part, impedance):
    loaded = circuit(source("line", "s", "0", 120.0), resistor("lead", "s", "a", 5.0), part)
    current = 120.0 / (5.0 + impedance)
    assert reading(loaded, meter("current", "load")) == pytest.approx(abs(current), rel=1e-7)
    assert reading(loaded, meter("voltage", "load")) == pytest.approx(abs(current * impedance), rel=1e-7)
    found = dictionary(loaded, meter("voltage", ("a", "0")))
    assert cmath.isclose(found.impedance[0, 0], 5.0 * impedance / (5.0 + impedance), rel_tol=1e-7)


def test_direct_current():
    mixed = circuit(source("battery", "s", "0", 12.0), coil("coil", "s", "a", 4.0, 10.0),
                    capacitor("big", "a", "0", 1.0), resistor("load", "a", "0", 8.0), hertz=0.0)  # fmt: skip
    assert reading(mixed, meter("voltage", ("a", "0"), hertz=0.0)) == pytest.approx(8.0, rel=1e-9)
    assert reading(mixed, meter("current", "coil", hertz=0.0)) == pytest.approx(1.0, rel=1e-9)
    assert reading(mixed, meter("current", "big", hertz=0.0)) == pytest.approx(0, abs=1e-9)
    # An ohmmeter is direct current in a circuit of any frequency.
    mains = circuit(coil("coil", "a", "0", 4.0, 10.0), capacitor("across", "a", "0", 1e-5))
    assert reading(mains, meter("resistance", ("a", "0"))) == pytest.approx(4.0, rel=1e-9)


def test_capacitance_meter():
    two = circuit(capacitor("first", "a", "b", 6e-6), capacitor("second", "b", "0", 3e-6))
    assert reading(two, meter("capacitance", ("a", "b"))) == pytest.approx(6e-6, rel=1e-6)
    assert reading(two, meter("capacitance", ("a", "0"))) == pytest.approx(2e-6, rel=1e-6)
    assert reading(two, meter("capacitance", ("a", "b"), apart=("first",))) == pytest.approx(0, abs=1e-13)
    coiled = circuit(coil("coil", "a", "0", 10.0, 1.0))
    assert reading(coiled, meter("capacitance", ("a", "0"))) == 0


def test_meter_loads_what_it_reads():
    soft = circuit(source("line", "a", "0", 120.0), resistor("upper", "a", "b", 1e6), resistor("lower", "b", "0", 1e6))
    by_hand = 120 * parallel(1e6, 10e6) / (1e6 + parallel(1e6, 10e6))
    assert reading(soft, meter("voltage", ("b", "0")), input_ohms=10e6) == pytest.approx(by_hand, rel=1e-5)


def test_sensors_at_25_degrees():
    sensors = circuit(Part("platinum", "a", "0", Platinum(at(1000.0), at(0.0), IEC_60751)),
                      Part("thermistor", "b", "0", Thermistor(at(10e3), at(3950.0))))  # fmt: skip
    for part in sensors.parts:
        assert isinstance(part.law, Law)
    found = dictionary(sensors, meter("resistance", ("a", "0")))
    assert found.value.shape[-1] > 1  # one value for each temperature
    for law in (divider().parts[1].law, coil("c", "a", "0", 1.0, 1.0).law, capacitor("c", "a", "0", 1.0).law):
        assert isinstance(law, Law)
        assert not law.feels_temperature


def test_driven_contact_needs_power():
    relay = circuit(source("line", "a", "0", 120.0), switch("no", "a", "b", driven=True),
                    switch("nc", "a", "c", 2.0, (), driven=True, rests_closed=True),
                    resistor("load", "b", "0", 9.0))  # fmt: skip
    assert reading(relay, meter("voltage", ("b", "0"))) == pytest.approx(108.0, rel=1e-6)
    assert reading(relay, meter("voltage", ("b", "0"), command="off")) == pytest.approx(0, abs=1e-6)
    assert reading(relay, meter("resistance", ("a", "b"))) >= OPEN
    assert reading(relay, meter("resistance", ("a", "c"))) == pytest.approx(2.0, rel=1e-6)
    assert reading(relay, meter("current", "nc")) == 0
    plain = circuit(switch("knob", "a", "b"), resistor("load", "b", "0", 9.0))
    assert reading(plain, meter("resistance", ("a", "0"))) == pytest.approx(10.0, rel=1e-6)
    assert reading(plain, meter("resistance", ("a", "0"), command="off")) >= OPEN


def test_only_parts_of_the_build_are_there():
    either = circuit(Part("load", "a", "0", Resistance(at(10.0)), {"style": "flat"}),
                     Part("load", "a", "0", Resistance(at(20.0)), {"style": ("round", "oval")}))  # fmt: skip
    at_a = meter("resistance", ("a", "0"))
    assert dictionary(either, at_a, {"style": "flat"}).value[0, 0] == pytest.approx(10.0)
    assert dictionary(either, at_a, {"style": "oval"}).value[0, 0] == pytest.approx(20.0)
    with pytest.raises(PackModelError, match="no node 'a'"):
        dictionary(either, at_a, {})
    with pytest.raises(PackModelError, match="no part 'load'"):
        dictionary(either, meter("current", "load"), {})


ZERO_OHMS = {
    "a closed contact": ((), Switch("link", "b", "c", ("on",), at(0.0))),
    "a part": ((), resistor("link", "b", "c", 0.0)),
    "a short": ((Short("link", at(0.0)),), resistor("link", "b", "c", 50.0)),
    "a leak": ((Leak("b", "c", at(0.0)),), resistor("link", "b", "c", 50.0)),
}


@pytest.mark.parametrize("name", ZERO_OHMS)
@pytest.mark.parametrize("henries", [0.0, 0.1], ids=["real", "complex"])
@pytest.mark.filterwarnings("error")
def test_nothing_ohms_conduct(name, henries):
    changes, link = ZERO_OHMS[name]
    joined = circuit(source("line", "a", "0", 120.0), resistor("lead", "a", "b", 10.0), link,
                     coil("load", "c", "0", 50.0, henries), changes={"fault": changes} if changes else {})  # fmt: skip
    impedance = 50.0 + 1j * OMEGA * henries
    found = reading(joined, meter("current", "load"), *(("fault",) if changes else ()))
    assert found == pytest.approx(abs(120 / (10 + impedance)), rel=1e-6)


def test_open_part_in_a_loop_of_sources():
    loop = circuit(source("one", "a", "0", 5.0), source("two", "b", "a", 7.0), resistor("load", "b", "0", 6.0),
                   changes={"cut": (Open("load"),)})  # fmt: skip
    assert reading(loop, meter("voltage", ("b", "0"))) == pytest.approx(12.0)
    assert reading(loop, meter("current", "two")) == pytest.approx(2.0)
    assert reading(loop, meter("current", "two"), "cut") == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize("ohms", [1e-3, 1e-4, 1e-5, 1e-6])
def test_a_firm_connection_that_floats(ohms):
    # Two wires joined, with nothing else on them: an island that only the least conductance ties to the reference.
    island = circuit(source("line", "a", "0", 120.0), resistor("joint", "x", "y", 100.0),
                     resistor("tail", "y", "z", 5.0), changes={"short": (Short("joint", at(ohms)),)})  # fmt: skip
    assert reading(island, meter("voltage", ("x", "0")), "short") == pytest.approx(0, abs=1e-6)
    assert reading(island, meter("resistance", ("x", "0")), "short") >= OPEN
    assert reading(island, meter("resistance", ("x", "z")), "short") == pytest.approx(5.0 + ohms, abs=1e-3)


def test_two_parts_that_are_alike_have_the_same_values():
    """Halves of one coil: half the voltage stands across each, however much coils differ; so not of two coils."""
    wide = uniform(invented(5.0), invented(15.0))

    def middle(like):
        parts = (source("line", "a", "0", 120.0), Part("one", "a", "b", Resistance(wide)),
                 Part("other", "b", "0", Resistance(wide), like=like))  # fmt: skip
        return np.abs(dictionary(circuit(*parts), meter("voltage", ("b", "0"))).voltage[0])

    np.testing.assert_allclose(middle("one"), 60.0, rtol=1e-9)
    assert np.ptp(middle(None)) > 30.0
