"""Names and titles that a new pack can have."""

from __future__ import annotations

import keyword
import re
import sys
from importlib.machinery import PathFinder
from importlib.metadata import entry_points, packages_distributions

from probewright.kit.plan import KitError
from probewright.packs.loader import GROUP

_SNAKE_CASE = re.compile(r"[a-z][a-z0-9]*(_[a-z0-9]+)*", re.ASCII)
#: So that no line of the templates grows too long.
_LONGEST_NAME, _LONGEST_TITLE = 40, 60
#: Names of what stands beside the package in its folder, or that pytest gives a meaning.
_TAKEN = frozenset({"build", "conftest", "dist", "setup", "test", "tests"})


def checked_name(name: str) -> str:
    """A name that can be that of a family, of a Python package and of an entry point.

    Raises
    ------
    KitError
        When it is not snake_case, too long, a keyword of Python, or the name of a module or pack that is there already.
    """
    why = _misfit(name) or _clash(name)
    if why is not None:
        raise KitError(f"{name!r} cannot be the name of a pack: {why}")
    return name


def _misfit(name: str) -> str | None:
    if not name:
        return "it is empty"
    if not _SNAKE_CASE.fullmatch(name):
        near = "_".join(re.findall(r"[a-z0-9]+", name.lower()))
        hint = f", such as {near!r}" if _SNAKE_CASE.fullmatch(near) else ""
        return f"write it in snake_case{hint}"
    if len(name) > _LONGEST_NAME:
        return f"it has more than {_LONGEST_NAME} letters"
    if keyword.iskeyword(name) or keyword.issoftkeyword(name):
        return "Python has a keyword of that name"
    return None


def _clash(name: str) -> str | None:
    if name in sys.stdlib_module_names or name in sys.builtin_module_names:
        return "Python has a module of that name"
    if name in _TAKEN:
        return "a folder or module of that name has a meaning of its own beside a package"
    found = next((point for point in entry_points(group=GROUP) if point.name == name), None)
    if found is not None:
        return f"an installed pack has it already ({found.value})"
    owners = packages_distributions().get(name)
    if owners:
        return f"a module of that name is installed (of {owners[0]})"
    # Where this command was started from does not count: the new pack may be written there.
    spec = PathFinder.find_spec(name, [path for path in sys.path if path])
    if spec is not None:
        return f"a module of that name is there already ({spec.origin or 'a namespace'})"
    return None


def checked_title(title: str) -> str:
    """A title that can stand between quotes in Python, TOML and Markdown.

    Raises
    ------
    KitError
        When it is empty, too long, or has quotes, backslashes or what cannot be printed.
    """
    if not title.strip():
        raise KitError("the title is empty")
    if len(title) > _LONGEST_TITLE:
        raise KitError(f"the title has more than {_LONGEST_TITLE} letters")
    if not title.isprintable() or any(mark in title for mark in '"\\`|'):
        raise KitError("the title has quotes, backslashes, bars or unprintable characters; use plain words")
    return title.strip()
