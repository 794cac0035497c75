"""Traps 9, 10 and 13: floating wires, boards that are blamed too soon, and a locked control."""

from __future__ import annotations

import pytest

from probewright_schemas.records import Meter, RepairDone

BAKE = ["bake_does_not_light"]
DEAD = ["display_dead"]
LOW = {"low": Meter("multimeter", input="low_impedance")}
BOARD = ("board_dead", "bake_relay_open", "broil_relay_open", "board_sensor_input_failed")


@pytest.mark.parametrize("volts", [20.0, 45.0, 80.0])
def test_trap_09_a_ghost_voltage_proves_neither_live_nor_dead(bench, volts):
    answer = bench.diagnose(BAKE, bench.read("bake_circuit_voltage", volts))
    reading = answer.reading("bake_circuit_voltage")
    assert reading.verdict == "inconclusive"
    (found,) = (f for f in reading.findings if f.code == "high_impedance_source")
    assert found.remedy is not None
    assert "low-impedance" in found.remedy
    assert "live until then" in found.remedy
    nothing = bench.diagnose(BAKE)
    for fault in ("bake_relay_open", "bake_harness_open", "bake_igniter_open", "bake_valve_coil_open", "no_supply"):
        assert answer.chance(fault) == pytest.approx(nothing.chance(fault), rel=0.05)


def test_trap_09_the_measurement_is_made_again_before_anything_else(bench):
    answer = bench.diagnose(BAKE, bench.read("bake_circuit_voltage", 45.0))
    assert answer.next.id == "bake_circuit_voltage"
    assert "low-impedance" in answer.next.why


def test_trap_09_a_low_impedance_input_settles_it(bench):
    dead = bench.diagnose(BAKE, bench.read("bake_circuit_voltage", 0.3, meter="low"), meters=LOW)
    live = bench.diagnose(BAKE, bench.read("bake_circuit_voltage", 119.0, meter="low"), meters=LOW)
    assert dead.reading("bake_circuit_voltage").verdict == "outside"
    assert live.reading("bake_circuit_voltage").verdict == "within"
    for answer in (dead, live):
        assert "high_impedance_source" not in answer.codes("bake_circuit_voltage")
    before = ("bake_relay_open", "bake_harness_open", "control_locked", "oven_sensor_open", "no_supply", "board_dead")
    assert sum(dead.chance(fault) for fault in before) > 0.6
    assert sum(live.chance(fault) for fault in before) < 0.05


def test_trap_09_a_ghost_counts_once_the_wire_was_found_dead(bench):
    """A dead wire floats only where its load is open too: through a sound igniter and valve it would read nothing."""
    dead = bench.read("bake_circuit_voltage", 0.3, meter="low")
    alone = bench.diagnose(BAKE, dead, meters=LOW)
    both = bench.diagnose(BAKE, bench.read("bake_circuit_voltage", 45.0), dead, meters=LOW)
    load = ("bake_igniter_open", "bake_valve_coil_open")
    assert sum(alone.chance(fault) for fault in load) < 0.1
    assert sum(both.chance(fault) for fault in load) > 0.7
    assert both.reading("bake_circuit_voltage", 1).verdict == "outside"


def test_trap_09_a_missing_ground_floats_and_a_low_impedance_input_shows_it(bench):
    sensing = bench.build(cooktop_ignition="spark_flame_sensing")
    clicks = ["clicks_without_stopping"]
    ghost = bench.diagnose(clicks, bench.read("outlet_hot_to_ground", 55.0), options=sensing)
    assert ghost.reading("outlet_hot_to_ground").verdict == "inconclusive"
    assert ghost.next.id == "outlet_hot_to_ground"  # again, with the other input
    missing = bench.diagnose(
        clicks, bench.read("outlet_voltage", 120.0), bench.read("outlet_hot_to_ground", 55.0),
        bench.read("outlet_hot_to_ground", 0.2, meter="low"), meters=LOW, options=sensing,
    )  # fmt: skip
    assert missing.chance("ground_missing") > 0.9
    assert missing.next.id == "correct_outlet_wiring"


