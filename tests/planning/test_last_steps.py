"""How a job ends: closing checks, done, and the way out."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import pytest

from probewright.packs.model import Family
from support.benches import done_case, proven, two_faults


def mended(make: SimpleNamespace) -> Family:
    """A family with one repair that has to show that it heats."""
    return make.family(
        [make.test("heat_seen", closing=True)], [make.repair("mend", {"a": 0.95}, closing_checks=("heats", "leak"))]
    )


def test_closing_checks_come_before_done(make: SimpleNamespace) -> None:
    answer = make.plan(mended(make), make.belief({"a": 0.05}, none=0.95), done_case(remains=False))
    assert (answer.next.kind, answer.next.id, answer.alternatives) == ("test", "heat_seen", ())
    assert [(c.id, c.test, c.status) for c in answer.closing_checks] == [
        ("heats", "heat_seen", "open"),
        ("leak", None, None),
    ]


def test_done_when_the_closing_checks_have_passed(make: SimpleNamespace) -> None:
    answer = make.plan(mended(make), make.belief({"a": 0.05}, none=0.95), *proven("good"))
    assert (answer.next.kind, answer.alternatives) == ("done", ())
    assert [(c.id, c.status) for c in answer.closing_checks] == [("heats", "passed"), ("leak", None)]
    assert answer.next.steps == ("No leak with solution.",)
    assert "mend" in answer.next.why


def test_a_failed_check_is_read_again_and_then_points_back_to_the_work(make: SimpleNamespace) -> None:
    case, checked = proven("bad")
    once = make.plan(mended(make), make.belief({"a": 0.05}, none=0.95), case, checked)
    assert (once.next.kind, once.next.id) == ("test", "heat_seen")
    twice = replace(case, readings=2 * case.readings)
    answer = make.plan(mended(make), make.belief({"a": 0.05}, none=0.95), twice, 2 * checked)
    assert (answer.next.kind, answer.next.id) == ("test", "heat_seen")
    assert any(step.startswith("Look over what was done") for step in answer.next.steps)


@pytest.mark.parametrize(("none", "remains"), [(0.95, True), (0.4, False)])
def test_not_done_while_the_complaint_remains_or_a_fault_is_likely(
    make: SimpleNamespace, none: float, remains: bool
) -> None:
    answer = make.plan(mended(make), make.belief({"a": 1 - none}, none=none), done_case(remains))
    assert answer.next.kind == "refer"
    assert [c.id for c in answer.closing_checks] == ["heats", "leak"]


def test_closing_checks_of_the_next_repair_are_announced(make: SimpleNamespace) -> None:
    family = make.family(repairs=[make.repair("mend", {"a": 0.95}, closing_checks=("leak",))])
    assert [c.id for c in make.plan(family, make.belief({"a": 1.0})).closing_checks] == ["leak"]


def test_the_way_out_says_whether_it_is_advised_or_only_possible(make: SimpleNamespace) -> None:
    family, belief = two_faults(make)
    possible = next(step for step in make.plan(family, belief).alternatives if step.kind == "refer")
    assert possible.why.startswith("Instead of going on")
    assert make.plan(make.family(), belief).next.why.startswith("The likeliest cause, a (60 %), is not sure enough")


def test_no_fault_found_is_said(make: SimpleNamespace) -> None:
    answer = make.plan(make.family(repairs=[make.repair("mend", {"a": 1.0})]), make.belief({"a": 0.1}, none=0.9))
    assert (answer.next.kind, answer.next.id) == ("refer", "no_fault_found")
    assert "90 %" in answer.next.why
