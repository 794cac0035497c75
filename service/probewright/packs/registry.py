"""What was loaded, and what was refused."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from probewright.errors import Broken, UnknownFamily
from probewright.packs.context import ReadingContext, ScoringBatch
from probewright.packs.model import Family
from probewright_schemas.records import Finding, PackIdentity

Validators = Callable[[ReadingContext], tuple[Finding, ...]]
Scorer = Callable[[ScoringBatch], Sequence[object]]
"""A batch to what the pack gives for each row, unchecked: log-likelihoods, or None to keep the declared ones."""


@dataclass(frozen=True, slots=True)
class Layer:
    """What was laid over families: a name, where it is from, and the families that it lies over.

    ``entry_point``, ``distribution`` and ``version`` are those of an overlay pack; a shop's file has none.
    """

    name: str
    origin: Literal["overlay_pack", "shop_file"]
    families: tuple[str, ...] = ()
    entry_point: str = ""
    distribution: str = ""
    version: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class LoadedPack:
    """One family and the hooks of its own pack; compared by identity, so it can be a key.

    ``layers`` lie over the family, the lowest first; ``family`` and ``digest`` are with all of them.
    ``version`` and ``distribution`` are the installed package's; the family has a version of its own, which answers
    carry.  ``digest`` changes with any number, basis, source or word of the family, and with nothing else; ``code``
    is that of the hooks' sources, empty where the pack has no hooks for readings.
    """

    family: Family
    distribution: str
    version: str
    entry_point: str
    digest: str
    validators: Validators | None = None
    scorer: Scorer | None = None
    layers: tuple[Layer, ...] = ()
    code: str = ""

    @property
    def identity(self) -> PackIdentity:
        """What an answer says about the model that gave it."""
        return PackIdentity(self.family.id, self.family.version, self.digest)


@dataclass(frozen=True, slots=True)
class Refusal:
    """A pack that was not loaded, and why; ``broken`` are the rules that its model breaks, where it is that."""

    entry_point: str
    distribution: str
    version: str
    reason: str
    broken: tuple[Broken, ...] = ()


@dataclass(frozen=True, slots=True)
class Registry:
    """The loaded packs by family id, sorted, the refused ones, and the layers over them in the order they were laid."""

    packs: Mapping[str, LoadedPack]
    refused: tuple[Refusal, ...] = ()
    layers: tuple[Layer, ...] = ()

    def get(self, family: str) -> LoadedPack:
        """The pack of a family.

        Raises
        ------
        UnknownFamily
            When no loaded pack has it.
        """
        pack = self.packs.get(family)
        if pack is None:
            raise UnknownFamily(family, tuple(self.packs))
        return pack
