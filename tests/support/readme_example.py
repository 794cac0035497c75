"""The requests of README.md and their answers, abridged; run as a script, this writes the answers anew."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

from probewright.packs.loader import load_packs
from probewright.settings import Settings
from probewright.web import create_app

README = Path(__file__).parents[2] / "README.md"
READING = ("test", "verdict", "value", "seen", "unit", "expected", "standard_uncertainty", "probability_within")
ANSWER = ("id", "text", "adds", "probability")
ALTERNATIVE = ("kind", "id", "title", "minutes", "expected_cost")


def answer(path: str, request: dict[str, Any]) -> dict[str, Any]:
    """What the service answers."""
    client = create_app(load_packs(), Settings()).test_client()
    reply = client.post(path, json=request)
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


def abridged_plan(full: dict[str, Any]) -> dict[str, Any]:
    """Likewise of a visit's plan."""
    questions = [
        {**only(question, ("id", "text", "why", "value")), "answers": [only(a, ANSWER) for a in question["answers"]]}
        for question in full["questions"][1:2]
    ]
    order = [only(group, ("state", "zone", "work")) for group in full["order"][:2]]
    return {
        "reference": full["reference"],
        "questions": questions,
        "parts": full["parts"][:2],
        "tools": full["tools"][:2],
        "skills": full["skills"][:1],
        "minutes": full["minutes"],
        "first_visit_probability": full["first_visit_probability"],
        "expected_cost": full["expected_cost"],
        "order": [group | {"work": group["work"][:2]} for group in order],
        "likeliest": full["likeliest"][:2],
    }


#: What a comment before each answer calls it, and what gives the answer.
EXAMPLES: dict[str, tuple[str, Callable[[dict[str, Any]], dict[str, Any]]]] = {
    "answer": ("/v1/diagnoses", abridged),
    "visit plan": ("/v1/visit-plans", abridged_plan),
}


def request_of(text: str, path: str) -> dict[str, Any]:
    """The document in the README's curl command to a path."""
    found = re.search(rf"{re.escape(path)} --header[^']*'[^']*' --data '(\{{.*?\}})'\n```", text, re.DOTALL)
    assert found, f"README.md has no curl command to {path}"
    request: dict[str, Any] = json.loads(found[1])
    return request


def shown(text: str, name: str) -> re.Pattern[str]:
    """What finds the answer that the README shows."""
    pattern = re.compile(rf"(?<=<!-- {name} -->\n```json\n)(.*?)(?=```\n)", re.DOTALL)
    assert len(pattern.findall(text)) == 1, f"README.md must show exactly one {name}"
    return pattern


def given(text: str, name: str) -> dict[str, Any]:
    """The answer that the service gives now, abridged."""
    path, abridge = EXAMPLES[name]
    return abridge(answer(path, request_of(text, path)))


def written(text: str) -> str:
    """The README's text with the answers that the service gives now."""
    for name in EXAMPLES:
        block = json.dumps(given(text, name), indent=2, ensure_ascii=False) + "\n"
        text = shown(text, name).sub(lambda _, block=block: block, text)
    return text


if __name__ == "__main__":
    README.write_text(written(README.read_text(encoding="utf-8")), encoding="utf-8")
