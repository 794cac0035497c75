"""The version of the pack contract, and how it may change.

The contract is what :data:`probewright.packs.__all__` lists: names, fields and their order, arguments, hooks, and what
their docstrings promise.  A pack says in ``CONTRACT`` which version it was written for, as text ``"major.minor"``.

Within a major version a pack that loads goes on loading and means the same.  A minor version may add: names, hooks,
arguments that hooks are offered, fields at the end of records with defaults that change nothing.  It removes, renames
and reorders nothing, and makes no check stricter without a warning first: what the next minor version will refuse, this
one warns of, with :class:`ContractWarning` at the author's own line.  A pack written for a later minor version than the
service's is refused, for it may use what is not there.
"""

from __future__ import annotations

import ast
import inspect
import re
import warnings
from pathlib import Path

#: The contract that this service speaks.
CONTRACT_VERSION = "1.1"

_PATTERN = re.compile(r"([1-9]\d{0,5})\.(0|[1-9]\d{0,5})")


class ContractWarning(FutureWarning):
    """A pack uses what the next minor version of the contract will refuse; shown by default, at the author's line.

    >>> issubclass(ContractWarning, FutureWarning)
    True
    """


def refusal(plugin: object) -> str | None:
    """Why a pack's ``CONTRACT`` does not fit this service, or None; warns of what will be refused next.

    Parameters
    ----------
    plugin : module or object
        The pack.
    """
    declared = getattr(plugin, "CONTRACT", None)
    speaks = f"this service speaks contract {CONTRACT_VERSION}"
    if type(declared) is int and declared == _numbers(CONTRACT_VERSION)[0]:
        told = f'CONTRACT = {declared} will be refused by contract 1.2: write CONTRACT = "{declared}.0"'
        at_assignment(plugin, "CONTRACT", told)
        return None
    other = f"incompatible: made for contract {declared}; {speaks}: update probewright, or the pack"
    if type(declared) is int and declared > 0:
        return other
    if declared is None:
        return f'incompatible: it has no CONTRACT (text such as "{CONTRACT_VERSION}"); {speaks}'
    if not isinstance(declared, str) or not _PATTERN.fullmatch(declared):
        return f'incompatible: its CONTRACT is {declared!r:.80}, not text such as "{CONTRACT_VERSION}"; {speaks}'
    (major, minor), (own_major, own_minor) = _numbers(declared), _numbers(CONTRACT_VERSION)
    if major != own_major or minor > own_minor:
        return other
    return None


def _numbers(version: str) -> tuple[int, int]:
    major, minor = version.split(".")
    return int(major), int(minor)


def at_assignment(plugin: object, name: str, message: str) -> None:
    """Warn an author at the line that gives a name in a pack's module; at its first line where none is found."""
    file = _file(plugin)
    if file is None:
        warnings.warn(message, ContractWarning, stacklevel=2)
        return
    module = getattr(plugin, "__name__", "")
    warnings.warn_explicit(message, ContractWarning, str(file), _line(file, name), module=module, registry={})


def _file(plugin: object) -> Path | None:
    try:
        return Path(inspect.getfile(plugin))  # type: ignore[arg-type]  # it says so when it is none of those
    except TypeError:
        return None


def _line(file: Path, name: str) -> int:
    try:
        tree = ast.parse(file.read_bytes())
    except (OSError, SyntaxError, ValueError):
        return 1
    for node in tree.body:
        if isinstance(node, ast.FunctionDef) and node.name == name:
            return node.lineno
        targets = node.targets if isinstance(node, ast.Assign) else [getattr(node, "target", None)]
        if any(isinstance(target, ast.Name) and target.id == name for target in targets):
            return node.lineno
    return 1
