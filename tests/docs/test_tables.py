"""What the README and DEVELOPERS.md tell of changes and of tables is so."""

from __future__ import annotations

import json
import re
from pathlib import Path

from probewright.batch.answering import load_changes
from probewright.batch.changes import ChangeSet
from probewright.batch.files import open_jobs
from probewright.packs.loader import load_packs
from support.table_reference import written

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def test_the_tables_are_described_as_the_code_has_them() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    assert written(text) == text, "run `make readme`"


def test_the_table_in_the_readme_is_read_as_a_case(tmp_path: Path) -> None:
    (table,) = re.findall(r"```csv\n(.*?)```", README, re.DOTALL)
    (tmp_path / "a.csv").write_text(table)
    (item,) = open_jobs([str(tmp_path / "a.csv")])
    assert item.job is not None, item.reason
    assert json.loads(item.job)["case"]["readings"] == [
        {"test": "bake_igniter_current", "value": 2.6, "unit": "A"},
        {"test": "bake_igniter_glow", "seen": "dim_orange"},
    ]


def test_the_changes_in_the_readme_can_be_asked_for() -> None:
    (told,) = re.findall(r"<!-- changes -->\n```json\n(.*?)```", README, re.DOTALL)
    changes = load_changes(json.loads(told))
    assert [correction.meter for correction in changes.corrections] == ["clamp-07"]
    assert ChangeSet(changes, load_packs()) is not None
