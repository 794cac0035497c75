"""Assertions pass where they should, and explain themselves where they do not."""

from __future__ import annotations

import pytest

import ice_maker
from probewright.testing import (
    assert_hazard,
    assert_leads,
    assert_next,
    assert_ruled_out,
    assert_verdict,
    client,
    explain,
)  # fmt: skip


@pytest.fixture(scope="module")
def answer():
    """An open heater, and a motor that was measured under power."""
    return client(ice_maker).diagnose({
        "complaints": ["ice_stays"],
        "readings": [
            {"test": "heater_resistance", "over_range": True},
            {"test": "cutout_continuity", "seen": "closed"},
            {"test": "motor_resistance", "value": 5, "unit": "ohm", "state": "live"},
        ],
    })


@pytest.fixture(scope="module")
def hazard():
    return client(ice_maker).diagnose({"complaints": ["felt_a_shock"]})


def told(check, *arguments, **named):
    with pytest.raises(AssertionError) as caught:
        check(*arguments, **named)
    return str(caught.value)


def test_what_is_so_passes(answer, hazard):
    assert_leads(answer, "heater_open")
    assert_leads(answer, "heater_open", at_least=0.9)
    assert_ruled_out(answer, "harness_open")
    assert_verdict(answer, "heater_resistance", "outside")
    assert_verdict(answer, "motor_resistance", "rejected")
    assert_next(answer, answer["next"]["kind"], answer["next"]["id"])
    assert_hazard(hazard, "shock")
    assert_next(hazard, "stop", "shock")


def test_another_fault_leads(answer):
    said = told(assert_leads, answer, "motor_open").splitlines()
    assert said[0] == "expected motor_open to lead, but heater_open does"
    assert "heater_open  (heater_resistance +" in said[1]
    assert any("motor_open" in line for line in said[1:])
    assert any(line.startswith("  nothing wrong ") for line in said)
    assert any(line.startswith("  motor_resistance rejected: ") for line in said)
    assert any(line.startswith(f"  next: {answer['next']['kind']} {answer['next']['id']}: ") for line in said)
    assert len(said) < 15


def test_it_leads_but_not_by_enough(answer):
    assert told(assert_leads, answer, "heater_open", at_least=0.99999).startswith("heater_open leads with ")


def test_a_fault_is_not_ruled_out(answer):
    said = told(assert_ruled_out, answer, "heater_open")
    assert said.startswith("expected heater_open below 1.0 %, but it has 9")


def test_a_fault_that_is_not_in_the_answer_is_ruled_out(answer):
    assert "motor_burst" not in {fault["fault"] for fault in answer["faults"]}
    assert_ruled_out(answer, "motor_burst")
    said = told(assert_leads, answer, "motor_burst")
    assert "motor_burst is all but ruled out, or not a fault of this family" in said


def test_another_step_is_next(answer, hazard):
    step = answer["next"]
    said = told(assert_next, answer, "repair", "lower_arm")
    assert said.startswith(f"expected repair lower_arm next, but it is {step['kind']} {step['id']}\n")
    assert told(assert_hazard, answer, "shock").startswith("expected hazard shock to stop everything, but ")
    assert "but stop shock is next" in told(assert_hazard, hazard, "wet_wiring")


def test_no_step_is_advised():
    answer = client(ice_maker).diagnose({"complaints": ["no_ice"], "effort": "none"})
    assert "but no step is advised (was the effort none?)" in told(assert_next, answer, "test", "fill_tube")
    assert "but no step is advised" in told(assert_hazard, answer, "shock")


def test_another_verdict_or_none(answer):
    said = told(assert_verdict, answer, "motor_resistance", "within")
    assert said.startswith("expected motor_resistance to be within, but it is rejected: ")
    assert "under power" in said
    assert "the case has no reading of it" in told(assert_verdict, answer, "fill_tube", "within")


def test_the_last_reading_of_a_test_counts():
    readings = [{"test": "fill_tube", "seen": "ice"}, {"test": "fill_tube", "seen": "clear"}]
    answer = client(ice_maker).diagnose({"complaints": ["mould_dry"], "readings": readings})
    assert_verdict(answer, "fill_tube", "within")


def test_clashes_are_explained():
    readings = [{"test": "heater_resistance", "value": 78, "unit": "ohm"}, {"test": "mould_warmth", "seen": "cold"},
                {"test": "heater_feed_voltage", "value": 120, "unit": "V"},
                {"test": "cutout_continuity", "seen": "closed"}]  # fmt: skip
    answer = client(ice_maker).diagnose({"complaints": ["ice_stays"], "readings": readings})
    assert answer["clashes"]
    assert f"  clash: {answer['clashes'][0]['message']}" in explain(answer).splitlines()
