"""What ends the work under power, and what must be shown before it goes on."""

from __future__ import annotations

import pytest

from probewright_schemas.records import RepairDone

BAKE = ["bake_does_not_heat"]


@pytest.mark.parametrize(("complaint", "lock"), [("sparks_or_smoke", "sparks_or_smoke"), ("felt_a_shock", "shock")])
def test_sparks_smoke_and_shocks_stop_everything_at_the_breaker(bench, complaint, lock):
    answer = bench.diagnose([complaint])
    assert (answer.next.kind, answer.next.id) == ("stop", lock)
    assert answer.diagnosis.alternatives == ()
    assert any("both poles" in step for step in answer.next.steps)


def test_sound_wiring_and_a_reading_let_the_work_go_on_with_everything_dead(bench):
    looks = (bench.see("wiring_condition", "sound"), bench.see("terminal_block_condition", "sound"))
    assert bench.diagnose(["sparks_or_smoke"], *looks).next.id == "sparks_or_smoke"
    answer = bench.diagnose(["sparks_or_smoke"], *looks, bench.read("oven_insulation_at_plug", 40.0))
    assert answer.next.kind in ("test", "repair")
    states = {state.id: state for state in bench.family.states}
    assert not states[answer.next.state].powered


def test_a_shock_is_cleared_by_insulation_and_ground_alone(bench):
    leaking = bench.diagnose(["felt_a_shock"], bench.read("oven_insulation_at_plug", 20.0))
    assert (leaking.next.kind, leaking.next.id) == ("stop", "shock")
    half = bench.diagnose(["felt_a_shock"], bench.read("chassis_ground_resistance", 0.1))
    assert half.chance("bake_element_touches_case") > 0.2


@pytest.mark.parametrize("seen", ["scorched", "wet"])
def test_scorched_and_wet_wiring_is_handed_over(bench, seen):
    answer = bench.diagnose(BAKE, bench.see("wiring_condition", seen))
    assert (answer.next.kind, answer.next.id) == ("refer", "unsafe_wiring")


@pytest.mark.parametrize("test", ["leg_one_to_neutral", "leg_two_to_neutral", "leg_two_to_chassis_under_load"])
@pytest.mark.parametrize("volts", [136.0, 170.0, 239.0])
def test_a_leg_far_over_its_voltage_ends_the_work(bench, test, volts):
    answer = bench.diagnose(BAKE, bench.read(test, volts))
    assert (answer.next.kind, answer.next.id) == ("refer", "legs_overvoltage")
    assert answer.diagnosis.alternatives == ()


@pytest.mark.parametrize("volts", [114.0, 120.0, 126.0])
def test_a_leg_in_its_range_ends_nothing(bench, volts):
    assert bench.diagnose(BAKE, bench.read("leg_one_to_neutral", volts)).next.kind != "refer"


REPAIRED = {"repairs_done": (RepairDone("replace_bake_element", complaint_remains=False),)}
SINCE = {"after_repair": "replace_bake_element"}


def test_a_new_element_is_proven_insulated_glowing_and_cold_at_off(bench):
    given = [bench.over("bake_element_resistance")]
    asked = []
    while (answer := bench.diagnose(BAKE, *given, **REPAIRED)).next.kind != "done":
        step = answer.next
        assert step.kind == "test"
        asked.append(step.id)
        assert len(asked) < 10
        test = next(t for t in bench.family.tests if t.id == step.id)
        given.append(
            bench.see(step.id, test.outcomes[0], **SINCE) if test.outcomes else bench.read(step.id, 5e7, **SINCE)
        )
    assert asked == ["bake_element_to_chassis", "bake_glow", "cold_at_off", "covers_and_anti_tip"]
    assert {check.status for check in answer.diagnosis.closing_checks} == {"passed"}


def test_a_new_element_that_leads_to_the_chassis_does_not_close_the_job(bench):
    answer = bench.diagnose(
        BAKE, bench.over("bake_element_resistance"), bench.read("bake_element_to_chassis", 40.0, **SINCE), **REPAIRED
    )
    assert answer.next.kind != "done"
    assert "failed" in {check.status for check in answer.diagnosis.closing_checks}
    # One reading may be misread: it is taken again before a second element is fitted.
    assert answer.next.id == "bake_element_to_chassis"


def test_warm_at_off_after_a_new_board_is_the_element_or_the_relay(bench):
    done = {"repairs_done": (RepairDone("replace_control_board", complaint_remains=False),)}
    answer = bench.diagnose(
        ["oven_heats_when_off"], bench.see("cold_at_off", "warm", after_repair="replace_control_board"), **done
    )
    assert answer.next.kind != "done"
    touches = ("bake_element_touches_case", "broil_element_touches_case")
    assert sum(answer.chance(fault) for fault in touches) > 0.5
