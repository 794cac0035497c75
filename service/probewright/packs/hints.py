"""Where in a pack's own files something went wrong, and hooks that are misspelt or that nobody would call."""

from __future__ import annotations

import sysconfig
import traceback
from collections.abc import Callable
from pathlib import Path

import pluggy

import probewright
from probewright.packs import contract, hookspecs
from probewright_schemas.suggest import did_you_mean

HOOKS = tuple(name for name in vars(hookspecs) if name.startswith(f"{hookspecs.PROJECT}_"))
_SERVICE, _STDLIB = str(Path(probewright.__file__).parent), sysconfig.get_path("stdlib")


def raised_at(error: BaseException) -> str:
    """``" (tests.py, line 12)"``: the author's line at which an import failed, and that of the function it was in.

    Nothing where no file of the pack was reached, and for a syntax error, which tells its place itself.
    """
    if isinstance(error, SyntaxError):
        return ""
    own = [frame for frame in traceback.extract_tb(error.__traceback__) if _is_authors(frame.filename)]
    modules = [index for index, frame in enumerate(own) if frame.name == "<module>"]
    told = [f"{Path(frame.filename).name}, line {frame.lineno}" for frame in own[modules[-1] if modules else 0 :]]
    return f" ({'; '.join(dict.fromkeys((told[0], told[-1])))})" if told else ""


def _is_authors(file: str) -> bool:
    if file.startswith(("<", _SERVICE)):
        return False
    return not file.startswith(_STDLIB) or "site-packages" in file


def unknown_hook(plugin: object, is_marked: Callable[[object, str], object]) -> str | None:
    """What is wrong with a hook that the contract does not have, or None where there is none such."""
    for name in dir(plugin):
        if name not in HOOKS and is_marked(plugin, name) is not None:
            return f"there is no hook {name!r}{did_you_mean(name, HOOKS)}"
    return None


def warn_of_unmarked(plugin: object, manager: pluggy.PluginManager) -> None:
    """Warn of functions that have a hook's name and no mark: nobody calls them."""
    called = {caller.name for caller in manager.get_hookcallers(plugin) or ()}
    for name in HOOKS:
        if name not in called and callable(getattr(plugin, name, None)):
            told = f"{name} is not marked with @hookimpl, so nobody calls it; contract 1.2 will refuse that"
            contract.at_assignment(plugin, name, told)
