"""``probewright visit-plan``, as a dispatcher sees it."""

from __future__ import annotations

import copy
import json

import pytest

from probewright import render
from probewright.cli.common import Exit

CALL = {"family": "gas_range", "reference": "job-1043", "complaints": ["sensor_error_shown"], "budget": 100}

PLAN = {
    "reference": "job-7", "pack": {"family": "gas_range", "version": "1.0.0", "digest": "sha256:0123456789abcdef"},
    "questions": [
        {"id": "smell", "text": "Does it smell?", "why": "Gas comes first.", "answers": [
            {"id": "yes", "text": "Yes.", "adds": {"complaints": ["gas_smell"]}, "probability": 0.1,
             "stop": {"title": "Gas may escape", "steps": ["Touch no switch.", "Leave."]}},
            {"id": "does_not_know", "text": "I don't know.", "adds": {}}]},
        {"id": "lock", "text": "Is there a lock sign?", "why": "A lock needs no repair.", "value": 9.6, "answers": [
            {"id": "on", "text": "Yes.", "probability": 0.4,
             "adds": {"options": {"oven_control": "electronic"}, "working": ["display_on"],
                      "readings": [{"test": "control_lock", "seen": "on", "state": "live"}]}}]}],
    "parts": [
        {"part": "igniter", "title": "Igniter", "price": 48.0, "carry": True, "probability_used": 0.4,
         "ends_with": 0.8, "ends_without": 0.45},
        {"part": "board", "title": "Board", "price": 230.0, "carry": False, "probability_used": 0.05,
         "ends_with": 0.84, "ends_without": 0.8}],
    "tools": [{"tool": "clamp_meter", "probability": 0.7}], "skills": [{"skill": "gas_licence", "probability": 0.1}],
    "minutes": {"expected": 95.2, "low": 45, "high": 170, "closing_checks": 30},
    "first_visit_probability": 0.8, "expected_cost": 142.4,
    "order": [{"state": "live_gas_off", "zone": "oven_cavity", "steps": ["Shut the gas."], "cautions": ["Mains."],
               "work": [{"kind": "test", "id": "glow", "title": "Glow", "minutes": 17.6, "probability": 1.0}]}],
    "likeliest": [{"fault": "weak", "title": "Igniter weak", "probability": 0.4}],
    "planner": {"method": "rollout", "fell_back": False}, "cautions": ["Mind codes."], "assumptions": ["supply 120 V"],
    "notice": "Local codes come first.",
}  # fmt: skip


def test_a_plan_reads_as_this():
    assert render.render_visit(PLAN) == """\
Visit plan for job-7, by gas range 1.0.0 (sha256:0123456789ab)

  - 95 minutes on the spot are to be expected, 30 of them for closing checks; eight visits in ten
    take 45 to 170
  - 80.0 % chance that this visit ends the job
  - expected cost to a proven repair 142

ASK THE CUSTOMER
   1. Does it smell? (always, for safety) [smell]
      Gas comes first.
      - Yes. -> complaint gas smell STOP: Gas may escape; Touch no switch.
      - I don't know.
   2. Is there a lock sign? (saves 10 on average) [lock]
      A lock needs no repair.
      - Yes. -> oven control: electronic, works: display on, control lock: on

CARRY
  - Igniter [igniter], 48.00: used with a chance of 40.0 %; the visit ends the job with 80.0 % if it
    is there, with 45.0 % if not

LEAVE AT THE SHOP
  - Board [board], 230.00: used with a chance of 5.0 %; the visit ends the job with 84.0 % if it is
    there, with 80.0 % if not

BRING
  - clamp meter: needed with a chance of 70.0 %

WHOEVER GOES
  - gas licence: needed with a chance of 10.0 %

ORDER OF THE WORK
  live gas off, oven cavity
      - >99.9 % test: Glow [glow], about 18 min

LIKELIEST
  - 40.0 % Igniter weak

ALWAYS MIND
  ! Mind codes.

ASSUMED
  - supply 120 V

Local codes come first."""


def test_a_stop_stands_alone():
    stop = {"kind": "stop", "id": "gas_escape", "title": "Gas may escape", "why": "It smells.",
            "steps": ["Touch no switch.", "From outside, call."], "cautions": ["No flame."]}  # fmt: skip
    told = render.render_visit(copy.deepcopy(PLAN) | {"stop": stop})
    first = told.splitlines()[2:7]
    assert first == [
        "NOBODY DRIVES YET: TELL THE CUSTOMER", "  STOP: Gas may escape [gas_escape]", "  It smells.",
        "   1. Touch no switch.", "   2. From outside, call.",
    ]  # fmt: skip
    assert not any(title in told for title in ("ASK THE CUSTOMER", "CARRY", "BRING", "ORDER OF THE WORK"))


def test_no_part_is_said():
    assert "CARRY\n  - no part" in render.render_visit(copy.deepcopy(PLAN) | {"parts": []})


def test_nothing_reaches_a_terminal_as_a_control_character():
    evil = copy.deepcopy(PLAN) | {"reference": "\x1b[2J"}
    assert "\x1b" not in render.render_visit(evil)


@pytest.fixture
def planned(run):
    result = run("visit-plan", CALL)
    assert result.code == Exit.OK
    return result.out


def test_a_visit_is_planned_for_a_person(planned):
    assert planned.startswith("Visit plan for job-1043, by gas range")
    assert "1. Does it smell of gas now" in planned
    assert "Oven temperature sensor [oven_sensor]" in planned.partition("CARRY")[2].partition("LEAVE AT THE SHOP")[0]
    assert "Resistance of the oven sensor [oven_sensor_resistance]" in planned.partition("ORDER OF THE WORK")[2]


def test_a_visit_is_planned_for_a_script(run):
    result = run("visit-plan", "--json", "-", stdin=json.dumps(CALL).encode())
    assert result.code == Exit.OK
    document = json.loads(result.out)
    assert document["order"][0]["work"][0]["probability"] == 1.0
    assert sum(part["price"] for part in document["parts"] if part["carry"]) <= CALL["budget"]


def test_a_hazard_is_told_by_the_exit_code(run):
    result = run("visit-plan", CALL | {"complaints": ["gas_smell"]})
    assert result.code == Exit.ATTENTION
    assert "TELL THE CUSTOMER" in result.out


def test_what_cannot_be_planned_gets_one_line(run, one_line):
    result = run("visit-plan", CALL | {"repairs_done": []})
    assert result.code == Exit.INVALID_CASE
    assert one_line(result).endswith("/repairs_done: unknown field")
    assert run("visit-plan", b"{").code == Exit.USAGE