def test_trap_10_no_board_on_a_dead_display_alone(bench):
    answer = bench.diagnose(DEAD)
    assert answer.chance("no_supply") > answer.chance("board_dead")
    assert answer.next.id.startswith("outlet_")


def test_trap_10_a_dead_outlet_clears_the_board(bench):
    answer = bench.diagnose(DEAD, bench.read("outlet_voltage", 0.0))
    assert answer.chance("board_dead") < 0.02
    assert answer.first == "no_supply"
    assert not answer.fits_a_part


def test_trap_10_no_board_while_its_own_supply_is_unread(bench):
    answer = bench.diagnose(DEAD, bench.read("outlet_voltage", 120.0))
    assert answer.first == "board_dead"
    assert answer.next.kind == "test"
    starved = bench.diagnose(DEAD, bench.read("outlet_voltage", 120.0), bench.read("board_supply_voltage", 0.0))
    assert starved.chance("supply_cord_open") + starved.chance("board_wire_open") > 0.8
    assert starved.chance("board_dead") < 0.05
    assert not starved.fits_a_part


def test_trap_10_the_cooktops_spark_splits_the_cord_from_the_boards_own_wire(bench):
    shared = (bench.read("outlet_voltage", 120.0), bench.read("board_supply_voltage", 0.0))
    sparks = bench.diagnose(DEAD, *shared, bench.see("spark_at_electrodes", "all"))
    silent = bench.diagnose(DEAD, *shared, bench.see("spark_at_electrodes", "none"))
    assert sparks.first == "board_wire_open"
    assert sparks.chance("board_wire_open") > 0.75
    assert sparks.remedy == "repair_board_wiring"
    assert silent.first == "supply_cord_open"
    assert silent.remedy == "replace_supply_cord"


def test_trap_10_a_board_is_named_with_supply_present(bench):
    answer = bench.diagnose(
        DEAD, bench.read("outlet_voltage", 120.0), bench.read("board_supply_voltage", 119.5),
        bench.read("bake_control_output_voltage", 0.0),
    )  # fmt: skip
    assert answer.first == "board_dead"
    assert answer.chance("board_dead") > 0.9
    assert answer.remedy == "replace_control_board"


def test_trap_10_no_relay_while_the_parts_that_the_board_reads_are_not_cleared(bench):
    """No voltage at the burner with the display on: a lock or the sensor keeps it off as often as the relay."""
    dead_load = bench.read("bake_circuit_voltage", 0.0)
    answer = bench.diagnose(BAKE, dead_load, working=["display_on"])
    assert sum(answer.chance(fault) for fault in BOARD) < 0.3
    assert answer.next.kind == "test"
    assert "replace_control_board" not in answer.proposed
    cleared = bench.diagnose(
        BAKE,
        dead_load,
        bench.see("control_lock", "off"),
        bench.read("oven_sensor_resistance_at_board", 1081.0),
        bench.read("bake_control_output_voltage", 0.0),
        bench.read("broil_control_output_voltage", 119.0),
        working=["display_on"],
        conditions=bench.at(70.0),
    )
    assert cleared.first == "bake_relay_open"
    assert cleared.chance("bake_relay_open") > 0.9
    assert cleared.next.id == "replace_control_board"


def test_trap_10_voltage_at_the_terminal_and_none_at_the_load_is_the_harness(bench):
    answer = bench.diagnose(
        BAKE, bench.read("bake_circuit_voltage", 0.0), bench.read("bake_control_output_voltage", 119.0),
        working=["display_on"],
    )  # fmt: skip
    assert answer.first == "bake_harness_open"
    assert answer.chance("bake_harness_open") > 0.7
    assert answer.next.id != "replace_control_board"
    assert sum(answer.chance(fault) for fault in BOARD) < 0.05


