"""The closed table of units, computed once with pint when this module is loaded.

Each row below is data of ours; pint turns the expressions into exact fractions.  It reads :data:`_DEFINITIONS` only,
its own list of several hundred units stays on the shelf: that keeps start-up short and the table closed.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType

import pint

#: In pint's syntax.  All are exact: SI Brochure (BIPM) for SI, NIST SP 811 (2008) Appendix B.8 for the others, with
#: "conventional" water (1000 kg/m3) and mercury (13595.1 kg/m3) columns and the International Table Btu.
_DEFINITIONS = """
micro- = 1e-6
milli- = 1e-3
centi- = 1e-2
hecto- = 1e2
kilo- = 1e3
mega- = 1e6
giga- = 1e9
nano- = 1e-9
pico- = 1e-12
meter = [length]
second = [time]
kilogram = [mass]
ampere = [current]
kelvin = [temperature]; offset: 0
degC = kelvin; offset: 273.15
degF = 5 / 9 * kelvin; offset: 233.15 + 200 / 9
minute = 60 * second
hour = 3600 * second
hertz = 1 / second
inch = 0.0254 * meter
foot = 12 * inch
gravity = 9.80665 * meter / second ** 2
joule = kilogram * meter ** 2 / second ** 2
watt = joule / second
volt = watt / ampere
ohm = volt / ampere
farad = ampere * second / volt
pascal = kilogram / meter / second ** 2
bar = 1e5 * pascal
psi = 0.45359237 * kilogram * gravity / inch ** 2
water = 1000 * kilogram / meter ** 3 * gravity
mercury = 13595.1 * kilogram / meter ** 3 * gravity
btu = 1055.05585262 * joule
liter = 1e-3 * meter ** 3
gallon = 231 * inch ** 3
ppm = 1e-6
percent = 1e-2
"""


@dataclass(frozen=True, slots=True)
class UnitEntry:
    """A unit of one dimension: ``value * factor + offset`` is the value in ``canonical``; ``name`` is our spelling."""

    factor: float
    offset: float
    canonical: str
    name: str
    dimension: str


@dataclass(frozen=True, slots=True)
class Row:
    """One unit: our spelling, what it is for pint, and the trade's other spellings.

    Case and spacing are forgiven, but the first letter of the spellings in ``cased`` (the name is one of them when
    the tuple is not empty) must stand as written: m is milli and M is mega.
    """

    name: str
    meaning: str
    forgiving: tuple[str, ...] = ()
    cased: tuple[str, ...] = ()


#: Dimension to its units, the canonical one first.
ROWS: Mapping[str, tuple[Row, ...]] = MappingProxyType({
    "resistance": (
        Row("ohm", "ohm", ("ohms", "Ω")),
        Row("mohm", "milliohm", ("milliohm", "milliohms"), ("mohm", "mohms", "mΩ")),
        Row("kohm", "kiloohm", ("kohms", "kΩ", "kilohm", "kilohms", "kiloohm", "kiloohms", "k")),
        Row("Mohm", "megaohm", ("megohm", "megohms", "megaohm", "megaohms", "meg"), ("Mohm", "Mohms", "MΩ")),
        Row("Gohm", "gigaohm", ("Gohms", "GΩ", "gigohm", "gigohms", "gigaohm", "gigaohms")),
    ),
    "voltage": (
        Row("V", "volt", ("VAC", "VDC", "Vrms", "volt", "volts")),
        Row("mV", "millivolt", ("millivolt", "millivolts"), ("mV", "mVAC", "mVDC")),
        Row("kV", "kilovolt", ("kVAC", "kVDC", "kilovolt", "kilovolts")),
    ),
    "current": (
        Row("A", "ampere", ("AAC", "ADC", "Arms", "amp", "amps", "ampere", "amperes")),
        Row("mA", "milliampere", ("milliamp", "milliamps", "milliampere", "milliamperes"), ("mA", "mAAC", "mADC")),
        Row("uA", "microampere", ("µA", "microamp", "microamps", "microampere", "microamperes", "uADC", "µADC")),
    ),
    "temperature": (
        Row("degC", "degC", ("°C", "C", "celsius", "degrees C", "degrees celsius")),
        Row("degF", "degF", ("°F", "F", "fahrenheit", "degrees F", "degrees fahrenheit")),
        Row("K", "kelvin", ("kelvin", "kelvins")),
    ),
    "temperature_difference": (
        Row("K", "kelvin", ("kelvin", "kelvins")),
        Row("degC", "delta_degC", ("°C", "C", "celsius", "degrees C", "degrees celsius")),
        Row("degF", "delta_degF", ("°F", "F", "fahrenheit", "degrees F", "degrees fahrenheit")),
    ),
    "pressure": (
        Row("Pa", "pascal", ("pascal", "pascals")),
        Row("hPa", "hectopascal"),
        Row("kPa", "kilopascal", ("kilopascal", "kilopascals")),
        Row("mbar", "millibar", ("millibar", "millibars"), ("mbar",)),
        Row("bar", "bar", ("bars",)),
        Row("psi", "psi", ("psig",)),
        Row("inH2O", "inch * water", (
            "in WC", '"WC', "inch WC", "inches WC", "iWC", "in WG", '"WG', '"H2O', "inch H2O", "inches H2O",
            "inches of water", "inches of water column", "inches water column",
        )),
        Row("mmH2O", "millimeter * water", (), ("mmH2O", "mm WC", "mm WG")),
        Row("inHg", "inch * mercury", ('"Hg', "inches Hg", "inches of mercury")),
    ),
    "capacitance": (
        Row("F", "farad", ("farad", "farads")),
        Row("mF", "millifarad", ("millifarad", "millifarads"), ("mF",)),
        Row("uF", "microfarad", ("µF", "microfarad", "microfarads", "mfd")),
        Row("nF", "nanofarad", ("nanofarad", "nanofarads")),
        Row("pF", "picofarad", ("picofarad", "picofarads")),
    ),
    "power": (
        Row("W", "watt", ("watt", "watts")),
        Row("mW", "milliwatt", ("milliwatt", "milliwatts"), ("mW",)),
        Row("kW", "kilowatt", ("kilowatt", "kilowatts")),
    ),
    "heat_rate": (
        Row("W", "watt", ("watt", "watts")),
        Row("kW", "kilowatt", ("kilowatt", "kilowatts")),
        Row("Btu/h", "btu / hour", ("Btu/hr", "Btuh", "Btu per hour")),
        Row("kBtu/h", "kilobtu / hour", ("kBtu/hr", "kBtuh", "MBH")),
    ),
    "flow": (
        Row("m3/s", "meter ** 3 / second"),
        Row("l/min", "liter / minute", ("lpm", "liter/min", "liters/min", "litre/min", "litres/min")),
        Row("l/h", "liter / hour", ("l/hr", "lph")),
        Row("gal/min", "gallon / minute", ("gpm", "US gal/min", "gallon/min", "gallons/min")),
        Row("ft3/h", "foot ** 3 / hour", ("ft3/hr", "cfh", "cu ft/h", "cu ft/hr")),
    ),
    "concentration": (
        Row("ppm", "ppm", ("ppmv", "ppm vol")),
        Row("%", "percent", ("percent", "vol %", "% vol")),
    ),
    "time": (
        Row("s", "second", ("sec", "secs", "second", "seconds")),
        Row("ms", "millisecond", ("millisecond", "milliseconds"), ("ms",)),
        Row("min", "minute", ("mins", "minute", "minutes")),
        Row("h", "hour", ("hr", "hrs", "hour", "hours")),
    ),
    "length": (
        Row("m", "meter", ("meter", "meters", "metre", "metres")),
        Row("cm", "centimeter", ("centimeter", "centimeters", "centimetre", "centimetres")),
        Row("mm", "millimeter", ("millimeter", "millimeters", "millimetre", "millimetres"), ("mm",)),
        Row("in", "inch", ("inch", "inches", '"')),
        Row("ft", "foot", ("foot", "feet")),
    ),
    "frequency": (
        Row("Hz", "hertz", ("hertz",)),
        Row("kHz", "kilohertz", ("kilohertz",)),
    ),
})  # fmt: skip


def _registry() -> pint.UnitRegistry[Fraction]:
    """A pint registry that knows our definitions only and computes with exact fractions."""
    registry: pint.UnitRegistry[Fraction] = pint.UnitRegistry(None, non_int_type=Fraction)
    registry.load_definitions(_DEFINITIONS.strip().splitlines())
    return registry


def entries() -> Iterator[tuple[Row, UnitEntry]]:
    """Compute every unit of the table: its row, and what it is in the canonical unit of its dimension."""
    registry = _registry()
    for dimension, rows in ROWS.items():
        canonical = rows[0]
        for row in rows:
            zero, one = (
                registry.Quantity(Fraction(n), row.meaning).to(canonical.meaning).magnitude for n in (0, 1)
            )
            yield row, UnitEntry(float(one - zero), float(zero), canonical.name, row.name, dimension)
