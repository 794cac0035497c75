"""Supply limits of ANSI C84.1 as the pack uses them, and unit conversions of NIST SP 811 and of pint's own registry."""

from __future__ import annotations

import pint
import pytest

from probewright.engine import check_readings
from probewright.packs.loader import load_packs
from probewright.packs.registry import LoadedPack
from probewright.quantities.unit_table import ROWS
from probewright.quantities.units import convert, unit_of
from probewright.settings import Settings
from probewright_schemas.records import Case, CheckedReading, Meter, Reading

# ANSI C84.1-2020, Table 1, 120 V systems, Range A.  Service: 114 to 126 V, found as law in COMAR 20.50.07.02
# (Maryland).  Utilization: 108 to 126 V in editions from 2006, from memory of the table, to be confirmed there.
SERVICE = (114.0, 126.0)
UTILIZATION = (108.0, 126.0)


@pytest.fixture(scope="module")
def pack() -> LoadedPack:
    return load_packs().packs["gas_range"]


@pytest.mark.parametrize("test_id", ["outlet_voltage", "outlet_hot_to_ground"])
def test_the_outlet_is_held_to_the_utilization_voltage(pack: LoadedPack, test_id: str) -> None:
    (limit,) = next(test for test in pack.family.tests if test.id == test_id).limits
    assert (limit.low, limit.high) == UTILIZATION
    # ANSI C84.1 describes Range A as 0.95 (service) or 0.90 (utilization) to 1.05 of nominal.
    assert limit.low == pytest.approx(0.90 * pack.family.supply.nominal)
    assert limit.high == pytest.approx(1.05 * pack.family.supply.nominal)
    assert limit.low < SERVICE[0]
    assert limit.high == SERVICE[1]


def test_a_limit_that_was_not_read_in_the_standard_says_so(pack: LoadedPack) -> None:
    (limit,) = next(test for test in pack.family.tests if test.id == "outlet_voltage").limits
    assert limit.low is not None
    assert limit.low.basis == "from_memory"
    assert "C84.1" in limit.low.source
    expected = _read(pack, 120.0).expected
    assert expected is not None
    assert expected.basis == "from_memory"


def test_a_supply_that_nobody_measured_spreads_over_the_service_voltage(pack: LoadedPack) -> None:
    supply = pack.family.supply
    assert supply.nominal == 120.0
    assert supply.unmeasured.kind == "normal"
    mean, deviation = supply.unmeasured.first, supply.unmeasured.second
    assert (mean - 2 * deviation, mean + 2 * deviation) == pytest.approx(SERVICE)
    assert {supply.nominal.basis, mean.basis} == {"published"}
    assert "COMAR 20.50.07.02" in deviation.source


def _read(pack: LoadedPack, volts: float) -> CheckedReading:
    meter = Meter("multimeter", percent_of_reading=1.0, counts=3)
    reading = Reading("outlet_voltage", value=volts, unit="V", meter="dmm")
    case = Case("gas_range", meters={"dmm": meter}, readings=(reading,))
    (checked,) = check_readings(case, pack, Settings()).readings
    return checked


@pytest.mark.parametrize(
    ("volts", "expected"),
    [(120.0, "within"), (112.0, "within"), (108.2, "inconclusive"), (107.8, "inconclusive"), (104.0, "outside"),
     (126.5, "inconclusive"), (129.0, "outside")],
)  # fmt: skip
def test_readings_of_the_outlet(pack: LoadedPack, volts: float, expected: str) -> None:
    # Against 108 to 126 V with a meter of 1 % and 3 counts of 0.1 V, u = (1 % + 0.3 V)/sqrt(3) (JCGM 100:2008, 4.3.7).
    assert _read(pack, volts).verdict == expected


