"""The pack contract as plain data, to compare one version with another.

``python tests/support/pack_surface.py`` writes what the present one is into ``tests/packs/contract_1.json``.
"""

from __future__ import annotations

import inspect
import json
import sys
from dataclasses import MISSING, fields, is_dataclass
from pathlib import Path
from typing import Any

import probewright.packs
from probewright.packs import hookspecs

RECORDED = Path(__file__).parents[1] / "packs" / "contract_1.json"

Surface = dict[str, Any]


def surface() -> Surface:
    """Every public name with its fields or arguments (True where they may be left out), and the hooks'."""
    named = {name: getattr(probewright.packs, name) for name in probewright.packs.__all__}
    return {
        "version": probewright.packs.CONTRACT_VERSION,
        "names": {name: _shape(value) for name, value in named.items()},
        "hooks": {name: _arguments(hook) for name, hook in vars(hookspecs).items() if name.startswith("probewright_")},
    }


def _shape(value: object) -> list[list[Any]]:
    if is_dataclass(value) and isinstance(value, type):
        return [[f.name, f.default is not MISSING or f.default_factory is not MISSING] for f in fields(value) if f.init]
    return _arguments(value) if inspect.isfunction(value) else []


def _arguments(function: Any) -> list[list[Any]]:
    parameters = inspect.signature(function).parameters.values()
    return [[p.name, p.default is not inspect.Parameter.empty] for p in parameters]


def broken(old: Surface, new: Surface) -> list[str]:
    """What a pack written for the old contract would miss in the new one, in words."""
    found = []
    for kind in ("names", "hooks"):
        for name, before in old[kind].items():
            if name not in new[kind]:
                found.append(f"{name} is gone")
                continue
            found += _broken_arguments(name, before, new[kind][name], hook=kind == "hooks")
    return found


def _broken_arguments(name: str, before: list[list[Any]], after: list[list[Any]], *, hook: bool) -> list[str]:
    if [a for a, _ in after[: len(before)]] != [b for b, _ in before]:
        return [f"{name}: {', '.join(a for a, _ in before)} became {', '.join(a for a, _ in after)}"]
    found = [
        f"{name}: {a} must be given now"
        for (a, optional), (_, was) in zip(after, before, strict=False)
        if was and not optional
    ]
    # A hook is offered its arguments, so it may be offered more.
    added = [] if hook else after[len(before) :]
    return found + [f"{name}: {a} is new and must be given" for a, optional in added if not optional]


if __name__ == "__main__":
    RECORDED.write_text(json.dumps(surface(), indent=1) + "\n", encoding="utf-8")
    sys.stdout.write(f"{RECORDED.name}: contract {probewright.packs.CONTRACT_VERSION}\n")
