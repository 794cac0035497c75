"""Fills the templates, and writes them into a folder of their own."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from importlib.metadata import version
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path
from string import Template

from probewright.kit.plan import KitError, NewPack
from probewright.packs import CONTRACT_VERSION

_SUFFIX = ".tmpl"
#: Templates that are not called as what they become.
_RENAMED = {"gitignore": ".gitignore"}


def render(pack: NewPack) -> Mapping[str, str]:
    """The files of a new pack.

    Returns
    -------
    mapping of str to str
        Path in the pack's folder, with slashes, to text; sorted.
    """
    own = files("probewright.kit") / "templates" / ("circuit" if pack.circuit else "tables")
    values = {
        "name": pack.name, "title": pack.title, "distribution": pack.distribution, "contract": CONTRACT_VERSION,
        "version": version("probewright"),
    }  # fmt: skip
    values["modules"] = Template((own / f"modules{_SUFFIX}").read_text(encoding="utf-8")).substitute(values).rstrip()
    common = files("probewright.kit") / "templates" / "common"
    found = dict([*_templates(common), *_templates(own)])
    del found["modules"]
    return {_path(place, pack): Template(found[place]).substitute(values) for place in sorted(found)}


def _templates(folder: Traversable, prefix: str = "") -> Iterator[tuple[str, str]]:
    for entry in folder.iterdir():
        if entry.is_dir():
            yield from _templates(entry, f"{prefix}{entry.name}/")
        elif entry.name.endswith(_SUFFIX):
            yield f"{prefix}{entry.name.removesuffix(_SUFFIX)}", entry.read_text(encoding="utf-8")


def _path(place: str, pack: NewPack) -> str:
    """Where a template goes."""
    folder, _, name = place.rpartition("/")
    if folder == "pack":
        return f"{pack.name}/{name}"
    if folder == "tests":
        return f"tests/{name.replace('test_pack', f'test_{pack.name}')}"
    return _RENAMED.get(place, place)


def write(pack: NewPack, folder: Path) -> tuple[Path, ...]:
    """Write a new pack.

    Parameters
    ----------
    folder : Path
        Made where it is missing; it must not hold anything yet.

    Returns
    -------
    tuple of Path
        The files, sorted.

    Raises
    ------
    KitError
        When the folder is not empty, is no folder, or cannot be written to.
    """
    rendered = render(pack)
    try:
        if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
            told = "is not empty" if folder.is_dir() else "is a file"
            raise KitError(f"{folder} {told}: name a folder that is empty or does not exist with --directory")
        for place, text in rendered.items():
            path = folder / place
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8")
    except OSError as error:
        raise KitError(f"cannot write to {folder}: {error.strerror or error}") from error
    return tuple(folder / place for place in rendered)
