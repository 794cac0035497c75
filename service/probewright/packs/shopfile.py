"""Reads a shop's file: TOML with what the shop lays over families.

A plain number is a figure of basis ``shop``; a table ``{ value = ..., basis = ..., source = ... }`` says more.  What is
wrong with a file is told all at once, each with the path of its key and what stands there.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import SimpleNamespace
from typing import Any, Final

from marshmallow import ValidationError

from probewright.circuit.parts import Contact, Drift, Leak, Level, Open, Short, Stuck, Swap
from probewright.errors import ProbewrightError
from probewright.figures import Figure, Spread
from probewright.packs import contract
from probewright.packs.check.names import Report
from probewright.packs.model import (
    Between,
    Closing,
    Complaint,
    Fault,
    Limit,
    Repair,
    ReplaceablePart,
    Requirement,
    Shows,
    Stated,
    Table,
    Test,
    Through,
)  # fmt: skip
from probewright.packs.overlay.records import (
    Effects,
    OutcomeRow,
    Overlay,
    ShopCautions,
    ShopCosts,
    ShopMinutes,
    ShopSupply,
)
from probewright_schemas.faults import DocumentFault, faults_of
from probewright_schemas.load import depth_exceeds
from probewright_schemas.shop import ShopFileSchema
from probewright_schemas.shop_fields import Given, GivenFigure

#: Bytes: many times what a shop can have to say of every family there is.
LARGEST: Final = 1_048_576
#: Levels of tables and arrays; a shop's file has fewer than ten.
DEEPEST: Final = 24
#: A dotted key with more dots than any place has: the parser takes the square of their number in time.
_MANY_DOTS: Final = re.compile(r"""(?<![\w"'-])(?:[\w"'-]++\s*+\.\s*+){65}""")
_LONGEST_SHOWN: Final = 40
#: Mistakes that the message tells; ``broken`` has all.
_MOST_TOLD: Final = 20


class ShopFileError(ProbewrightError):
    """A shop's file cannot be read, or does not fit the families; ``broken`` lists every place."""

    code = "bad_shop_file"

    def __init__(self, path: str, broken: Sequence[str]) -> None:
        self.path, self.broken = path, tuple(broken)
        count = f"{len(self.broken)} mistakes: " if len(self.broken) > 1 else ""
        more = "; and more" if len(self.broken) > _MOST_TOLD else ""
        super().__init__(f"shop file {path}: {count}{'; '.join(self.broken[:_MOST_TOLD])}{more}")


def read_shop_file(path: str | Path) -> tuple[Overlay, ...]:
    """The overlays of a file, one for each family that it names, all of one layer.

    The file is checked as far as that can be done without the families:
    :func:`~probewright.packs.overlay.laid_over` does the rest.

    Raises
    ------
    ShopFileError
        When it cannot be read, is not TOML, or holds anything that a shop's file does not have.
    """
    named = str(path)
    document = _parsed(named, _read(named))
    try:
        given = ShopFileSchema().load(document)
    except ValidationError as error:
        raise ShopFileError(named, _worded(faults_of(error.messages, ShopFileSchema()), document)) from None
    refused = contract.refusal(SimpleNamespace(CONTRACT=given["contract"])) if "contract" in given else None
    maker = _Maker()
    layer = given.get("layer", Path(named).stem)
    names = Report()
    names.snake_case("layer", layer)
    overlays = [
        _overlay(maker, layer, family, shown.values) for family, shown in given["families"].items()
    ]
    hint = "" if "layer" in given else '; the file gives it none, so it is the file\'s: write layer = "..."'
    broken = [*([f"contract: {refused}"] if refused else []), *(f"{b}{hint}" for b in names.broken), *maker.broken]
    if broken:
        raise ShopFileError(named, broken)
    return tuple(overlay for overlay in overlays if overlay is not None)


def _read(path: str) -> str:
    try:
        with Path(path).open("rb") as opened:
            body = opened.read(LARGEST + 1)
    except OSError as error:
        raise ShopFileError(path, [f"cannot be read: {error.strerror or error}"]) from None
    except ValueError as error:  # a null character in the name
        raise ShopFileError(path, [f"cannot be read: {error}"]) from None
    if len(body) > LARGEST:
        raise ShopFileError(path, [f"has more than {LARGEST} bytes"])
    try:
        return body.decode("utf-8")
    except UnicodeDecodeError as error:
        line = body.count(b"\n", 0, error.start) + 1
        raise ShopFileError(path, [f"is not UTF-8 (at line {line})"]) from None


def _parsed(path: str, text: str) -> dict[str, Any]:
    dotted = _MANY_DOTS.search(text)
    if dotted:
        line = text.count("\n", 0, dotted.start()) + 1
        raise ShopFileError(path, [f"has a key that nests deeper than {DEEPEST} levels (at line {line})"])
    try:
        document = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise ShopFileError(path, [f"is not TOML: {error}"]) from None
    except ValueError as error:  # a whole number of thousands of digits
        raise ShopFileError(path, [f"is not TOML: {error}"]) from None
    except RecursionError:
        raise ShopFileError(path, [f"nests deeper than {DEEPEST} levels"]) from None
    if depth_exceeds(document, DEEPEST):
        raise ShopFileError(path, [f"nests deeper than {DEEPEST} levels"])
    return document


def _worded(faults: Sequence[DocumentFault], document: object) -> list[str]:
    return [f"{_shown_at(fault.pointer, document)}: {fault.message}" for fault in faults]


def _shown_at(pointer: str, document: object) -> str:
    """A JSON pointer as the path of a TOML key, with the value that stands there."""
    key, value = "", document
    for token in pointer.split("/")[1:]:
        step = token.replace("~1", "/").replace("~0", "~")
        key += f"[{step}]" if isinstance(value, list) else f".{step}"
        value = _inside(value, step)
    shown = "" if value is None or isinstance(value, (dict, list)) else f" = {_short(_toml(value))}"
    return f"{key.lstrip('.') or 'the file'}{shown}"


def _inside(value: object, step: str) -> object:
    if isinstance(value, list):
        return value[int(step)] if step.isdigit() and int(step) < len(value) else None
    return value.get(step) if isinstance(value, dict) else None


def _toml(value: object) -> str:
    """A value as TOML writes it."""
    if isinstance(value, bool):
        return str(value).lower()
    return f'"{value}"' if isinstance(value, str) else str(value)


def _short(text: str) -> str:
    return text if len(text) <= _LONGEST_SHOWN else f"{text[:_LONGEST_SHOWN]}..."


@dataclass(frozen=True, slots=True)
class _LimitOfTest:
    """A limit, and the test that it is of."""

    test: str
    limit: Limit


def _limit_of_test(test: str, **values: Any) -> _LimitOfTest:
    return _LimitOfTest(test, Limit(**values))


def _without(requirement: Requirement, outcome: str) -> tuple[Requirement, str]:
    return requirement, outcome


#: What makes each record of a file.
_MADE_BY: Mapping[str, Callable[..., object]] = {
    "spread": Spread, "limit": Limit, "limit_of_test": _limit_of_test, "outcome_row": OutcomeRow,
    "requirement": Requirement, "without": _without, "between": Between, "through": Through, "shows": Shows,
    "stated": Stated, "table": Table, "test": Test, "fault": Fault, "repair": Repair, "part": ReplaceablePart,
    "closing": Closing, "complaint": Complaint, "open": Open, "short": Short, "drift": Drift, "contact": Contact,
    "leak": Leak, "stuck": Stuck, "swap": Swap, "level": Level, "effects": Effects, "minutes": ShopMinutes,
    "costs": ShopCosts, "supply": ShopSupply, "cautions": ShopCautions,
}  # fmt: skip


class _Maker:
    """Makes records of what was given; what cannot be made is noted with its place."""

    def __init__(self) -> None:
        self.broken: list[str] = []

    def make(self, value: object, path: str) -> Any:
        """A record, figure, mapping or tuple; None where something in it cannot be made."""
        if isinstance(value, Given):
            return self._called(_MADE_BY[value.of], value.values, path)
        if isinstance(value, GivenFigure):
            return self._tried(lambda: Figure(value.value, value.basis, value.source), path)  # type: ignore[arg-type]
        if isinstance(value, Mapping):
            return {name: self.make(inner, f"{path}.{name}") for name, inner in value.items()}
        if isinstance(value, tuple):
            return tuple(self.make(inner, f"{path}[{index}]") for index, inner in enumerate(value))
        return value

    def _called(self, make: Callable[..., object], given: Mapping[str, object], path: str) -> object:
        before = len(self.broken)
        values = {name.rstrip("_"): self.make(inner, f"{path}.{name.rstrip('_')}") for name, inner in given.items()}
        return self._tried(lambda: make(**values), path) if len(self.broken) == before else None

    def _tried(self, make: Callable[[], object], path: str) -> object:
        try:
            return make()
        except ValueError as error:
            self.broken.append(f"{path}: {error}")
            return None


def _overlay(maker: _Maker, layer: str, family: str, given: Mapping[str, object]) -> Overlay | None:
    before, path = len(maker.broken), f"families.{family}"
    values = {name: maker.make(inner, f"{path}.{name}") for name, inner in given.items()}
    if len(maker.broken) > before:
        return None
    limits: dict[str, tuple[Limit, ...]] = {}
    for one in values.pop("limits", ()):
        limits[one.test] = (*limits.get(one.test, ()), one.limit)
    return Overlay(layer, family, limits=limits, **values)
