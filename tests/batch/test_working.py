"""The work on one block, as any worker does it; all jobs are invented."""

from __future__ import annotations

import gc
import json
import pickle

import pytest

from probewright.batch import working
from probewright.batch.files import JobLine, Origin
from probewright.batch.lines import LineTooLongError
from probewright.batch.runs.blocks import in_blocks
from probewright.batch.runs.installed import ShopFile
from probewright.batch.summary import Tally
from probewright.batch.working import Asked, problem, ready, set_up, uncollected
from probewright.errors import Fault, InvalidCase, PackModelError, RequestError
from probewright.packs.loader import load_packs
from probewright.settings import Settings

SOUND = {"family": "gas_range", "reference": "a", "complaints": ["bake_does_not_light"], "effort": "none"}
#: Numbers are invented.
SHOP = ShopFile("shop.toml", b"[families.gas_range]\nfault_rates.bake_igniter_weak = 0.06\n")


def block(*jobs):
    """Jobs as they come from a file: documents, or the reason why one could not be read."""
    lines = []
    for number, job in enumerate(jobs, 1):
        origin = Origin("jobs.ndjson", number, number)
        if isinstance(job, str):
            lines.append(JobLine(number, origin, None, job, b"as written"))
        else:
            lines.append(JobLine(number, origin, json.dumps(job).encode()))
    (only,) = in_blocks(lines)
    return only


def documents(text):
    return [json.loads(line) for line in text.splitlines()]


@pytest.fixture(scope="module")
def worker():
    return ready(Asked(), load_packs())


def test_each_line_is_answered_or_rejected_and_counted(worker):
    done = worker.work(
        block({"case": SOUND}, "is not JSON", {"case": SOUND | {"complaints": ["sings"]}},
              {"case": SOUND | {"family": "x"}}, {"case": SOUND | {"reference": "e"}}, {"truth": {}})
    )  # fmt: skip
    answered = documents(done.output)
    assert [(line["line"], line["result"]["reference"], line["result"]["status"]) for line in answered] == [
        (1, "a", "new"), (5, "e", "new"),
    ]  # fmt: skip
    unread, unknown, family, no_case = documents(done.rejected)
    assert unread == {"file": "jobs.ndjson", "line": 2, "reason": "is not JSON", "text": "as written"}
    assert (unknown["line"], unknown["problem"]["code"]) == (3, "invalid_case")
    assert unknown["problem"]["errors"][0]["pointer"] == "/case/complaints/0"
    assert unknown["text"] == json.dumps({"case": SOUND | {"complaints": ["sings"]}})
    assert family["problem"]["errors"][0]["pointer"] == "/case/family"
    assert no_case["problem"]["errors"][0]["pointer"] == "/case"
    summary = Tally.from_json(json.loads(done.tally)).document()
    assert (summary["lines"], summary["answered"], summary["refused"]) == (6, 2, 4)
    assert summary["by_status"] == {"new": 2}


def test_the_same_block_gives_the_same_bytes_whoever_works(worker):
    jobs = block({"case": SOUND}, {"case": SOUND | {"complaints": ["sings"]}})
    other = set_up(pickle.loads(pickle.dumps(Asked())))
    assert other.work(jobs) == worker.work(jobs) == worker.work(jobs)
    assert other.identity == worker.identity


def test_a_shop_s_numbers_travel_with_what_is_asked(worker):
    jobs = block({"case": SOUND})
    other = set_up(pickle.loads(pickle.dumps(Asked(shop=(SHOP,)))))
    assert other.identity["pack gas_range"] != worker.identity["pack gas_range"]
    assert other.identity["pack electric_range"] == worker.identity["pack electric_range"]
    assert other.work(jobs).output != worker.work(jobs).output


def test_settings_and_effort_and_answers_are_asked_for():
    asked = Asked(settings=Settings(misread_rate=0.1), effort="quick", answers=True)
    (line,) = documents(ready(asked, load_packs()).work(block({"case": SOUND})).output)
    assert line["result"]["answer"]["next"]["kind"] == "test"
    assert line["result"]["answer"]["computation"] == line["result"]["computation"]


def test_changes_are_read_from_their_document():
    asked = Asked(b'{"corrections": [{"meter": "m", "kind": "current", "correction": {"gain": 1.5}}]}')
    assert asked.load_changes().corrections[0].correction.gain == 1.5
    with pytest.raises(InvalidCase, match="/limits/0/family: no loaded pack has this family"):
        set_up(Asked(b'{"limits": [{"family": "x", "test": "y", "limits": {"low": 1, "unit": "A"}}]}'))


@pytest.mark.parametrize(("error", "told"), [
    (InvalidCase([Fault("/case/day", "is no day", "format")]),
     {"code": "invalid_case", "detail": "/case/day: is no day",
      "errors": [{"pointer": "/case/day", "message": "is no day", "code": "format"}]}),
    (PackModelError("its hook is broken"),
     {"code": PackModelError.code, "detail": "its hook is broken", "errors": []}),
    (LineTooLongError(9), {"code": "line_too_long", "detail": "The line has more than 9 bytes.", "errors": []}),
    (RequestError("so"), {"code": RequestError.code, "detail": "so", "errors": []}),
    (ZeroDivisionError("by zero"), {"code": "internal_error", "detail": "ZeroDivisionError: by zero", "errors": []}),
])  # fmt: skip
def test_a_problem_says_what_is_wrong_with_the_job(error, told):
    assert problem(error) == told


def test_no_circles_are_looked_for_within_a_block_and_again_after_it():
    assert gc.isenabled()
    with uncollected():
        assert not gc.isenabled()
        with uncollected():
            assert not gc.isenabled()
        assert not gc.isenabled()
    assert gc.isenabled()
    with pytest.raises(ZeroDivisionError), uncollected():
        raise ZeroDivisionError
    assert gc.isenabled()


def test_the_collector_comes_back_when_the_last_is_done():
    first, second = uncollected(), uncollected()
    first.__enter__()
    second.__enter__()
    first.__exit__(None, None, None)
    assert not gc.isenabled()
    second.__exit__(None, None, None)
    assert gc.isenabled()


def test_a_block_is_worked_on_without_the_collector(monkeypatch):
    worker, seen = ready(Asked(), load_packs()), []
    monkeypatch.setattr(working, "_problems", lambda *_: seen.append(gc.isenabled()) or {})
    worker.work(block({"case": SOUND}))
    assert seen == [False]
    assert gc.isenabled()
