"""The parts that any pack can import, as DEVELOPERS.md lists them, made from the code; as a script, writes it anew."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import re
import textwrap
from collections.abc import Iterator
from dataclasses import fields
from types import ModuleType

from probewright_packs import common
from support.contract_reference import DEVELOPERS, called, of_function, told, written_field

BLOCK = re.compile(r"(?<=<!-- common parts -->\n)(.*?)(?=<!-- end of the common parts -->)", re.DOTALL)


def homes() -> dict[str, list[str]]:
    """Public names by the module that defines them, in the order of ``common.__all__``."""
    left, found = list(common.__all__), {}
    for module in _modules():
        named = [name for name in left if name in vars(module) and _defines(module, name)]
        left = [name for name in left if name not in named]
        if named:
            found[module.__name__] = named
    assert not left, f"names that no module of the package defines: {left}"
    return found


def _modules() -> Iterator[ModuleType]:
    for module in sorted(pkgutil.iter_modules(common.__path__), key=lambda info: info.name):
        yield importlib.import_module(f"{common.__name__}.{module.name}")


def _defines(module: ModuleType, name: str) -> bool:
    value = vars(module)[name]
    if inspect.isclass(value) or inspect.isfunction(value):
        return value.__module__ == module.__name__
    return re.search(rf"^{name}\b[^=\n]*=", inspect.getsource(module), re.MULTILINE) is not None


def _entry(name: str) -> str:
    value = getattr(common, name)
    if inspect.isfunction(value):
        return f"# {told(value)}\n{of_function(name, value)}\n"
    return f"# {told(value)}\n{called(name, [written_field(f) for f in fields(value) if f.init])}\n"


def _is_record(value: object) -> bool:
    return inspect.isclass(value) and value.__module__.startswith(common.__name__)


def _wrapped(text: str) -> str:
    return textwrap.fill(text, 120, break_long_words=False, break_on_hyphens=False) + "\n"


def reference() -> str:
    """The whole list, in Markdown."""
    text = []
    for module, names in homes().items():
        functions = [name for name in names if inspect.isfunction(value := getattr(common, name)) or _is_record(value)]
        constants = [f"`{name}`" for name in names if name not in functions]
        text += [_wrapped(f"**`{module.rpartition('.')[2]}`.** {told(importlib.import_module(module))}")]
        if constants:
            text += [_wrapped(f"Constants: {', '.join(constants)}.")]
        if functions:
            text += ["```python", "\n".join(_entry(name) for name in functions) + "```\n"]
    return "\n".join(text).replace("\n\n```\n", "\n```\n")


def written(text: str) -> str:
    """DEVELOPERS.md with the list as the code is now."""
    assert len(BLOCK.findall(text)) == 1, "DEVELOPERS.md lists the common parts once, between its marks"
    return BLOCK.sub(lambda _: "\n" + reference() + "\n", text)


if __name__ == "__main__":
    DEVELOPERS.write_text(written(DEVELOPERS.read_text(encoding="utf-8")), encoding="utf-8")
