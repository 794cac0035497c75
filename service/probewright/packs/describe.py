"""A pack as a JSON document, every number with its basis, for ``GET /v1/families/{family}``."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass
from typing import Any

from probewright.circuit.laws import Law
from probewright.circuit.parts import Circuit, Part, Source, Switch, When
from probewright.figures import Figure, Spread, derived
from probewright.packs.listings import layer_document
from probewright.packs.model import Model, Stated, Test
from probewright.packs.registry import LoadedPack

Document = dict[str, Any]

_LEG = "position of the leg in the supply, by definition"


def describe(pack: LoadedPack) -> Document:
    """Everything a family says, as :class:`probewright_schemas.family.FamilySchema` has it.

    Figures become ``{"value", "basis", "source", "layer"}`` and spreads ``{"kind", "first", "second"}``; ``source`` and
    ``layer`` are left out where there is none, and so is everything that is absent.  Conditions give a list of values
    for each option.
    """
    family = pack.family
    document = _record(family) | {
        "digest": pack.digest,
        "layers": [layer_document(layer) for layer in pack.layers],
        "hazards": [_record(i) for i in family.interlocks],
        "closing_checks": [_record(c) for c in family.closings],
        "tests": [_test(t) for t in family.tests],
        "circuits": [_circuit(c) for c in family.circuits],
    }
    return {name: value for name, value in document.items() if name not in ("interlocks", "closings")}


def figure(value: Figure) -> Document:
    """A number with its basis, and the layer that set it."""
    document: Document = {"value": float(value), "basis": value.basis}
    document |= {"source": value.source} if value.source else {}
    return document | {"layer": value.layer} if value.layer else document


def _spread(spread: Spread) -> Document:
    return {"kind": spread.kind, "first": figure(spread.first), "second": figure(spread.second)}


def _plain(value: Any) -> Any:
    """Any value of a record."""
    if isinstance(value, Figure):
        return figure(value)
    if isinstance(value, Spread):
        return _spread(value)
    if is_dataclass(value):
        return _record(value)
    if isinstance(value, Mapping):
        return {key: _plain(inner) for key, inner in value.items()}
    if isinstance(value, tuple):
        return [_plain(inner) for inner in value]
    return value


def _record(record: object, **special: Callable[[Any], Any]) -> Document:
    """A record's fields by name, without those that are absent."""
    special = {"when": _when, **special}
    named = ((f.name, getattr(record, f.name)) for f in fields(record))  # type: ignore[arg-type]  # of a dataclass
    return {name: special.get(name, _plain)(value) for name, value in named if value is not None}


def _when(when: When) -> dict[str, list[str]]:
    return {option: [allowed] if isinstance(allowed, str) else list(allowed) for option, allowed in when.items()}


def _tagged(record: object, **special: Callable[[Any], Any]) -> Document:
    """A record of a union, with its kind first."""
    return {"kind": _snake(type(record).__name__), **_record(record, **special)}


def _snake(name: str) -> str:
    return re.sub(r"(?<=[a-z0-9])(?=[A-Z])", "_", name).lower()


def _test(test: Test) -> Document:
    return _record(test, models=lambda models: [_model(m) for m in models])


def _model(model: Model) -> Document:
    """A model; what is healthy and what a fault changes are spreads in one kind and probabilities in another."""
    document = _tagged(model, without=_without)
    prefix = "spread" if isinstance(model, Stated) else "chances"
    renamed = {"healthy": prefix, "by_fault": f"{prefix}_by_fault"}
    return {renamed.get(name, name): value for name, value in document.items()}


def _without(pairs: tuple[tuple[object, str], ...]) -> list[Document]:
    return [{"requirement": _record(requirement), "outcome": outcome} for requirement, outcome in pairs]


def _circuit(circuit: Circuit) -> Document:
    return _record(
        circuit,
        parts=lambda parts: [_part(p) for p in parts],
        changes=lambda changes: {fault: [_tagged(c) for c in changed] for fault, changed in changes.items()},
    )


def _part(part: Part | Switch | Source) -> Document:
    return _tagged(part, law=_law, phase=lambda degrees: figure(derived(degrees, _LEG)))


def _law(law: Law) -> Document:
    """A law by name, with the parameters that carry figures."""
    values = {f.name: getattr(law, f.name) for f in fields(law)}  # type: ignore[arg-type]  # check_family insists
    return {
        "kind": _snake(type(law).__name__),
        "spreads": {name: _spread(value) for name, value in values.items() if isinstance(value, Spread)},
        "figures": dict(_figures_of(values)),
    }


def _figures_of(values: Mapping[str, object]) -> list[tuple[str, Document]]:
    """Figures among the values, and those of records inside them (``curve.a``)."""
    found: list[tuple[str, Document]] = []
    for name, value in values.items():
        if isinstance(value, Figure):
            found.append((name, figure(value)))
        elif is_dataclass(value) and not isinstance(value, Spread):
            inner = {f"{name}.{f.name}": getattr(value, f.name) for f in fields(value)}
            found += _figures_of(inner)
    return found