# NIST SP 811 (2008), Appendix B.8 and B.9, seven significant digits: unit, dimension, factor to SI.
SP_811 = [
    ("inH2O", "pressure", 2.490889e2),  # inch of water, conventional
    ("mmH2O", "pressure", 9.80665e0),  # millimetre of water, conventional
    ("inHg", "pressure", 3.386389e3),  # inch of mercury, conventional
    ("psi", "pressure", 6.894757e3),
    ("mbar", "pressure", 1.0e2),
    ("bar", "pressure", 1.0e5),
    ("Btu/h", "heat_rate", 2.930711e-1),  # International Table
    ("gal/min", "flow", 6.309020e-5),  # US
    ("ft3/h", "flow", 7.865791e-6),
    ("l/min", "flow", 1.666667e-5),
    ("in", "length", 2.54e-2),
    ("ft", "length", 3.048e-1),
    ("degF", "temperature_difference", 5.555556e-1),
    ("min", "time", 6.0e1),
    ("h", "time", 3.6e3),
]


@pytest.mark.parametrize(("unit", "dimension", "factor"), SP_811)
def test_factors_of_nist_sp_811(unit: str, dimension: str, factor: float) -> None:
    assert unit_of(unit, dimension).factor == pytest.approx(factor, rel=5e-7)


@pytest.mark.parametrize(
    ("fahrenheit", "celsius"), [(32, 0), (212, 100), (-40, -40), (98.6, 37), (70, 21.1111), (350, 176.6667), (500, 260)]
)
def test_fahrenheit_by_nist_sp_811(fahrenheit: float, celsius: float) -> None:
    # NIST SP 811, B.8: t/degC = (t/degF - 32)/1.8.
    assert convert(fahrenheit, "F", "C", "temperature") == pytest.approx(celsius, abs=5e-5)
    assert convert(celsius, "°C", "°F", "temperature") == pytest.approx(fahrenheit, abs=1e-4)


def test_kelvin_by_the_si_brochure() -> None:
    # SI Brochure, 2.3.1: t/degC = T/K - 273.15.
    assert convert(273.15, "K", "degC", "temperature") == 0.0
    assert convert(25.0, "degC", "K", "temperature") == pytest.approx(298.15)


# Our spelling to the name in pint's own registry of units, where the two differ.
IN_PINT = {
    "kohm": "kiloohm", "Mohm": "megaohm", "mohm": "milliohm", "Gohm": "gigaohm",
    "inH2O": "inch_H2O", "mmH2O": "millimeter * conventional_water_density * g_0", "inHg": "inch_Hg",
    "Btu/h": "international_british_thermal_unit / hour", "kBtu/h": "kilointernational_british_thermal_unit / hour",
    "F": "farad", "m": "meter", "h": "hour", "K": "kelvin", "%": "percent", "gal/min": "gallon / minute",
    "l/min": "liter / minute", "l/h": "liter / hour", "m3/s": "meter ** 3 / second", "ft3/h": "foot ** 3 / hour",
    "in": "inch", "min": "minute", "A": "ampere", "V": "volt",
}  # fmt: skip


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry:
    return pint.UnitRegistry()


def _in_pint(name: str, dimension: str) -> str:
    if dimension == "temperature_difference" and name != "K":
        return f"delta_{name}"
    return IN_PINT.get(name, name)


@pytest.mark.parametrize(
    ("dimension", "name"), [(d, row.name) for d, rows in ROWS.items() for row in rows]
)
def test_every_unit_against_pints_own_registry(registry: pint.UnitRegistry, dimension: str, name: str) -> None:
    # The table is made from our definitions; pint's distribution has its own, with its own sources (CODATA, NIST).
    canonical = _in_pint(ROWS[dimension][0].name, dimension)
    for value in (0.0, 1.0, 123.456):
        theirs = registry.Quantity(value, _in_pint(name, dimension)).to(canonical).magnitude
        ours = convert(value, name, ROWS[dimension][0].name, dimension)
        assert ours == pytest.approx(theirs, rel=1e-9, abs=1e-9 if dimension == "temperature" else 0.0)
