"""It hums, or it is silent: what holds the motor, and what keeps voltage from it."""

from __future__ import annotations

HUMS = ["does_not_start", "hums_and_stands"]
SILENT = ["does_not_start"]


def test_a_hum_with_a_drum_that_turns_by_hand_is_the_start_winding_or_its_contact(bench):
    by_hand = bench.see("drum_by_hand", "usual_drag")
    answer = bench.diagnose(HUMS, by_hand)
    assert answer.chance("motor_start_contact_open") + answer.chance("motor_start_open") > 0.5
    assert answer.chance("belt_broken") < 0.02
    assert "replace_belt" not in answer.proposed
    current = bench.diagnose(HUMS, by_hand, bench.read("motor_current", 20.0))
    assert current.chance("motor_start_contact_open") + current.chance("motor_start_open") > 0.8


def test_a_hum_with_a_stuck_drum_is_no_bad_motor_before_the_shaft_was_turned(bench):
    stuck = (bench.read("motor_current", 38.0), bench.see("drum_by_hand", "stuck"))
    bare = bench.diagnose(HUMS, *stuck)
    assert bare.next.kind == "test"
    assert bare.next.id in ("motor_shaft_by_hand", "blower_wheel", "rollers_and_idler")
    free = bench.diagnose(HUMS, *stuck, bench.see("motor_shaft_by_hand", "free"))
    assert free.first == "drum_jammed"
    assert "replace_motor" not in free.proposed
    stiff = bench.diagnose(
        HUMS, *stuck, bench.see("motor_shaft_by_hand", "stiff"), bench.see("blower_wheel", "sound"),
    )  # fmt: skip
    assert stiff.first == "motor_bearings_seized"
    assert stiff.next.id == "replace_motor"


def test_a_jammed_blower_holds_a_sound_motor(bench):
    answer = bench.diagnose(HUMS, bench.see("motor_shaft_by_hand", "stiff"), bench.see("blower_wheel", "jammed"))
    assert answer.first == "blower_jammed"
    assert answer.remedy == "free_blower"
    assert answer.next.id != "replace_motor"


def test_a_motor_that_hums_on_a_low_supply_is_not_condemned(bench):
    low = bench.diagnose(HUMS, bench.read("legs_voltage", 172.0))
    assert low.first == "legs_voltage_low"
    assert "replace_motor" not in low.proposed
    full = bench.diagnose(HUMS, bench.read("legs_voltage", 240.0))
    assert full.chance("legs_voltage_low") < 0.02


def test_the_current_of_a_motor_read_too_soon_is_marked(bench):
    answer = bench.diagnose(HUMS, bench.read("motor_current", 38.0))
    assert "read_while_it_stood" in answer.codes("motor_current")
    runs = bench.diagnose(["noisy"], bench.read("motor_current", 5.2))
    assert runs.reading("motor_current").verdict == "within"
    assert runs.codes("motor_current") == set()


def test_silence_with_voltage_at_the_control_is_the_control_or_the_start_switch(bench):
    silent = bench.see("motor_response", "silent")
    reaches = bench.diagnose(SILENT, silent, bench.read("control_motor_feed_voltage", 120.0))
    assert reaches.chance("start_switch_open") + reaches.chance("timer_motor_contact_open") > 0.7
    for cleared in ("door_switch_open", "thermal_fuse_open", "thermal_fuse_blown_by_vent", "belt_switch_open"):
        assert reaches.chance(cleared) < 0.02, cleared
    assert not reaches.fits_a_part
    switch = bench.diagnose(
        SILENT, silent, bench.read("control_motor_output_voltage", 120.0),
        bench.see("start_switch_continuity", "open"),
    )  # fmt: skip
    assert switch.first == "start_switch_open"
    assert switch.next.id == "replace_start_switch"


def test_silence_without_voltage_at_the_control_is_door_belt_switch_or_fuse(bench):
    silent = (bench.see("motor_response", "silent"), bench.read("control_motor_feed_voltage", 0.0),
              bench.see("drum_by_hand", "usual_drag"), bench.read("leg_one_to_neutral", 120.0))  # fmt: skip
    answer = bench.diagnose(SILENT, *silent)
    kept = ("door_switch_open", "belt_switch_open", "thermal_fuse_open", "thermal_fuse_blown_by_vent", "belt_broken")
    assert sum(answer.chance(fault) for fault in kept) > 0.9
    assert answer.chance("start_switch_open") < 0.02
    assert answer.chance("timer_motor_contact_open") < 0.02
    door = bench.diagnose(
        SILENT, *silent, bench.see("thermal_fuse_continuity", "closed"), bench.see("door_switch_continuity", "open"),
    )  # fmt: skip
    assert door.first == "door_switch_open"
    assert door.next.id == "replace_door_switch"


def test_a_thermal_fuse_that_blew_sends_to_the_vent_too(bench):
    blown = bench.diagnose(SILENT, bench.see("thermal_fuse_continuity", "open"))
    assert blown.first == "thermal_fuse_blown_by_vent"
    assert blown.next.id in ("vent_duct", "reported_vent", "lint_screen_water")
    lint = bench.diagnose(SILENT, bench.see("thermal_fuse_continuity", "open"), bench.see("vent_duct", "lint"))
    assert lint.next.id == "clear_vent_and_replace_thermal_fuse"


def test_a_drum_that_turns_too_easily_has_no_belt_and_a_sound_motor(bench):
    answer = bench.diagnose(SILENT, bench.see("drum_by_hand", "too_easy"))
    assert answer.chance("belt_broken") > 0.9
    assert answer.remedy in ("replace_belt", "replace_belt_and_free_switch")
    assert "replace_motor" not in answer.proposed
