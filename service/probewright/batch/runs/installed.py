"""What is installed where somebody works: the packs with a shop's files over them, sent as text, and who they are."""

from __future__ import annotations

import tempfile
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path

import probewright.batch
from probewright.engine import computation
from probewright.packs.digest import sources
from probewright.packs.loader import load_packs
from probewright.packs.registry import Registry
from probewright.packs.shopfile import ShopFileError
from probewright.settings import Settings
from probewright_schemas.records import Case


@dataclass(frozen=True, slots=True)
class ShopFile:
    """A shop's file as it is sent to a worker on another machine."""

    name: str
    content: bytes


def read_shop(paths: Iterable[str]) -> tuple[ShopFile, ...]:
    """Read files of a shop, to be sent.

    Raises
    ------
    ShopFileError
        When one cannot be read; what is in it is not looked at yet.
    """
    return tuple(_read(Path(path)) for path in paths)


def load(shop: Sequence[ShopFile], *, strict: bool = False) -> Registry:
    """The packs that are installed here, with these files over them.

    Raises
    ------
    PackError, ShopFileError
        As :func:`probewright.packs.loader.load_packs`.
    """
    with tempfile.TemporaryDirectory(prefix="probewright-") as folder:
        paths = []
        for place, file in enumerate(shop):
            # A file may give its layer no name, and then it is the file's.
            path = Path(folder, str(place), Path(file.name).name)
            path.parent.mkdir()
            path.write_bytes(file.content)
            paths.append(path)
        return load_packs(strict=strict, shop_files=paths)


def identity(registry: Registry, settings: Settings) -> dict[str, str]:
    """Everything installed that results depend on, by name; workers with equal ones give equal results."""
    code = sources(Path(folder) for folder in probewright.batch.__path__)
    found = {"service": f"{version('probewright')} {code}"}
    for family, pack in registry.packs.items():
        found[f"pack {family}"] = f"{pack.family.version} {pack.digest}"
        # The code of the engine and of hooks, the thresholds, and the libraries that compute.
        found[f"engine for {family}"] = computation(Case(family=family), pack, settings)
    return found


def _read(path: Path) -> ShopFile:
    try:
        return ShopFile(path.name, path.read_bytes())
    except OSError as error:
        raise ShopFileError(str(path), [f"cannot be read: {error.strerror or error}"]) from None
