"""What a page needs to know beside the counts: what was asked, and what things are called."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from probewright.batch.comparing import titles
from probewright.packs.model import Family
from probewright_schemas.batch_records import Changes

_SPECIAL = {"no_fault": "Nothing wrong", "unknown": "Something unknown"}
_STEPS = {"test": "test", "repair": "repair", "stop": "stop", "refer": "refer", "done": "done"}


@dataclass(frozen=True, slots=True)
class About:
    """What was asked, and the titles of what is named.

    ``families`` has the titles of families, ``titles`` those of the faults, tests, parts, repairs and hazards of each
    family; what has none is called by its id.  ``note`` is a sentence of the caller's own under the title.
    """

    changes: Changes = field(default_factory=Changes)
    families: Mapping[str, str] = field(default_factory=dict)
    titles: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    inputs: tuple[str, ...] = ()
    note: str = ""

    @classmethod
    def of(
        cls, changes: Changes, families: Iterable[Family], *, inputs: tuple[str, ...] = (), note: str = ""
    ) -> About:
        """With the titles of the families that are there."""
        there = list(families)
        named = {family.id: _options(family) | dict(titles(family)) | _SPECIAL for family in there}
        return cls(changes, {family.id: family.title for family in there}, named, inputs, note)

    def family(self, name: str) -> str:
        """What a family is called."""
        return self.families.get(name, name)

    def title(self, family: str, name: str) -> str:
        """What a fault, a test, a part, a repair or a hazard is called."""
        return self.titles.get(family, {}).get(name) or _SPECIAL.get(name, name)

    def step(self, family: str, step: str | None) -> str:
        """What a step (``kind:id``) is called."""
        kind, colon, name = (step or "").partition(":")
        if not colon or kind not in _STEPS:
            return step or "none"
        return f"{_STEPS[kind]}: {self.title(family, name)}" if name else _STEPS[kind]


def _options(family: Family) -> dict[str, str]:
    """Options and their values, which limits may hang on."""
    named = {option.id: option.title for option in family.options}
    return {value.id: value.title for option in family.options for value in option.values} | named
