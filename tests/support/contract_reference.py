"""The contract reference of DEVELOPERS.md, made from the code; run as a script, this writes it anew."""

from __future__ import annotations

import ast
import inspect
import re
import sys
from collections.abc import Iterator
from dataclasses import MISSING, Field, fields, is_dataclass
from functools import cache
from pathlib import Path
from types import ModuleType
from typing import Any

import probewright.packs
from probewright.circuit import laws, parts
from probewright.packs import context, contract, hookspecs, model
from probewright.physics import copper, gas, sensors, supply
from probewright_schemas import records

DEVELOPERS = Path(__file__).parents[2] / "DEVELOPERS.md"
BLOCK = re.compile(r"(?<=<!-- contract reference -->\n)(.*?)(?=<!-- end of the contract reference -->)", re.DOTALL)
#: A signature that is longer is written a field a line.
_LONG = 112


def groups() -> dict[str, list[str]]:
    """Public names by subject, each once."""
    left = set(probewright.packs.__all__)
    found: dict[str, list[str]] = {}
    for title, modules in _SUBJECTS.items():
        named = [name for name in probewright.packs.__all__ if name in left and _home(name) in modules]
        left -= set(named)
        found[title] = named
    assert not left, f"public names without a subject: {sorted(left)}"
    return found


_SUBJECTS: dict[str, tuple[str, ...]] = {
    "The contract itself": (contract.__name__, hookspecs.__name__),
    "Figures and spreads": ("probewright.figures",),
    "The family and what it holds": tuple(
        f"{model.__name__}.{m}"
        for m in ("family", "build", "duties", "tests", "faults", "safety", "questions", "chances", "reviewing")
    ),
    "Circuits": (parts.__name__,),
    "Laws of parts": (laws.__name__, sensors.__name__, copper.__name__, gas.__name__),
    "Supplies": (supply.__name__,),
    "A shop's own numbers": ("probewright.packs.overlay", "probewright.packs.overlay.records"),
    "What hooks are given, and what they return": (context.__name__, records.__name__),
}


def _home(name: str) -> str:
    """The module that defines a public name."""
    value = getattr(probewright.packs, name)
    if inspect.isclass(value) or inspect.isfunction(value):
        return value.__module__
    return next(module.__name__ for module in _modules() if name in _assigned(module))


def _modules() -> Iterator[ModuleType]:
    for name in sorted(sys.modules):
        if name.startswith(("probewright.", "probewright_schemas.")) and sys.modules[name].__file__ is not None:
            yield sys.modules[name]


@cache
def _assigned(module: ModuleType) -> dict[str, ast.stmt]:
    """Names that a module's own text assigns."""
    found: dict[str, ast.stmt] = {}
    for node in ast.parse(Path(str(module.__file__)).read_text(encoding="utf-8")).body:
        targets = node.targets if isinstance(node, ast.Assign) else [getattr(node, "target", None)]
        found |= {target.id: node for target in targets if isinstance(target, ast.Name)}
    return found


def signature(name: str) -> str:
    """A public name as it is written: a call with types and defaults, or an assignment."""
    value = getattr(probewright.packs, name)
    if getattr(value, "_is_protocol", False):
        return _protocol(name, value)
    if inspect.isclass(value):
        return called(name, [written_field(f) for f in fields(value) if f.init] if is_dataclass(value) else _own(value))
    if inspect.isfunction(value):
        return of_function(name, value)
    node = next(_assigned(module)[name] for module in _modules() if module.__name__ == _home(name))
    text = ast.unparse(node)
    if len(text) <= _LONG:
        return text
    if "Literal[" not in text:
        return f"{name}: {type(value).__name__}"
    head, _, choices = text.removesuffix("]").partition("Literal[")
    return f"{head}Literal[\n    {choices},\n]"


def _protocol(name: str, value: type) -> str:
    """A protocol with what it asks for."""
    lines = []
    for member, asked in vars(value).items():
        if isinstance(asked, property):
            lines.append(f"    {member}: {inspect.signature(asked.fget).return_annotation}")  # type: ignore[arg-type]
        elif inspect.isfunction(asked) and not member.startswith("_"):
            lines.append(f"    def {of_function(member, asked)}")
    return f"class {name}:\n" + "\n".join(lines)


def _own(value: type) -> list[str]:
    """Arguments of a class that is no record."""
    made = vars(value).get("__new__")
    if made is None:
        return []
    return [_unquoted(p) for p in list(inspect.signature(made).parameters.values())[1:]]


def _unquoted(parameter: inspect.Parameter) -> str:
    """An argument as it is written: annotations are kept as text, which would show in quotes."""
    bare = parameter.annotation is inspect.Parameter.empty
    name = f"*{parameter.name}" if parameter.kind is inspect.Parameter.VAR_POSITIONAL else parameter.name
    shown = name if bare else f"{name}: {parameter.annotation}"
    return shown if parameter.default is inspect.Parameter.empty else f"{shown} = {parameter.default!r}"


def of_function(name: str, function: Any) -> str:
    described = inspect.signature(function)
    arguments = [_unquoted(p) for p in described.parameters.values()]
    returns = described.return_annotation
    told = "" if returns is inspect.Signature.empty else f" -> {returns}"
    return called(name, arguments) + told


def written_field(field: Field[Any]) -> str:
    if field.default is not MISSING:
        return f"{field.name}: {field.type} = {field.default!r}"
    if field.default_factory is not MISSING:
        return f"{field.name}: {field.type} = {field.default_factory()!r}"
    return f"{field.name}: {field.type}"


def called(name: str, arguments: list[str]) -> str:
    line = f"{name}({', '.join(arguments)})"
    if len(line) <= _LONG:
        return line
    return f"{name}(\n" + "".join(f"    {argument},\n" for argument in arguments) + ")"


def told(value: Any) -> str:
    """The first sentence of a docstring, in one line."""
    doc = (inspect.getdoc(value) or "").partition("\n\n")[0].partition("  ")[0]
    return re.sub(r":\w+:`~?(?:[\w.]*\.)?(\w+)`", r"`\1`", " ".join(doc.split())).replace("``", "`")


def _entry(name: str) -> str:
    value = getattr(probewright.packs, name)
    said = f"# {told(value)}\n" if inspect.isclass(value) or inspect.isfunction(value) else ""
    return said + signature(name) + "\n"


def reference() -> str:
    """The whole reference, in Markdown."""
    hooks = [name for name in vars(hookspecs) if name.startswith("probewright_")]
    text = ["### Hooks\n", "```python"]
    text += [f"# {told(getattr(hookspecs, h))}\n{of_function(h, getattr(hookspecs, h))}\n" for h in hooks]
    text += ["```\n"]
    for title, names in groups().items():
        text += [f"### {title}\n", "```python", "\n".join(_entry(name) for name in names) + "```\n"]
    return "\n".join(text).replace("\n\n```\n", "\n```\n")


def written(text: str) -> str:
    """DEVELOPERS.md with the reference as the code is now."""
    assert len(BLOCK.findall(text)) == 1, "DEVELOPERS.md holds the reference once, between its marks"
    return BLOCK.sub(lambda _: "\n" + reference() + "\n", text)


if __name__ == "__main__":
    DEVELOPERS.write_text(written(DEVELOPERS.read_text(encoding="utf-8")), encoding="utf-8")
