"""The first request of README.md and its answer, abridged; run as a script, this writes the answer anew."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

from probewright.packs.loader import load_packs
from probewright.settings import Settings
from probewright.web import create_app

README = Path(__file__).parents[2] / "README.md"
REQUEST = re.compile(r"--data '(\{.*?\})'\n```", re.DOTALL)
ANSWER = re.compile(r"(?<=<!-- answer -->\n```json\n)(.*?)(?=```\n)", re.DOTALL)
READING = ("test", "verdict", "value", "seen", "unit", "expected", "standard_uncertainty", "probability_within")
ALTERNATIVE = ("kind", "id", "title", "minutes", "expected_cost")


def answer(case: dict[str, Any]) -> dict[str, Any]:
    """What the service answers."""
    client = create_app(load_packs(), Settings()).test_client()
    reply = client.post("/v1/diagnoses", json=case)
    assert reply.status_code == 200, reply.get_data(as_text=True)
    document: dict[str, Any] = reply.get_json()
    return document


def only(record: dict[str, Any], names: tuple[str, ...]) -> dict[str, Any]:
    return {name: record[name] for name in names if name in record}


def abridged(full: dict[str, Any]) -> dict[str, Any]:
    """The parts that a first reader needs; lists are cut short and the pack's digest is left out."""
    return {
        "reference": full["reference"],
        "pack": only(full["pack"], ("family", "version")),
        "readings": [only(reading, READING) for reading in full["readings"]],
        "faults": full["faults"][:2],
        "unexplained": full["unexplained"],
        "no_fault": full["no_fault"],
        "next": full["next"],
        "alternatives": [only(step, ALTERNATIVE) for step in full["alternatives"][:1]],
        "parts": full["parts"][:1],
        "closing_checks": full["closing_checks"][:1],
        "cautions": full["cautions"][:1],
        "assumptions": full["assumptions"][:1],
        "notice": full["notice"],
    }


def request_of(text: str) -> dict[str, Any]:
    """The case in the README's curl command."""
    found = REQUEST.search(text)
    assert found, "README.md has no curl command with a case"
    case: dict[str, Any] = json.loads(found[1])
    return case


def written(text: str) -> str:
    """The README's text with the answer that the service gives now."""
    block = json.dumps(abridged(answer(request_of(text))), indent=2, ensure_ascii=False) + "\n"
    new, count = ANSWER.subn(lambda _: block, text)
    assert count == 1, "README.md must show exactly one answer"
    return new


if __name__ == "__main__":
    README.write_text(written(README.read_text(encoding="utf-8")), encoding="utf-8")
