"""Circuits that feel the temperature: solved at a few stations, interpolated between."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from probewright.circuit.laws import Copper, Operating, Platinum, Thermistor
from probewright.circuit.measure import COLDEST, HOTTEST, STATIONS, dictionaries, stations
from probewright.circuit.parts import Drift, Level, Open, Part, Short
from probewright.inference.numeric import Predictor, from_dictionary
from probewright.inference.situation import Situation, interpolation
from probewright.packs.check import check_family
from probewright.packs.model import Between, Function, Requirement, Shows
from probewright.physics.sensors import IEC_60751, TRADE_3750
from probewright_schemas.records import Conditions, Quantity, Reading
from support.circuits import at, circuit, class_of, dictionary, meter, resistor, source
from support.families import a_test, beliefs, case, evaluated, warmer

TEMPERATURES = np.arange(-40.0, 300.5, 0.5)


def callendar(t: float, nominal: float, curve) -> float:
    """Written out from the definition, not taken from the library."""
    cubic = curve.c * (t - 100) * t**3 if t < 0 else 0.0
    return nominal * (1 + curve.a * t + curve.b * t * t + cubic)


def beta(t: float, at_25: float, b: float) -> float:
    return at_25 * math.exp(b * (1 / (t + 273.15) - 1 / 298.15))


def sensor(law, **changes):
    return circuit(Part("sensor", "a", "0", law), changes=changes)


def interpolated(of, *faults: str) -> np.ndarray:
    """Resistance at each of the temperatures, as the engine interpolates it."""
    found = dictionary(of, meter("resistance", ("a", "0")))
    values = found.value[class_of(found, faults), 0]
    return np.exp(interpolation(TEMPERATURES) @ np.log(values))


@pytest.mark.parametrize("curve", [IEC_60751, TRADE_3750], ids=lambda curve: curve.id)
@pytest.mark.parametrize("nominal", [100.0, 1000.0])
def test_platinum_between_the_stations(curve, nominal):
    expected = [callendar(t, nominal, curve) for t in TEMPERATURES.tolist()]
    np.testing.assert_allclose(interpolated(sensor(Platinum(at(nominal), at(0.0), curve))), expected, rtol=1e-4)


@pytest.mark.parametrize("b", [3435.0, 3950.0, 4200.0])
def test_thermistor_between_the_stations(b):
    expected = [beta(t, 10e3, b) for t in TEMPERATURES.tolist()]
    np.testing.assert_allclose(interpolated(sensor(Thermistor(at(10e3), at(b)))), expected, rtol=1e-3)


def test_copper_between_the_stations():
    expected = [20.0 * (234.5 + t) / 254.5 for t in TEMPERATURES.tolist()]
    np.testing.assert_allclose(interpolated(sensor(Copper(at(20.0), at(0.1)))), expected, rtol=1e-3)


def test_a_copper_coil_has_its_reactance_under_alternating_current():
    """Ohms and henries in series; 30 ohm at 20 degC are 36.48 ohm at 75 degC."""
    omega = 2 * math.pi * 60.0
    coil = Copper(at(30.0), at(40.0 / omega))
    hot = Operating(omega, np.array(75.0), np.array(False))
    found = abs(complex(coil.impedance(np.array([30.0, 40.0 / omega]), hot)))
    assert found == pytest.approx(math.hypot(36.483, 40.0), rel=1e-4)


def test_error_in_kelvin_shifts_the_temperature():
    warmer_by = sensor(Platinum(at(1000.0), at(5.0), IEC_60751))
    expected = [callendar(t + 5.0, 1000.0, IEC_60751) for t in TEMPERATURES.tolist()]
    np.testing.assert_allclose(interpolated(warmer_by), expected, rtol=1e-4)


@pytest.mark.parametrize(
    ("change", "by_hand"),
    [
        (Drift("sensor", at(1.1)), lambda r: 1.1 * r),
        (Short("sensor", at(5000.0)), lambda r: r * 5000 / (r + 5000)),
        (Open("sensor"), lambda _: 1e10),
    ],
    ids=["drift", "short", "open"],
)
def test_faults_at_every_temperature(change, by_hand):
    faulty = sensor(Platinum(at(1000.0), at(0.0), IEC_60751), fault=(change,))
    expected = [by_hand(callendar(t, 1000.0, IEC_60751)) for t in TEMPERATURES.tolist()]
    np.testing.assert_allclose(interpolated(faulty, "fault"), expected, rtol=1e-4)


def test_stations_cover_the_range_and_are_met_exactly():
    found = stations()
    assert (found[0], found[-1], len(found)) == (COLDEST, HOTTEST, STATIONS)
    assert (np.diff(found) > 0).all()
    np.testing.assert_allclose(interpolation(found), np.eye(STATIONS), atol=1e-9)


def test_weights_add_up_and_stop_at_the_ends():
    at_all = interpolation(np.linspace(-80, 450, 200))
    np.testing.assert_allclose(at_all.sum(axis=1), 1.0, rtol=1e-12)
    np.testing.assert_array_equal(interpolation(np.array([-300.0]))[0], np.eye(STATIONS)[0])
    np.testing.assert_array_equal(interpolation(np.array([900.0]))[0], np.eye(STATIONS)[-1])


def test_polynomials_are_met_exactly():
    x = np.linspace(COLDEST, HOTTEST, 57)
    for power in range(STATIONS):
        curve = ((x - 180) / 240) ** power
        np.testing.assert_allclose(interpolation(x) @ ((stations() - 180) / 240) ** power, curve, atol=1e-12)


# A thermistor as the lower half of a divider: voltage and current depend on the temperature as well.  Over the whole
# range they bend more than a resistance does, so the stations give them less well, to 2 %.
def predicted(measurement, *, ambient: float, supply: float | None = None, fault: str | None = None) -> float:
    """The middle of what the engine predicts, by a meter that takes nothing."""
    lower = Part("lower", "b", "0", Thermistor(at(10e3), at(3950.0)))
    of = circuit(source("line", "a", "0", 100.0), resistor("upper", "a", "b", 10e3), lower, hertz=0.0,
                 changes={"dead": (Level("line", at(0.0)),), "cut": (Open("upper"),)})  # fmt: skip
    found = dictionaries(of, {}, ("cut", "dead"), [measurement])[0]
    model = Predictor(from_dictionary(found, ["invented"]), warmer())
    predicted = model.predict(Situation(supply, ambient), 1e15, 1e12)
    return float(np.median(predicted.values[class_of(found, (fault,) if fault else ())])) * predicted.scale


VOLTS, AMPERES = meter("voltage", ("b", "0"), hertz=0.0), meter("current", "lower", hertz=0.0)


@pytest.mark.parametrize("ambient", [0.0, 25.0, 80.0])
def test_voltage_across_a_thermistor(ambient):
    ohms = beta(ambient, 10e3, 3950.0)
    assert predicted(VOLTS, ambient=ambient) == pytest.approx(100.0 * ohms / (10e3 + ohms), rel=0.02)


@pytest.mark.parametrize("ambient", [0.0, 25.0, 80.0])
def test_current_through_a_thermistor(ambient):
    ohms = beta(ambient, 10e3, 3950.0)
    assert predicted(AMPERES, ambient=ambient) == pytest.approx(100.0 / (10e3 + ohms), rel=0.02)


@pytest.mark.parametrize("measurement", [VOLTS, AMPERES], ids=["voltage", "current"])
def test_readings_of_a_thermistor_scale_with_the_supply(measurement):
    full = predicted(measurement, ambient=25.0, supply=100.0)
    assert predicted(measurement, ambient=25.0, supply=80.0) == pytest.approx(0.8 * full, rel=1e-3)


@pytest.mark.parametrize("fault", ["cut", "dead"])
@pytest.mark.parametrize("measurement", [VOLTS, AMPERES], ids=["voltage", "current"])
@pytest.mark.filterwarnings("error")
def test_nothing_through_a_thermistor(measurement, fault):
    assert predicted(measurement, ambient=25.0, fault=fault) == pytest.approx(0, abs=1e-6)


def sensing():
    """The warmer with a thermistor that a function, an eye and a beeper depend on: 5 mA at 25 degC, less when cold."""
    parts = (source("line", "live", "earth", 100.0), resistor("upper", "live", "mid", 10e3),
             Part("ntc", "mid", "earth", Thermistor(at(10e3), at(3950.0))))  # fmt: skip
    of = replace(circuit(*parts, reference="earth", hertz=50.0, changes={"link_open": (Open("upper"),)}), id="sensing")
    flows = Requirement("sensing", "ntc", "current", "off", "live", at(0.002))
    family = warmer()
    return replace(
        family,
        circuits=(*family.circuits, of),
        functions=(*family.functions, Function("senses", "It senses", (flows,))),
        tests=(
            *family.tests,
            a_test("light", "seen", Shows("sensing", "ntc", "current", (at(0.002),), ("dark", "lit")),
                   states=("live",), outcomes=("lit", "dark")),
            a_test("ntc_ohms", "resistance", Between("sensing", "mid", "earth", ("upper",)), needs=("ambient",)),
        ),
    )  # fmt: skip


@pytest.mark.parametrize(
    "evidence",
    [{"working": ("senses",)}, {"readings": (Reading("light", seen="lit"),)}],
    ids=["a function", "what is seen"],
)
def test_functions_and_eyes_that_feel_the_temperature(evidence):
    check_family(sensing())
    found = beliefs(evaluated(replace(case(), **evidence), sensing()))
    prior = beliefs(evaluated(case(), sensing()))
    assert found["link_open"] < 0.3 * prior["link_open"]
    assert found["none"] > prior["none"]


def test_ohms_at_the_temperature_of_the_reading():
    for celsius, ohms in ((0.0, beta(0.0, 10e3, 3950.0)), (25.0, 10e3), (60.0, beta(60.0, 10e3, 3950.0))):
        room = Conditions(ambient=Quantity(celsius, "degC"))
        found = evaluated(case(Reading("ntc_ohms", ohms, unit="ohm"), conditions=room), sensing()).readings.checked[0]
        assert found.verdict == "within"
        assert found.expected.low < ohms < found.expected.high
        # Some 4 % for each kelvin, and a kelvin of doubt each way.
        assert found.expected.high / found.expected.low == pytest.approx(math.exp(2 * 2.576 * 0.044), rel=0.1)
