from __future__ import annotations

import json
import random
from datetime import date

import pytest

from probewright.learning import jobs as module
from probewright.learning.jobs import TooManyJobsError, read_jobs
from probewright_schemas.closed import ClosedJobSchema
from support.families import warmer


def case(**more):
    return {"family": "warmer", "complaints": ["cold"]} | more


def reason(line):
    """Why a line is bad."""
    (bad,) = read_jobs([line], warmer()).bad
    assert bad.line == 1
    return bad.reason


def test_a_closed_job_is_read(line):
    given = case(options={"style": "small", "lamp": "no"}, complaints=["rattles", "cold"],
                 readings=[{"test": "door", "seen": "ajar"}])  # fmt: skip
    (job,) = read_jobs([line(case=given, proven=["link_open", "door_loose"])], warmer()).jobs
    assert (job.day, job.options) == (date(2026, 8, 30), (("lamp", "no"), ("style", "small")))
    assert (job.complaint, job.proven) == ("rattles", ("door_loose", "link_open"))
    assert job.seen == (("door", "ajar"),)
    assert job.case.readings[0].seen == "ajar"


def test_only_the_first_look_before_any_repair_counts_and_only_of_tables(line):
    given = case(
        repairs_done=[{"repair": "tighten_door", "complaint_remains": True}],
        readings=[
            {"test": "door", "seen": "gone", "after_repair": "tighten_door"}, {"test": "glow", "seen": "dim"},
            {"test": "door", "seen": "ajar"}, {"test": "door", "seen": "shut"},
        ],
    )  # fmt: skip
    (job,) = read_jobs([line(case=given)], warmer()).jobs
    assert job.seen == (("door", "ajar"),)


@pytest.mark.parametrize("proven", [[], ["unknown"], ["heater_open"], ["heater_open", "door_loose"]])
def test_nothing_something_unknown_one_fault_and_two_may_be_proven(line, proven):
    found = read_jobs([line(proven=proven)], warmer())
    assert not found.bad
    assert found.jobs[0].proven == tuple(sorted(proven))


@pytest.mark.parametrize(("changes", "wanted"), [
    ({"proven": None}, "/proven: is required"),
    ({"closed": None}, "/closed: is required"),
    ({"closed": "2026-02-30"}, "/closed: must be a day written as 2026-08-30"),
    ({"closed": "30.08.2026"}, "/closed: must be a day written as 2026-08-30"),
    ({"closed": 20260830}, "/closed: must be a string, not a number"),
    ({"closed": "２０２６-08-30"}, "/closed: must be a day"),
    ({"case": {"family": "kettle"}}, "/case/family: is 'kettle', not 'warmer'"),
    ({"case": case(complaints=["cald"])}, "/case/complaints/0: unknown complaint 'cald'; did you mean 'cold'"),
    ({"case": case(complains=["cold"])}, "/case/complains: unknown field; did you mean 'complaints'"),
    ({"case": case(readings=[{"test": "door", "seen": "open"}])}, "/case/readings/0/seen: unknown outcome 'open'"),
    ({"case": case(options={"style": "tiny"})}, "/case/options/style: unknown option value 'tiny'"),
    ({"proven": ["heater_opne"]}, "/proven/0: unknown fault 'heater_opne'; did you mean 'heater_open'"),
    ({"proven": ["unknown", "heater_open"]}, "/proven: 'unknown' stands alone"),
    ({"proven": ["heater_open", "heater_open"]}, "/proven/1: 'heater_open' is listed twice"),
    ({"proven": ["heater_open", "heater_weak"]}, "/proven: these two cannot be there at the same time"),
    ({"proven": ["fuse_open", "no_supply"]}, "/proven: these two cannot be there at the same time"),
    ({"proven": ["heater_open", "door_loose", "link_open"]}, "/proven: may have at most 2 items"),
    ({"case": case(options={"lamp": "no"}), "proven": ["lamp_dirty"]},
     "/proven/0: no appliance with these options can have 'lamp_dirty'"),
    ({"technician": "A"}, "/technician: unknown field"),
])  # fmt: skip
def test_a_bad_line_is_told_with_its_place_and_reason(line, changes, wanted):
    assert wanted in reason(line(**changes))


@pytest.mark.parametrize(("content", "wanted"), [
    (b'{"case": ', "is not JSON"), (b"[]", "must be an object"), (b"\xff\xfe", "is not JSON"), (b"NaN", "is not JSON"),
    (b"[" * 2000, "nests deeper"), (b'"' + b"a" * module.LONGEST_LINE + b'"', "is longer than"),
])  # fmt: skip
def test_a_line_that_is_no_job_is_told(content, wanted):
    assert wanted in reason(content)


def test_good_lines_beside_bad_ones_are_read_and_empty_ones_do_not_count(line):
    found = read_jobs([b"\n", line(), b"  \r\n", b"{}", line(proven=["kettle"]), line(closed="2026-01-01")], warmer())
    assert [bad.line for bad in found.bad] == [4, 5]
    assert [job.day.isoformat() for job in found.jobs] == ["2026-01-01", "2026-08-30"]


def test_the_same_job_written_twice_counts_once(line):
    named = line(case=case(reference="job 7"))
    found = read_jobs([named, line(), line(), named], warmer())
    assert len(found.jobs) == 3
    assert found.bad[0].line == 4
    assert "is the same as line 1" in found.bad[0].reason


def test_the_order_of_the_lines_does_not_matter(line):
    lines = [line(closed=f"2026-0{1 + i % 3}-01", case=case(reference=f"job {i}")) for i in range(30)]
    shuffled = random.Random(4).sample(lines, len(lines))
    assert read_jobs(shuffled, warmer()) == read_jobs(lines, warmer())


def test_more_jobs_than_are_taken_are_refused(line, monkeypatch):
    monkeypatch.setattr(module, "MOST_JOBS", 3)
    with pytest.raises(TooManyJobsError, match="line 4: more than 3 jobs"):
        read_jobs([line()] * 4, warmer())


def test_the_day_is_published_as_a_date():
    described = ClosedJobSchema().fields["day"].metadata
    assert (described["format"], json.dumps(described["examples"])) == ("date", '["2026-08-30"]')
