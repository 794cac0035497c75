"""A pack under test, and what several checks need of it."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from typing import Any

from probewright.engine import diagnose
from probewright.errors import PackError
from probewright.packs.model import Family
from probewright.packs.registry import LoadedPack
from probewright.settings import Settings
from probewright.testing.clients import Client, load
from probewright.testing.samples import sample_cases
from probewright.testing.typical import Typical
from probewright_schemas.records import Case, Diagnosis

Document = dict[str, Any]


class Subject:
    """A pack, loaded by the loader alone; ``seed`` draws its sample cases."""

    def __init__(self, pack: object, seed: int = 0) -> None:
        self.pack, self.seed = pack, seed

    @cached_property
    def client(self) -> Client:
        """The service with this pack alone; AssertionError when the loader refuses it."""
        return Client(load(self.pack))

    @property
    def loaded(self) -> LoadedPack:
        """As the loader hands it over."""
        return self.client.packs[0]

    @property
    def family(self) -> Family:
        """The family that it models."""
        return self.loaded.family

    @cached_property
    def typical(self) -> Typical:
        """What its faults typically look like."""
        return Typical(self.family)

    @cached_property
    def cases(self) -> Mapping[str, Document]:
        """A sample case of each fault; nothing is planned for them."""
        return {fault: {**case, "effort": "none"} for fault, case in sample_cases(self.pack, self.seed).items()}


def ask(case: Case, pack: LoadedPack) -> Diagnosis:
    """Diagnose a case; AssertionError when a hook of the pack fails."""
    try:
        return diagnose(case, pack, Settings())
    except PackError as error:
        raise AssertionError(f"a hook of the pack fails: {error}") from error
