"""What the documentation shows is what the service does."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

from probewright.cli.main import Exit, main
from probewright.packs.loader import load_packs
from probewright.settings import PREFIX, Settings
from probewright.web.routes import ROUTES
from support import readme_example

ROOT = Path(__file__).parents[2]
README = readme_example.README.read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def rounded(value: Any) -> Any:
    """To three digits: the last ones may differ from one processor to another."""
    if isinstance(value, dict):
        return {name: rounded(inner) for name, inner in value.items()}
    if isinstance(value, list):
        return [rounded(inner) for inner in value]
    return pytest.approx(value, rel=1e-3) if isinstance(value, float) else value


@pytest.mark.parametrize("name", readme_example.EXAMPLES)
def test_the_answer_shown_is_the_answer_given(name: str) -> None:
    shown = readme_example.shown(README, name).search(README)
    assert shown
    assert readme_example.given(README, name) == rounded(json.loads(shown[1])), "write it anew: make readme"


def test_every_setting_is_explained() -> None:
    rows = dict(re.findall(rf"^\| `({PREFIX}\w+)` \| `([^`]*)` \|", README, re.MULTILINE))
    defaults = Settings()
    named = {PREFIX + name.upper(): str(getattr(defaults, name)).lower() for name in Settings.__dataclass_fields__}
    assert rows == named


def test_every_exit_code_is_explained() -> None:
    assert {int(code) for code in re.findall(r"^\| (\d+) \|", README, re.MULTILINE)} == {code.value for code in Exit}


def test_every_resource_is_named() -> None:
    assert [route.path for route in ROUTES if f"`{route.method} {route.path}`" not in README] == []


@pytest.mark.parametrize("document", [README, DEVELOPERS], ids=["README", "DEVELOPERS"])
def test_make_targets_exist(document: str) -> None:
    named = set(re.findall(r"`make ([a-z]+)", document)) | set(re.findall(r"^make ([a-z]+)", document, re.MULTILINE))
    makefile = (ROOT / "Makefile").read_text(encoding="utf-8")
    targets = set(re.findall(r"^([a-z]+):", makefile, re.MULTILINE))
    assert named
    assert named <= targets


@pytest.mark.parametrize("document", [README, DEVELOPERS], ids=["README", "DEVELOPERS"])
def test_paths_exist(document: str) -> None:
    paths = re.findall(r"`((?:demo|docker|openapi|tests|plugins|benchmarks|schemas|service)/[\w./]*)`", document)
    assert paths
    assert [path for path in paths if not (ROOT / path).exists()] == []


def test_the_shop_file_shown_fits_the_gas_range(tmp_path: Path) -> None:
    shown = re.search(r"^## A shop's own numbers$.*?^```toml\n(.*?)^```", README, re.MULTILINE | re.DOTALL)
    assert shown
    (tmp_path / "shown.toml").write_text(shown[1], encoding="utf-8")
    laid = load_packs(shop_files=[tmp_path / "shown.toml"]).get("gas_range")
    assert [layer.name for layer in laid.layers] == ["north_street"]
    assert laid.family.van == ("bake_igniter", "oven_sensor")


def test_what_learning_prints_is_shown(capsys: pytest.CaptureFixture[str]) -> None:
    section = README.partition("## Learning from closed jobs\n")[2].partition("\n## ")[0]
    block = section.partition("\n\n```\n")[2].partition("\n```\n")[0]
    shown = [line for line in block.splitlines() if line != "…"]
    assert len(shown) > 5
    assert main(["pack", "learn", "gas_range", str(ROOT / "demo" / "closed_jobs.ndjson")]) == 0
    printed = capsys.readouterr().out.splitlines()
    assert [line for line in shown if line not in printed] == []
