"""The real service, asked about many cases at once."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from probewright.client import BadRequestError, InvalidCaseError, TooLargeError, UnknownFamilyError
from probewright.web.example import EXAMPLE_CASE

DEMO = Path(__file__).parents[2] / "demo" / "cases"


@pytest.fixture(scope="module")
def cases():
    """The invented cases of the demonstration, but for the one that is mistyped on purpose."""
    paths = [path for path in sorted(DEMO.glob("*.json")) if path.stem != "mistyped"]
    assert len(paths) > 5
    return [json.loads(path.read_text(encoding="utf-8")) for path in paths]


@pytest.mark.parametrize("piece_lines", [1, 3, 200])
def test_many_are_diagnosed_as_each_alone(service, asking, cases, piece_lines):
    client = asking(service)
    items = list(client.diagnose_many(iter(cases), piece_lines=piece_lines))
    assert [item.index for item in items] == list(range(len(cases)))
    assert [item.answer for item in items] == [client.diagnose(case) for case in cases]


def test_bad_cases_get_what_asking_for_them_alone_would_have_raised(service, asking):
    client = asking(service)
    bad = [{"family": "toaster"}, {"family": "gas_range", "readings": [{}]}, {}, [], "case",
           {"family": "gas_range", "reference": "x" * 300_000}]  # fmt: skip
    items = list(client.diagnose_many([EXAMPLE_CASE, *bad, EXAMPLE_CASE]))
    assert [item.problem is None for item in items] == [True, *[False] * len(bad), True]
    for item in items[1:-1]:
        with pytest.raises(BadRequestError) as alone:
            client.diagnose(item.document)
        assert type(item.problem) is type(alone.value)
        if isinstance(item.problem, InvalidCaseError):
            assert item.problem.faults == alone.value.faults
    assert type(items[1].problem) is UnknownFamilyError
    assert type(items[-2].problem) is TooLargeError
    assert items[0].answer == items[-1].answer


def test_stored_answers_are_told_to_be_the_same_or_what_changed(service, asking):
    client = asking(service)
    case = json.loads(json.dumps(EXAMPLE_CASE))
    case["meters"]["dmm"]["id"] = "dmm-3"
    case["readings"][0] |= {"value": 3.0, "day": "2026-03-02"}
    stored = {"case": case, "answer": client.diagnose(case)}
    jobs = [stored, {"case": case}, {"case": {"family": "toaster"}}, stored]
    items = list(client.re_evaluate({}, iter(jobs), piece_lines=2))
    assert [item.result and item.result["status"] for item in items] == ["same", "new", None, "same"]
    assert isinstance(items[2].problem, InvalidCaseError)
    changes = {"corrections": [{"meter": "dmm-3", "kind": "current", "correction": {"gain": 1.2}}]}
    items = list(client.re_evaluate(changes, iter(jobs), piece_lines=1))
    assert [item.result and item.result["status"] for item in items] == ["changed", "new", None, "changed"]
    [corrected] = items[0].result["corrected"]
    assert (corrected["as_read"], corrected["value"]) == (3.0, pytest.approx(3.6))  # 3.0 A times 1.2


def test_changes_that_break_the_contract_are_told_by_their_places(service, asking):
    changes = {"corrections": [{"meter": "dmm-3", "kind": "colour", "correction": {"gain": 1.2}}]}
    with pytest.raises(InvalidCaseError) as caught:
        next(asking(service).re_evaluate(changes, [{"case": EXAMPLE_CASE}]))
    assert [fault.pointer for fault in caught.value.faults] == ["/corrections/0/kind"]
