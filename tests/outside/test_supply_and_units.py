"""Supply limits of ANSI C84.1 and IEC 60038, and unit conversions of NIST SP 811 and of pint's own registry."""

from __future__ import annotations

import pint
import pytest

from probewright.physics import supply
from probewright.physics.supply import SupplyRange
from probewright.quantities.conformity import probability_within, verdict
from probewright.quantities.unit_table import ROWS
from probewright.quantities.units import convert, unit_of


@pytest.mark.parametrize(
    ("limits", "low", "high"),
    [
        # ANSI C84.1-2020, Table 1, Range A service; also COMAR 20.50.07.02 (Maryland) for 120 and 240 V.
        (supply.C84_SERVICE_A_120, 114, 126),
        (supply.C84_SERVICE_A_240, 228, 252),
        # The same table, Range B service and Range A utilization (editions since 2006): from memory.
        (supply.C84_SERVICE_B_120, 110, 127),
        (supply.C84_SERVICE_B_240, 220, 254),
        (supply.C84_UTILIZATION_A_120, 108, 126),
        (supply.C84_UTILIZATION_A_240, 216, 252),
        # IEC 60038, Table 1: 230 V plus or minus 10 %.
        (supply.IEC_60038_230, 207, 253),
    ],
    ids=lambda v: getattr(v, "id", str(v)),
)
def test_supply_limits(limits: SupplyRange, low: float, high: float) -> None:
    assert (limits.low, limits.high) == (low, high)


def test_limits_that_were_not_read_in_the_standard_say_so() -> None:
    assert supply.C84_SERVICE_A_120.low.basis == "published"
    assert "C84.1" in supply.C84_SERVICE_A_120.low.source
    assert supply.C84_SERVICE_B_120.low.basis == "from_memory"
    assert supply.C84_UTILIZATION_A_240.low.basis == "from_memory"


def test_range_a_service_is_five_percent_and_the_european_range_ten() -> None:
    # ANSI C84.1 describes Range A service as plus or minus 5 % of nominal; IEC 60038 gives 10 %.
    for limits, fraction in (
        (supply.C84_SERVICE_A_120, 0.05), (supply.C84_SERVICE_A_240, 0.05), (supply.IEC_60038_230, 0.10),
    ):  # fmt: skip
        assert limits.low == pytest.approx(limits.nominal * (1 - fraction))
        assert limits.high == pytest.approx(limits.nominal * (1 + fraction))


@pytest.mark.parametrize(
    ("volts", "expected"),
    [(120.0, "within"), (118.0, "within"), (114.2, "inconclusive"), (113.8, "inconclusive"), (110.0, "outside"),
     (126.5, "inconclusive"), (129.0, "outside")],
)  # fmt: skip
def test_readings_against_range_a_service(volts: float, expected: str) -> None:
    # ANSI C84.1, Range A service, 114 to 126 V; a meter of 1 % and 3 counts of 0.1 V (JCGM 100:2008, 4.3.7).
    u = (0.01 * volts + 0.3) / 3**0.5
    limits = supply.C84_SERVICE_A_120
    assert verdict(probability_within(volts, u, limits.low, limits.high)) == expected


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
