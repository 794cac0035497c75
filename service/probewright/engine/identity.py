"""What an answer depends on, as one digest: equal digests are one and the same computation."""

from __future__ import annotations

import hashlib
from dataclasses import fields
from functools import lru_cache
from importlib.metadata import version
from operator import attrgetter
from pathlib import Path
from typing import Any

import msgspec

import probewright
import probewright_schemas
from probewright.packs.digest import sources
from probewright.packs.registry import LoadedPack
from probewright.settings import Settings
from probewright_schemas.records import Case

#: The folders and modules of the service that an answer is made by; what only reads and prints is none of them.
_PARTS = (
    "circuit", "decision", "engine", "figures.py", "inference", "packs", "physics", "planning", "quantities",
    "settings.py",
)  # fmt: skip
#: Libraries whose arithmetic is in an answer: another version may round a last bit in another way.
_LIBRARIES = ("numba", "numpy")


#: What an answer depends on of a case; its reference is no part of it.
_MEMBERS = attrgetter(*(field.name for field in fields(Case) if field.name != "reference"))
_ENCODE = msgspec.json.Encoder(order="deterministic").encode


def computation(case: Case | Any, pack: LoadedPack, settings: Settings) -> str:
    """Digest of everything that the answer to a case depends on.

    Parameters
    ----------
    case : Case
        Or what has its members, as :class:`probewright_schemas.decoding.Decoder` reads it: the digest is the same.
    """
    digest = _fixed(pack, settings).copy()
    digest.update(_ENCODE(_MEMBERS(case)))
    return f"sha256:{digest.hexdigest()}"


@lru_cache(maxsize=64)
def _fixed(pack: LoadedPack, settings: Settings) -> hashlib._Hash:
    """What is the same for all cases of a pack."""
    thresholds = (settings.verdict_within, settings.verdict_outside, settings.misread_rate)
    told = [pack.family.id, pack.digest, pack.code, *(repr(number) for number in thresholds), _service()]
    return hashlib.sha256("\n".join([*told, ""]).encode())


@lru_cache(maxsize=1)
def _service() -> str:
    """The code of the service and the libraries that it computes with."""
    places = [Path(folder) / part for folder in probewright.__path__ for part in _PARTS]
    schemas = [Path(folder) for folder in probewright_schemas.__path__]
    return " ".join([sources([*places, *schemas]), *(f"{name}={version(name)}" for name in _LIBRARIES)])
