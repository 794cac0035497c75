"""Units behind one door: a closed table of the trade's spellings, and numbers that are numbers.

Nothing that a request says is ever evaluated: a unit is looked up, or refused.  A spelling is read within the dimension
that is expected, so ``F`` is a degree Fahrenheit for a temperature and a farad for a capacitance.
"""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from types import MappingProxyType

from probewright.errors import RequestError
from probewright.quantities.unit_table import ROWS, Row, UnitEntry, entries
from probewright_schemas.limits import LARGEST_NUMBER, LONGEST_UNIT

__all__ = [
    "ABSOLUTE_ZERO_C", "DIMENSIONS", "NumberError", "UnitEntry", "UnitError", "accepted", "canonical_unit", "convert",
    "dimension_of_kind", "display_units", "number", "to_canonical", "unit_of",
]  # fmt: skip

ABSOLUTE_ZERO_C = -273.15  # definition of the degree Celsius, SI Brochure 2.3.1

#: Every dimension of the table.
DIMENSIONS: tuple[str, ...] = tuple(ROWS)

_DIMENSION_OF_KIND: Mapping[str, str] = MappingProxyType({
    "voltage": "voltage",
    "current": "current",
    "resistance": "resistance",
    "continuity": "resistance",
    "capacitance": "capacitance",
    "temperature": "temperature",
    "pressure": "pressure",
    "concentration": "concentration",
    "duration": "time",
})  # fmt: skip

#: Look-alikes that Unicode's own compatibility mapping gets wrong: the ordinal and the ring for a degree, and quotation
#: marks for inches.
_LOOK_ALIKES = str.maketrans({"º": "°", "˚": "°", "″": '"', "“": '"', "”": '"'})


class NumberError(RequestError, ValueError):
    """Not a finite number, or one that cannot be what it is said to be."""

    code = "bad_number"


class UnitError(RequestError):
    """A unit that is unknown or of another dimension.

    Attributes
    ----------
    unit : str
        What was given, cut short when it is long.
    dimension : str
        What was expected.
    accepted : tuple of str
        Every spelling that would do.
    belongs_to : tuple of str
        The dimensions that the unit does belong to; empty when it is unknown.
    """

    code = "bad_unit"

    def __init__(self, unit: str, dimension: str, belongs_to: Sequence[str] = ()) -> None:
        self.unit = unit[:LONGEST_UNIT]
        self.dimension, self.accepted, self.belongs_to = dimension, accepted(dimension), tuple(belongs_to)
        wanted = dimension.replace("_", " ")
        others = " or ".join(d.replace("_", " ") for d in self.belongs_to)
        wrong = f"{self.unit!r} is a unit of {others}, not of {wanted}" if others else f"unknown unit {self.unit!r}"
        super().__init__(f"{wrong}; for {wanted} use one of: {', '.join(display_units(dimension))}")


def number(value: object) -> float:
    """Take a finite number from a request as a float.

    Raises
    ------
    NumberError
        For NaN, infinities, numbers beyond 1e30 either way, booleans, text (numeric or not), null and all else.
    """
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise NumberError(f"must be a number, not {_describe(value)}")
    if -LARGEST_NUMBER <= value <= LARGEST_NUMBER:
        return float(value)
    if isinstance(value, float) and not math.isfinite(value):
        raise NumberError("must be a finite number, not NaN or an infinity")
    raise NumberError(f"must lie between {-LARGEST_NUMBER:g} and {LARGEST_NUMBER:g}")


def _describe(value: object) -> str:
    names = {bool: "a boolean", str: "text", type(None): "null", list: "a list", dict: "an object"}
    return names.get(type(value), type(value).__name__)


def _compact(text: str) -> str:
    """Drop what people vary: spaces, full stops, underscores, look-alikes and compatibility forms (U+2126, U+00B5)."""
    unified = unicodedata.normalize("NFKC", text.translate(_LOOK_ALIKES)).replace("''", '"')
    return "".join(c for c in unified if not c.isspace() and c not in "._")


def _cased_key(text: str) -> str:
    """As written in the first letter, forgiving in the rest."""
    compact = _compact(text)
    return compact[:1] + compact[1:].casefold()


def _folded_key(text: str) -> str:
    return _compact(text).casefold()


def _spellings(row: Row) -> tuple[str, ...]:
    """All documented spellings of a unit, its name first."""
    return tuple(dict.fromkeys((row.name, *row.cased, *row.forgiving)))


def _variants(spelling: str) -> tuple[str, ...]:
    """A spelling with each code point of ohm and micro, so that both are found without folding."""
    return (spelling, spelling.replace("Ω", "\u2126").replace("µ", "\u03bc"))


_Table = dict[tuple[str, str], UnitEntry]


