"""Half the supply, burnt terminals, and boards that are blamed too soon."""

from __future__ import annotations

from probewright_schemas.records import Meter

NO_HEAT = ["no_heat"]
LOW = {"low": Meter("multimeter", input="low_impedance")}


def test_half_the_supply_turns_the_drum_and_heats_nothing(bench):
    """A dead leg floats: some tens of volts on a high-impedance meter, none on a low-impedance one."""
    shared = (bench.read("leg_one_to_neutral", 120.0),)
    high = bench.diagnose(NO_HEAT, *shared, bench.read("leg_two_to_neutral", 18.0), working=["drum_turns"])
    assert high.first == "leg_two_dead"
    assert high.chance("element_open") < 0.1
    low = bench.diagnose(
        NO_HEAT, *shared, bench.read("leg_two_to_neutral", 0.0, meter="low"), working=["drum_turns"], meters=LOW,
    )  # fmt: skip
    assert low.chance("leg_two_dead") > 0.7
    assert "replace_element" not in (*high.proposed, *low.proposed)
    assert high.remedy == "restore_legs"


def test_a_burnt_terminal_reads_well_until_it_carries_current(bench):
    unloaded = (bench.read("legs_voltage", 240.0), bench.read("leg_one_to_neutral", 120.0),
                bench.read("leg_two_to_neutral", 120.0))  # fmt: skip
    before = bench.diagnose(["drying_takes_long"], *unloaded)
    after = bench.diagnose(["drying_takes_long"], *unloaded, bench.read("block_voltage_under_load", 185.0))
    assert before.chance("block_leg_one_burnt") + before.chance("block_leg_two_burnt") > 0.01
    assert after.chance("block_leg_one_burnt") + after.chance("block_leg_two_burnt") > 0.9
    assert after.remedy == "replace_terminal_block"
    assert after.reading("legs_voltage").verdict == "within"


def test_a_scorched_block_stops_everything(bench):
    answer = bench.diagnose(NO_HEAT, bench.see("terminal_block_condition", "scorched"))
    assert (answer.next.kind, answer.next.id) == ("refer", "unsafe_wiring")


def test_a_dark_display_is_no_dead_board_before_its_supply_was_read(bench, board):
    dark = bench.diagnose(["display_dead"], options=board)
    assert not dark.fits_a_part
    dead = bench.diagnose(
        ["display_dead"], bench.read("leg_one_to_neutral", 120.0), bench.read("board_supply_voltage", 120.0),
        options=board,
    )  # fmt: skip
    assert dead.first == "board_dead"
    assert dead.chance("board_dead") > 0.75
    assert dead.remedy == "replace_control_board"
    unfed = bench.diagnose(["display_dead"], bench.read("leg_one_to_neutral", 0.4), options=board)
    assert unfed.chance("board_dead") < 0.02
    assert "replace_control_board" not in unfed.proposed


def test_no_heat_from_a_board_that_misses_its_sensor(bench, board):
    """A sensor that is open keeps the relay from closing: the board is sound."""
    relay = bench.read("heat_contact_voltage", 239.0)
    bare = bench.diagnose(NO_HEAT, relay, working=["drum_turns"], options=board)
    assert bare.first == "heat_relay_open"
    shown = bench.diagnose(NO_HEAT, relay, bench.see("display_error", "sensor_error"), working=["drum_turns"],
                           options=board)  # fmt: skip
    assert shown.chance("heat_relay_open") < 0.05
    sensors = ("outlet_sensor_open", "outlet_sensor_shorted", "outlet_sensor_harness_open")
    assert sum(shown.chance(fault) for fault in sensors) > 0.9
    assert "replace_control_board" not in shown.proposed


def test_a_locked_control_takes_no_part(bench, board):
    answer = bench.diagnose(["does_not_start"], bench.see("control_lock", "on"), options=board)
    assert answer.chance("control_locked") > 0.75
    assert answer.remedy == "unlock_control"
    assert not answer.fits_a_part


def test_tens_of_volts_at_the_motor_may_be_a_ghost(bench):
    ghost = bench.diagnose(["does_not_start"], bench.read("motor_voltage", 45.0))
    drained = bench.diagnose(["does_not_start"], bench.read("motor_voltage", 0.0, meter="low"), meters=LOW)
    assert "ghost_voltage" in ghost.codes("motor_voltage")
    assert "ghost_voltage" not in drained.codes("motor_voltage")
