"""What is done first when nothing but the complaint is known: a look, or a reading that parts the likely causes.

No part is fitted on a complaint alone, and nobody is sent away before anything was looked at.  The builds are the
common one and the unknown one; where the trade would begin in more than one way, each of them will do.
"""

from __future__ import annotations

import pytest

FIRST = {
    "display_dead": {"outlet_voltage", "outlet_neutral_to_ground", "outlet_hot_to_ground"},
    "bake_does_not_light": {
        "broil_burner_lighting", "bake_igniter_glow", "control_lock", "display_error", "outlet_voltage",
    },
    "broil_does_not_light": {
        "bake_burner_lighting", "broil_igniter_glow", "control_lock", "display_error", "outlet_voltage",
    },
    "oven_slow_to_light": {"bake_burner_lighting", "bake_igniter_glow", "bake_igniter_current", "outlet_voltage"},
    "oven_temperature_off": {
        "bake_burner_lighting", "bake_igniter_glow", "oven_sensor_resistance", "oven_sensor_resistance_at_board",
        "oven_temperature", "air_passages", "oven_door_seal",
    },
    "one_surface_burner_does_not_light": {"spark_at_electrodes", "burner_ports", "burner_cap_seat"},
    "no_surface_burner_lights": {"spark_at_electrodes", "bake_burner_lighting", "outlet_voltage", "gas_supply_valve"},
    "no_spark_at_any_burner": {
        "spark_module_supply_voltage", "ignition_switch_at_light", "outlet_voltage", "outlet_neutral_to_ground",
    },
    "clicks_without_stopping": {"ignition_switch_at_off"},
    "sensor_error_shown": {
        "oven_sensor_resistance", "oven_sensor_resistance_at_board", "display_error", "bake_burner_lighting",
    },
    "soot_or_yellow_flame": {
        "burner_ports", "burner_cap_seat", "air_passages", "orifice_markings", "carbon_monoxide_air_free",
    },
    "gas_smell": {"gas_escape"},
}  # fmt: skip


def test_every_complaint_has_a_first_step(bench):
    assert set(FIRST) == {complaint.id for complaint in bench.family.complaints}


@pytest.mark.parametrize("options", [None, {}], ids=["common_build", "unknown_build"])
@pytest.mark.parametrize("complaint", FIRST)
def test_first_step_on_a_bare_complaint(bench, complaint, options):
    answer = bench.diagnose([complaint], options=options)
    assert answer.next.id in FIRST[complaint]
    assert answer.next.kind == ("stop" if complaint == "gas_smell" else "test")


@pytest.mark.parametrize("burner", ["bake", "broil"])
def test_one_dead_burner_beside_a_sound_one_begins_at_the_igniter(bench, burner):
    other = {"bake": "broil", "broil": "bake"}[burner]
    answer = bench.diagnose([f"{burner}_does_not_light"], working=[f"{other}_lights", "display_on"])
    assert answer.first == f"{burner}_igniter_weak"
    looks = {f"{burner}_igniter_{what}" for what in ("glow", "mounting", "current", "resistance")}
    assert answer.next.kind == "test"
    assert answer.next.id in looks | {f"{burner}_burner_lighting", "outlet_voltage"}
    assert looks & set(answer.proposed)


def test_an_oven_that_lights_but_is_off_begins_at_sensor_door_or_air(bench):
    answer = bench.diagnose(["oven_temperature_off"], working=["bake_lights", "display_on"])
    assert answer.next.id in FIRST["oven_temperature_off"] - {"bake_burner_lighting"}


@pytest.mark.parametrize(
    ("complaint", "changes", "first"),
    [
        ("bake_does_not_light", {"oven_ignition": "spark", "igniter_style": None},
         {"control_lock", "display_error", "outlet_voltage", "broil_burner_lighting", "bake_spark"}),
        ("bake_does_not_light", {"oven_ignition": "standing_pilot", "igniter_style": None},
         {"oven_pilot_flame", "gas_odour"}),
        ("no_surface_burner_lights", {"cooktop_ignition": "standing_pilot"}, {"gas_odour", "cooktop_pilot_flame"}),
        ("clicks_without_stopping", {"cooktop_ignition": "spark_flame_sensing"},
         {"outlet_hot_to_ground", "outlet_neutral_to_ground"}),
        ("oven_temperature_off", {"oven_control": "mechanical", "sensor_curve": None},
         {"bake_burner_lighting", "bake_igniter_glow", "oven_temperature", "air_passages", "oven_door_seal"}),
    ],
)  # fmt: skip
def test_first_step_in_other_builds(bench, complaint, changes, first):
    answer = bench.diagnose([complaint], options=bench.build(**changes))
    assert answer.next.id in first
