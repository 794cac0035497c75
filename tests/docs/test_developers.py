"""What DEVELOPERS.md says of the code is so."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
SERVICE = ROOT / "service" / "probewright"
TEXT = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
SOURCES = {path: path.read_text(encoding="utf-8") for top in ("service", "schemas", "plugins")
           for path in (ROOT / top).rglob("*.py")}  # fmt: skip


def section(title: str) -> str:
    """From a heading to the next."""
    return TEXT.partition(f"\n## {title}\n")[2].partition("\n## ")[0]


def rows(title: str) -> list[list[str]]:
    """The names in the first column of the tables of a section, row by row."""
    cells = re.findall(r"^\| ([^|]*) \|", section(title), re.MULTILINE)
    return [names for names in (re.findall(r"`([^`]+)`", cell) for cell in cells) if names]


def contracts() -> list[list[str]]:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    [layers] = [c["layers"] for c in project["tool"]["importlinter"]["contracts"] if c["type"] == "layers"]
    return [layer.split(" | ") for layer in layers]


def test_layers_are_those_that_are_checked() -> None:
    assert [row for row in rows("Layout") if row[0].startswith("probewright")] == contracts()


def test_every_module_of_the_service_is_in_a_layer() -> None:
    here = {f"probewright.{path.stem}" for path in SERVICE.iterdir() if (path / "__init__.py").exists()
            or (path.suffix == ".py" and path.stem != "__init__")}  # fmt: skip
    assert here | {"probewright_schemas"} == {module for row in contracts() for module in row}


def test_every_make_target_is_told() -> None:
    makefile = (ROOT / "Makefile").read_text(encoding="utf-8")
    [phony] = re.findall(r"^\.PHONY: (.*)", makefile, re.MULTILINE)
    told = {name.removeprefix("make ") for row in rows("Set-up") for name in row}
    assert told == set(phony.split()) - {"help"}


def test_files_named_exist() -> None:
    named = re.findall(r"`((?:\w+/)+\w+\.\w+)`", TEXT)
    assert len(named) > 8
    assert [name for name in named if not ((SERVICE / name).exists() or (ROOT / name).exists())] == []


def test_classes_and_constants_named_exist() -> None:
    words = {word for code in re.findall(r"`([^`\n]+)`", TEXT) for word in re.findall(r"\b[A-Z]\w+", code)}
    words -= {"CI", "PYTEST_ARGS", "SERVE_ARGS", "BENCH_ARGS", "IEC", "CHANGELOG", "README", "NAME", "PID", "RANDOM",
              "PROBEWRIGHT_REQUIRE_DASK"}  # fmt: skip
    everything = "\n".join(SOURCES.values())
    assert len(words) > 20
    assert sorted(word for word in words if not re.search(rf"\b{word}\b", everything)) == []


def test_every_axis_is_explained() -> None:
    shapes = re.findall(r"shape \(([^()]*)\)", "\n".join(SOURCES.values()))
    used = {name for shape in shapes for name in re.findall(r"\b(?:n_\w+|POINTS|STATIONS)\b", shape)}
    explained = {name for row in rows("Words for arrays") for name in row}
    assert len(used) > 10
    assert used <= explained


def test_every_module_wide_cache_is_told_and_bounded() -> None:
    caches = {path: re.findall(r"^@(?:functools\.)?(lru_cache\(maxsize=.+\)|\w*cache\b.*)", text, re.MULTILINE)
              for path, text in SOURCES.items()}  # fmt: skip
    found = {str(path.relative_to(SERVICE)): made for path, made in caches.items() if made}
    assert set(found) == {name for row in rows("What is kept between requests") for name in row}
    unbounded = {name for name, made in found.items() if any(not m.startswith("lru_cache(maxsize=") for m in made)}
    assert unbounded == set()
    assert not any("maxsize=None" in m for made in found.values() for m in made)


@pytest.mark.parametrize("name", ["README.md", "DEVELOPERS.md", "CHANGELOG.md"])
def test_lines_are_short(name: str) -> None:
    """But for tables, and for what is copied from elsewhere: code, and what the benchmarks print."""
    text = re.sub(r"^```.*?^```", "", (ROOT / name).read_text(encoding="utf-8"), flags=re.MULTILINE | re.DOTALL)
    lines = [line for line in text.splitlines() if not line.startswith(("|", "Measured on: "))]
    assert [line for line in lines if len(line) > 120] == []