def _tables() -> tuple[_Table, _Table, _Table]:
    """Make the tables of exact spellings, of forgiving keys, and of those forgiving in all but the first letter."""
    exact: _Table = {}
    folded: _Table = {}
    cased: _Table = {}
    for row, entry in entries():
        _add(exact, entry, (v for s in _spellings(row) for v in _variants(s)))
        _add(folded, entry, map(_folded_key, row.forgiving if row.cased else (row.name, *row.forgiving)))
        _add(cased, entry, map(_cased_key, row.cased))
    return exact, folded, cased


def _add(table: _Table, entry: UnitEntry, keys: Iterable[str]) -> None:
    """Refuse a table that contradicts itself."""
    for key in keys:
        if table.setdefault((entry.dimension, key), entry) is not entry:
            raise ValueError(f"{key!r} stands for two units of {entry.dimension}")


_EXACT, _FOLDED, _CASED = map(MappingProxyType, _tables())
_ACCEPTED = MappingProxyType({d: tuple(s for r in rows for s in _spellings(r)) for d, rows in ROWS.items()})
_DISPLAYED = MappingProxyType({d: tuple(r.name for r in rows) for d, rows in ROWS.items()})


def unit_of(unit: str, dimension: str) -> UnitEntry:
    """Look a unit up.

    Parameters
    ----------
    unit : str
        As a request spells it.
    dimension : str
        One of :data:`DIMENSIONS`.

    Returns
    -------
    UnitEntry
        With ``value * factor + offset`` in the dimension's canonical unit.

    Raises
    ------
    UnitError
        When the dimension has no such unit.
    """
    entry = _EXACT.get((dimension, unit))
    return entry if entry is not None else _forgiving(unit, dimension)


def _forgiving(unit: str, dimension: str) -> UnitEntry:
    """Look up what is not spelled exactly as the table has it."""
    _known(dimension)
    if not isinstance(unit, str):
        raise UnitError(_describe(unit), dimension)
    if len(unit) > LONGEST_UNIT:
        raise UnitError(unit, dimension)
    found = _find(unit, dimension)
    if found is None:
        raise UnitError(unit, dimension, [d for d in DIMENSIONS if _find(unit, d) is not None])
    return found


def _find(unit: str, dimension: str) -> UnitEntry | None:
    entry = _CASED.get((dimension, _cased_key(unit)))
    return entry if entry is not None else _FOLDED.get((dimension, _folded_key(unit)))


def _known(dimension: str) -> None:
    if dimension not in ROWS:
        raise ValueError(f"unknown dimension {dimension!r}; one of {', '.join(DIMENSIONS)}")


def to_canonical(value: float, unit: str, dimension: str) -> float:
    """Convert to the dimension's canonical unit.

    Raises
    ------
    UnitError
        When the dimension has no such unit.
    NumberError
        When the result is too large for a float, or a temperature below absolute zero.
    """
    entry = unit_of(unit, dimension)
    result = value * entry.factor + entry.offset
    if not math.isfinite(result):
        raise NumberError(f"{value!r} {entry.name} is out of all range")
    if dimension == "temperature" and result < ABSOLUTE_ZERO_C - 1e-9:  # the slack covers the conversion's rounding
        raise NumberError(f"{value!r} {entry.name} is below absolute zero")
    return result


def convert(value: float, unit: str, to: str, dimension: str) -> float:
    """Convert between two units of one dimension; a value in the same unit comes back untouched, bit for bit.

    Raises
    ------
    UnitError, NumberError
        As for :func:`to_canonical`.
    """
    canonical = to_canonical(value, unit, dimension)
    target = unit_of(to, dimension)
    if target is unit_of(unit, dimension):
        return value
    return (canonical - target.offset) / target.factor


def accepted(dimension: str) -> tuple[str, ...]:
    """Every documented spelling of the units of a dimension."""
    _known(dimension)
    return _ACCEPTED[dimension]


def display_units(dimension: str) -> tuple[str, ...]:
    """The units that an answer may be given in, one spelling each, the canonical one first."""
    _known(dimension)
    return _DISPLAYED[dimension]


def canonical_unit(dimension: str) -> str:
    """The unit that the engine computes in."""
    return display_units(dimension)[0]


def dimension_of_kind(test_kind: str) -> str:
    """The dimension that a test of this kind reads.

    Raises
    ------
    ValueError
        For ``seen``, which reads none, and for unknown kinds.
    """
    try:
        return _DIMENSION_OF_KIND[test_kind]
    except KeyError:
        kinds = ", ".join(_DIMENSION_OF_KIND)
        raise ValueError(f"a test of kind {test_kind!r} reads no number; one of {kinds} does") from None
