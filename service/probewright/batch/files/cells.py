"""Cells: what they hold, as text in CSV and as values in Parquet.

A text that a spreadsheet would take for a formula is written with an apostrophe before it and read without: one
apostrophe is taken off where ``=``, ``+``, ``-`` or ``@`` follows it, whatever apostrophes stand between.  So every
text comes back as it was.  Numbers stay numbers.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, datetime
from decimal import Decimal
from math import isfinite
from types import MappingProxyType
from typing import Any

import orjson

from probewright.batch.files.tables import CellKind

#: Beginnings of a formula, those of full width too (common practice; tabs and line breaks are in no text of a case).
_FORMULA = re.compile("'*[=+\\-@\uff1d\uff0b\uff0d\uff20]")
_GUARDED = re.compile("'+[=+\\-@\uff1d\uff0b\uff0d\uff20]")
#: What such a text can begin with: of most texts the first character is all that is looked at.
_SUSPECT = frozenset("'=+-@\uff1d\uff0b\uff0d\uff20")
_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?", re.ASCII)
_LONGEST_TOLD = 40
#: Whole numbers up to here are floats without a fraction.
_COUNTED = 2**53


class CellError(ValueError):
    """A cell does not hold what its column says."""


def guarded(text: str) -> str:
    """A text as a spreadsheet may open it."""
    return "'" + text if text[:1] in _SUSPECT and _FORMULA.match(text) else text


def unguarded(text: str) -> str:
    """A text as it was before :func:`guarded`."""
    return text[1:] if _GUARDED.match(text) else text


def _told(text: object) -> str:
    said = repr(text)
    return said if len(said) <= _LONGEST_TOLD else said[:_LONGEST_TOLD] + "..."


def number_of(text: str) -> float:
    """A number as JSON has it."""
    stripped = text.strip()
    if _NUMBER.fullmatch(stripped):
        value = float(stripped)
        if isfinite(value):
            return value
    comma = "; write a decimal point" if "," in stripped else ""
    raise CellError(f"must be a number, not {_told(text)}{comma}")


def _whole_of(text: str) -> int:
    value = number_of(text)
    return _checked_whole(value, text)


def _checked_whole(value: float, told: object) -> int:
    if value != int(value) or not 0 <= value <= _COUNTED:
        raise CellError(f"must be a whole number from 0 up, not {_told(told)}")
    return int(value)


def _flag_of(text: str) -> bool:
    said = text.strip().lower()
    if said not in ("true", "false"):
        raise CellError(f"must be true or false, not {_told(text)}")
    return said == "true"


def _numbers_of(text: str) -> list[float]:
    if text.lstrip().startswith("["):
        return _number_list(_json_of(text))
    return [number_of(part) for part in text.split(";")]


def _texts_of(text: str) -> list[str]:
    plain = unguarded(text)
    if plain.lstrip().startswith("["):
        return _text_list(_json_of(plain))
    return [part.strip() for part in plain.split(";")]


def _json_of(text: str) -> object:
    try:
        return orjson.loads(text)
    except orjson.JSONDecodeError:
        raise CellError(f"begins as a JSON list and is none: {_told(text)}") from None


#: What a cell of CSV holds, by the kind of its column; it has at least one character.
FROM_TEXT: MappingProxyType[CellKind, Callable[[str], Any]] = MappingProxyType({
    "text": unguarded, "number": number_of, "whole": _whole_of, "flag": _flag_of, "day": str.strip,
    "numbers": _numbers_of, "texts": _texts_of,
})  # fmt: skip


def _number(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float | Decimal) or not isfinite(value):
        raise CellError(f"must be a number, not {_told(value)}")
    return float(value)


def _whole(value: object) -> int:
    return _checked_whole(_number(value), value)


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise CellError(f"must be a text, not {_told(value)}")
    return value


def _flag(value: object) -> bool:
    if not isinstance(value, bool):
        raise CellError(f"must be true or false, not {_told(value)}")
    return value


def _day(value: object) -> str:
    if isinstance(value, datetime):
        if value.time() != datetime.min.time():
            raise CellError(f"must be a day, not a time {_told(str(value))}")
        return value.date().isoformat()
    return value.isoformat() if isinstance(value, date) else _text(value)


def _number_list(value: object) -> list[float]:
    if not isinstance(value, list):
        raise CellError(f"must be a list of numbers, not {_told(value)}")
    return [_number(item) for item in value]


def _text_list(value: object) -> list[str]:
    if not isinstance(value, list):
        raise CellError(f"must be a list of texts, not {_told(value)}")
    return [_text(item) for item in value]


#: What a cell of Parquet holds, by the kind of its column; it is not null.
FROM_VALUE: MappingProxyType[CellKind, Callable[[object], Any]] = MappingProxyType({
    "text": _text, "number": _number, "whole": _whole, "flag": _flag, "day": _day, "numbers": _number_list,
    "texts": _text_list,
})  # fmt: skip


def number_text(value: float) -> str:
    """The shortest text that is read back as the same number."""
    number = float(value)
    if number.is_integer() and abs(number) < _COUNTED and (number or str(number) == "0.0"):
        return str(int(number))
    return repr(number)


def _numbers_text(values: list[float]) -> str:
    return ";".join(number_text(value) for value in values) if values else "[]"


def _texts_text(values: list[str]) -> str:
    plain = bool(values) and not any(";" in v or v.startswith("[") or v != v.strip() or not v for v in values)
    return guarded(";".join(values) if plain else orjson.dumps(values).decode())


#: How a cell is written in CSV, by the kind of its column.
TO_TEXT: MappingProxyType[CellKind, Callable[[Any], str]] = MappingProxyType({
    "text": guarded, "number": number_text, "whole": str, "flag": lambda value: "true" if value else "false",
    "day": str, "numbers": _numbers_text, "texts": _texts_text,
})  # fmt: skip