def test_trap_10_a_good_load_voltage_clears_the_board(bench):
    answer = bench.diagnose(BAKE, bench.read("bake_circuit_voltage", 119.0), working=["display_on"])
    assert sum(answer.chance(fault) for fault in BOARD) < 0.03


def test_trap_13_nothing_is_wrong_but_a_locked_control(bench):
    answer = bench.diagnose(BAKE, bench.see("control_lock", "on"), working=["display_on"])
    assert answer.first == "control_locked"
    assert answer.chance("control_locked") > 0.85
    assert answer.next.id == "unlock_control"
    assert not answer.diagnosis.parts or answer.diagnosis.parts[0].probability < 0.2


def test_trap_13_turns_with_the_lock(bench):
    answer = bench.diagnose(BAKE, bench.see("control_lock", "off"), working=["display_on"])
    assert answer.chance("control_locked") < 0.01


def test_trap_13_a_lock_is_looked_for_before_a_cover_comes_off(bench):
    """With no voltage at the load the lock costs a minute, the board an hour."""
    answer = bench.diagnose(BAKE, bench.read("bake_circuit_voltage", 0.0), working=["display_on"])
    assert answer.chance("control_locked") > 0.2
    assert answer.next.kind == "test"
    assert not any(step.kind == "repair" and "replace" in step.id for step in answer.diagnosis.alternatives)


def test_trap_13_a_dead_oven_begins_at_the_display(bench):
    """Bake and broil dead, cooktop and display alive: no cover comes off before the display was looked at."""
    answer = bench.diagnose(
        [*BAKE, "broil_does_not_light"], working=["surface_burners_light", "display_on"],
    )  # fmt: skip
    assert answer.next.id in ("control_lock", "display_error")
    assert answer.next.zone == "outside"


REPLACED = {"repairs_done": (RepairDone("replace_bake_igniter", complaint_remains=False),)}
SINCE = {"after_repair": "replace_bake_igniter"}


def test_the_job_is_closed_when_the_repair_took_the_complaint_away_and_has_proven_itself(bench):
    given = [bench.read("bake_igniter_current", 2.6)]
    asked = []
    while (answer := bench.diagnose(BAKE, *given, **REPLACED)).next.kind != "done":
        step = answer.next
        assert step.kind == "test"
        assert step.id in {c.test for c in answer.diagnosis.closing_checks if c.status == "open"}
        asked.append(step.id)
        assert len(asked) < 10
        test = next(t for t in bench.family.tests if t.id == step.id)
        sound = {"bake_igniter_current": 3.4, "carbon_monoxide_air_free": 30.0}
        given.append(
            bench.see(step.id, test.outcomes[0], **SINCE) if test.outcomes
            else bench.read(step.id, sound[step.id], **SINCE)
        )  # fmt: skip
    assert asked == [
        "bake_igniter_current", "bake_burner_lighting", "carbon_monoxide_air_free", "oven_flames",
        "covers_and_anti_tip",
    ]  # fmt: skip
    assert {c.status for c in answer.diagnosis.closing_checks} == {"passed"}


def test_readings_of_the_time_before_close_no_job(bench):
    """The same tests, read before the repair: nothing is shown."""
    given = [bench.see("bake_burner_lighting", "in_time"), bench.see("oven_flames", "blue")]
    answer = bench.diagnose(BAKE, bench.read("bake_igniter_current", 2.6), *given, **REPLACED)
    assert answer.next.kind != "done"
    assert {c.status for c in answer.diagnosis.closing_checks} == {"open"}


def test_a_complaint_that_remains_closes_nothing(bench):
    remains = bench.diagnose(
        BAKE, bench.read("bake_igniter_current", 2.6), repairs_done=(RepairDone("replace_bake_igniter", True),),
    )  # fmt: skip
    assert remains.next.kind != "done"
    assert remains.next.id != "replace_bake_igniter"
    assert remains.chance("bake_igniter_weak") < 0.7
