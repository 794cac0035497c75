"""Check: no answer depends on the order in which a family lists its records."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from probewright.intake import load_case
from probewright.packs.model import Family
from probewright.packs.registry import LoadedPack
from probewright.testing.subject import Subject, ask
from probewright_schemas.records import Case

#: Records whose order says nothing.  That of options, closing checks and questions does.
_UNORDERED = (
    "circuits", "complaints", "faults", "functions", "interlocks", "parts", "repairs", "states", "tests", "zones",
)  # fmt: skip
_SAME = 1e-9


def does_not_matter(subject: Subject) -> None:
    """Diagnose sample cases with a family whose records are listed backwards, and with each one place further on."""
    pack = subject.loaded
    others = [replace(pack, family=_listed(pack.family, backwards)) for backwards in (True, False)]
    for fault, document in subject.cases.items():
        case = load_case(document)
        one = _probabilities(case, pack)
        for other in others:
            _compare(fault, one, _probabilities(case, other))


def _compare(fault: str, one: dict[str, float], two: dict[str, float]) -> None:
    moved = [name for name in one if abs(one[name] - two.get(name, 0.0)) > _SAME]
    if moved:
        name = moved[0]
        raise AssertionError(
            f"the sample case of {fault} is answered differently when the family's records are listed in another "
            f"order: {name} has {one[name]:.12g} and {two.get(name, 0.0):.12g}. Let hooks go by ids, never by "
            "position; scores follow the order of the hypotheses that they are given."
        )


def _listed(family: Family, backwards: bool) -> Family:
    records = {name: getattr(family, name) for name in _UNORDERED}
    changed: dict[str, Any] = {
        name: tuple(reversed(of)) if backwards else (*of[1:], *of[:1]) for name, of in records.items()
    }
    return replace(family, **changed)


def _probabilities(case: Case, pack: LoadedPack) -> dict[str, float]:
    answer = ask(case, pack)
    named = {fault.fault: fault.probability for fault in answer.faults}
    return {**named, "no_fault": answer.no_fault, "unexplained": answer.unexplained}
