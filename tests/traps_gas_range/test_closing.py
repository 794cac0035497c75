"""What proves a repair is not asked for before there is one, and work in vain leads on."""

from __future__ import annotations

import pytest

from probewright_schemas.records import RepairDone

COMPLAINTS = [
    "display_dead", "bake_does_not_light", "oven_temperature_off", "no_surface_burner_lights",
    "clicks_without_stopping", "sensor_error_shown", "soot_or_yellow_flame",
]  # fmt: skip


@pytest.mark.parametrize("complaint", COMPLAINTS)
def test_a_test_that_only_proves_work_is_never_proposed_to_find_a_fault(bench, complaint):
    closing = {test.id for test in bench.family.tests if test.closing}
    assert not closing & set(bench.diagnose([complaint]).proposed)


def test_the_same_current_with_a_new_igniter_no_longer_speaks_of_the_igniter(bench):
    repairs = (RepairDone("replace_bake_igniter", complaint_remains=True),)
    weak = bench.read("bake_igniter_current", 2.6)
    since = bench.read("bake_igniter_current", 2.6, after_repair="replace_bake_igniter")
    before = bench.diagnose(["bake_does_not_light"], weak)
    after = bench.diagnose(["bake_does_not_light"], weak, since, repairs_done=repairs)
    assert before.first == "bake_igniter_weak"
    assert after.first == "bake_harness_corroded"
    assert after.remedy != "replace_bake_igniter"


def test_a_second_fault_shows_once_the_first_is_mended(bench):
    """Weak igniter replaced, the current is right, and it still does not light: the gas side is left."""
    repairs = (RepairDone("replace_bake_igniter", complaint_remains=True),)
    answer = bench.diagnose(
        ["bake_does_not_light"], bench.read("bake_igniter_current", 2.6),
        bench.read("bake_igniter_current", 3.4, after_repair="replace_bake_igniter"),
        bench.see("bake_igniter_mounting", "firm", after_repair="replace_bake_igniter"), repairs_done=repairs,
        working=["surface_burners_light"],
    )  # fmt: skip
    assert answer.chance("bake_igniter_weak") < 0.05
    gas_side = ("bake_valve_stuck", "oven_gas_lever_closed", "regulator_pressure_wrong", "gas_shut_off")
    assert sum(answer.chance(fault) for fault in gas_side) > 0.5
    assert answer.diagnosis.clashes == ()


def test_what_a_repair_did_is_told_as_evidence(bench):
    repairs = (RepairDone("replace_bake_igniter", complaint_remains=False),)
    answer = bench.diagnose(["bake_does_not_light"], bench.read("bake_igniter_current", 2.6), repairs_done=repairs)
    assert answer.said("bake_igniter_weak", "repair:replace_bake_igniter") < -15
