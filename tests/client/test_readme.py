"""The examples of README.md, run against the real service; what they print stands beside it, where it does."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from probewright.client import __all__ as public
from probewright.web.example import EXAMPLE_CASE

README = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
SECTION = README.partition("\n## From Python\n")[2].partition("\n## ")[0]
BLOCKS = re.findall(r"^```python\n(.*?)^```$", SECTION, re.MULTILINE | re.DOTALL)


@pytest.fixture
def printed(service, asking, tmp_path, monkeypatch, capsys):
    """Runs a block beside files of invented jobs, and gives the lines that it prints."""
    case = json.loads(json.dumps(EXAMPLE_CASE))
    case["meters"]["dmm"]["id"] = "clamp-07"
    case["readings"] = [case["readings"][0] | {"value": 2.7, "day": "2026-03-02"}]
    job = {"case": case, "answer": asking(service).diagnose(case)}
    files = {"cases": [case, {"family": "toaster"}, case], "jobs": [job, job]}
    for name, documents in files.items():
        text = "".join(json.dumps(document) + "\n" for document in documents)
        (tmp_path / f"{name}.ndjson").write_text(text, encoding="utf-8")
    monkeypatch.chdir(tmp_path)

    def run(block):
        assert "http://127.0.0.1:8080" in block
        exec(compile(block.replace("http://127.0.0.1:8080", service), "README.md", "exec"), {})
        return capsys.readouterr().out.splitlines()

    return run


def test_one_case_is_diagnosed_and_its_faults_are_told(printed):
    shown = re.findall(r"print\(.*\)  # (.*)", BLOCKS[0])
    assert len(shown) == 2
    assert printed(BLOCKS[0]) == shown


def test_many_cases_are_diagnosed(printed):
    assert printed(BLOCKS[1]) == ["0 bake_igniter_weak", "1 invalid_case", "2 bake_igniter_weak"]


def test_stored_jobs_are_asked_again(printed):
    lines = printed(BLOCKS[2])
    assert [line.split(" ")[:2] for line in lines] == [["0", "changed"], ["1", "changed"]]


def test_there_are_no_other_examples():
    assert len(BLOCKS) == 3


def test_errors_named_are_there():
    named = set(re.findall(r"`(\w+Error)`", SECTION))
    assert len(named) > 5
    assert named <= set(public)
