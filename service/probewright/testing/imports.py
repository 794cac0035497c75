"""Check: the pack's modules import of the service what the contract lists, and nothing else."""

from __future__ import annotations

import ast
import sys
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

from probewright import packs
from probewright.testing.subject import Subject

_CONTRACT = packs.__name__
_SERVICE = frozenset({"probewright", "probewright_schemas"})
#: What may be imported whole.
_OPEN = frozenset({"probewright", _CONTRACT, "probewright.testing"})


def contract_alone(subject: Subject) -> None:
    """Every import of the service, in each module of the pack that was loaded, is part of the contract."""
    found = [f"{file.name}, line {line}: {name}" for file in _files(subject.pack) for line, name in private(file)]
    if found:
        raise AssertionError(
            f"expected imports of {_CONTRACT} alone, and of names that its __all__ lists, but found "
            f"{'; '.join(found)}. What the contract does not list may change any day: look the name up in {_CONTRACT}."
        )


def _files(pack: object) -> list[Path]:
    """The sources of a pack that is a module, and of the modules in it."""
    if not isinstance(pack, ModuleType):
        return []
    inside = [module for name, module in sorted(sys.modules.items()) if f"{name}.".startswith(f"{pack.__name__}.")]
    files = [Path(str(module.__file__)) for module in inside if getattr(module, "__file__", None)]
    return [file for file in files if file.suffix == ".py" and file.exists()]


def private(file: Path) -> Iterator[tuple[int, str]]:
    """Line and name of each import of the service that is no part of the contract."""
    for node in ast.walk(ast.parse(file.read_bytes())):
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.level == 0 and node.module is not None:
            names = [_imported(node.module, alias.name) for alias in node.names]
        else:
            continue
        for name in names:
            if name.partition(".")[0] in _SERVICE and name not in _OPEN:
                yield node.lineno, name


def _imported(module: str, name: str) -> str:
    """What ``from module import name`` imports: the module itself for a name that it gives to everybody."""
    listed = module == _CONTRACT and name in packs.__all__
    return module if listed or name == "*" or module == "probewright.testing" else f"{module}.{name}"
