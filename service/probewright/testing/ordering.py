"""Check: no answer depends on the order in which a family lists its records."""

from __future__ import annotations

import random
from dataclasses import replace
from typing import Any

from probewright.engine import diagnose
from probewright.intake import load_case
from probewright.packs.model import Family
from probewright.packs.registry import LoadedPack
from probewright.settings import Settings
from probewright.testing.subject import Subject
from probewright_schemas.records import Case, Diagnosis

#: Records whose order says nothing.  That of options, closing checks and questions does.
_SHUFFLED = (
    "circuits", "complaints", "faults", "functions", "interlocks", "parts", "repairs", "states", "tests", "zones",
)  # fmt: skip
_SAME = 1e-9
_SEED = 20


def does_not_matter(subject: Subject) -> None:
    """Diagnose sample cases with a family whose records were shuffled."""
    pack = subject.loaded
    shuffled = replace(pack, family=_shuffled(pack.family))
    for fault, document in subject.cases.items():
        case = load_case(document)
        one, two = _probabilities(case, pack), _probabilities(case, shuffled)
        moved = [name for name in one if abs(one[name] - two.get(name, 0.0)) > _SAME]
        if moved:
            name = moved[0]
            raise AssertionError(
                f"the sample case of {fault} is answered differently when the family's records are listed in another "
                f"order: {name} has {one[name]:.12g} and {two.get(name, 0.0):.12g}. Let hooks go by ids, never by "
                "position; scores follow the order of the hypotheses that they are given."
            )


def _shuffled(family: Family) -> Family:
    chance = random.Random(_SEED)  # noqa: S311  an order, no secret
    mixed: dict[str, Any] = {name: _mixed(getattr(family, name), chance) for name in _SHUFFLED}
    return replace(family, **mixed)


def _mixed(records: tuple[object, ...], chance: random.Random) -> tuple[object, ...]:
    return tuple(chance.sample(records, len(records)))


def _probabilities(case: Case, pack: LoadedPack) -> dict[str, float]:
    answer: Diagnosis = diagnose(case, pack, Settings())
    named = {fault.fault: fault.probability for fault in answer.faults}
    return {**named, "no_fault": answer.no_fault, "unexplained": answer.unexplained}
