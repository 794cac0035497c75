"""Digests: of a family, which changes with any number, basis, source or word in it, and of code."""

from __future__ import annotations

import hashlib
import json
import sys
from collections.abc import Iterable, Mapping
from dataclasses import fields, is_dataclass
from enum import Enum
from pathlib import Path

import numpy as np

from probewright.errors import PackModelError
from probewright.figures import Figure
from probewright.packs.model import Family


def digest(family: Family) -> str:
    """``sha256:`` and the hexadecimal digest of the family's canonical text.

    The text is the same in every process: mappings are sorted by key, floats written in the shortest form that reads
    back the same, records by class name and fields.

    Raises
    ------
    PackModelError
        When the family holds an object that has no canonical text.
    """
    text = json.dumps(_canonical(family, "family"), ensure_ascii=True, separators=(",", ":"))
    return "sha256:" + hashlib.sha256(text.encode("ascii")).hexdigest()


def _canonical(value: object, where: str) -> object:
    if isinstance(value, Figure):
        return ["figure", repr(float(value)), value.basis, value.source]
    if is_dataclass(value) and not isinstance(value, type):
        named = [[f.name, _canonical(getattr(value, f.name), f"{where}.{f.name}")] for f in fields(value)]
        return [type(value).__name__, named]
    if isinstance(value, Mapping):
        return ["mapping", [[key, _canonical(value[key], f"{where}[{key!r}]")] for key in sorted(value)]]
    if isinstance(value, (tuple, list)):
        return ["sequence", [_canonical(item, f"{where}[{index}]") for index, item in enumerate(value)]]
    return _plain(value, where)


def _plain(value: object, where: str) -> object:
    if value is None or isinstance(value, (str, bool, int)):
        return value
    if isinstance(value, float):
        return ["float", repr(value)]
    if isinstance(value, Enum):
        return ["enum", type(value).__name__, value.name]
    if isinstance(value, (frozenset, set)):
        return ["set", sorted(map(str, value))]
    if isinstance(value, np.ndarray):
        return ["array", str(value.dtype), list(value.shape), value.tobytes().hex()]
    if callable(value) and hasattr(value, "__qualname__"):
        return ["callable", getattr(value, "__module__", ""), value.__qualname__]
    raise PackModelError(
        f"{where}: a {type(value).__name__} has no canonical text for the digest; use dataclasses, numbers and strings"
    )


def code_of(plugin: object) -> str:
    """Digest of the code that a plugin's hooks are: the sources of the whole package that it stands in.

    Empty where there are none to be found, as of what was typed in.
    """
    name = getattr(plugin, "__name__", None) or type(plugin).__module__
    top = sys.modules.get(str(name).partition(".")[0])
    folders = [Path(folder) for folder in getattr(top, "__path__", ())]
    file = getattr(top, "__file__", None)
    places = folders or ([Path(file)] if file else [])
    return sources(places) if places else ""


def sources(places: Iterable[Path]) -> str:
    """Digest of Python sources: of files, and of all under folders, by their names within these and their bytes."""
    found = hashlib.sha256()
    for place in places:
        for path in sorted(place.rglob("*.py")) if place.is_dir() else [place]:
            found.update(path.relative_to(place.parent).as_posix().encode() + b"\0")
            found.update(hashlib.sha256(path.read_bytes()).digest())
    return "sha256:" + found.hexdigest()
