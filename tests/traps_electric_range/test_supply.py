"""Half a supply, lost neutrals, burnt terminals and 208 V: no element is bad, though none heats as it should."""

from __future__ import annotations

import pytest

from probewright_schemas.records import Meter

NOTHING_HEATS = ["bake_does_not_heat", "broil_does_not_heat", "no_surface_unit_heats"]
SLOW = ["oven_slow", "surface_unit_weak"]
LOW = {"low": Meter("multimeter", input="low_impedance")}
BLOCK = ("block_leg_one_burnt", "block_leg_two_burnt")
ELEMENTS = ("replace_bake_element", "replace_broil_element", "replace_coil")


def burnt(answer) -> float:
    return sum(answer.chance(fault) for fault in BLOCK)


def test_trap_1_a_display_that_lives_while_nothing_heats_is_half_a_supply(bench):
    answer = bench.diagnose(NOTHING_HEATS, working=["display_on"])
    assert answer.first == "leg_two_dead"
    assert answer.remedy == "restore_legs"
    assert not answer.fits_a_part
    assert not set(ELEMENTS) & set(answer.proposed)
    # With only one thing cold the same display says little of the supply.
    alone = bench.diagnose(["bake_does_not_heat"], working=["display_on", "broil_heats"])
    assert alone.chance("leg_two_dead") < 0.01


def test_trap_1_a_dead_leg_floats_on_one_meter_and_is_dead_on_another(bench):
    ghost = bench.diagnose(
        NOTHING_HEATS, bench.read("leg_one_to_neutral", 120.0), bench.read("leg_two_to_neutral", 30.0),
        working=["display_on"],
    )  # fmt: skip
    drained = bench.diagnose(
        NOTHING_HEATS, bench.read("leg_one_to_neutral", 120.0), bench.read("leg_two_to_neutral", 0.5, meter="low"),
        working=["display_on"], meters=LOW,
    )  # fmt: skip
    assert ghost.chance("leg_two_dead") > 0.95
    assert drained.chance("leg_two_dead") > 0.85
    assert ghost.remedy == drained.remedy == "restore_legs"
    assert not ghost.fits_a_part
    assert not drained.fits_a_part


def test_trap_2_a_leg_that_reads_whole_while_it_bakes_is_fed_back_through_the_element(bench):
    """Each leg 120 V to ground, and nothing between them: the careless reading is that the supply is fine."""
    legs = (bench.read("leg_one_to_chassis_under_load", 120.0), bench.read("leg_two_to_chassis_under_load", 119.0))
    each = bench.diagnose(NOTHING_HEATS, *legs, working=["display_on"])
    assert each.reading("leg_two_to_chassis_under_load").verdict == "within"
    assert "may_be_fed_back" in each.codes("leg_two_to_chassis_under_load")
    assert each.first == "leg_two_dead"
    between = bench.diagnose(NOTHING_HEATS, *legs, bench.read("block_voltage_under_load", 0.5), working=["display_on"])
    assert between.chance("leg_two_dead") > each.chance("leg_two_dead")
    assert between.chance("leg_two_dead") > 0.93
    assert between.next.id == "restore_legs"
    assert "may_be_fed_back" not in between.codes("leg_two_to_chassis_under_load")


def test_trap_2_240_volts_between_the_legs_clear_both(bench):
    answer = bench.diagnose(NOTHING_HEATS, bench.read("legs_voltage", 240.0), working=["display_on"])
    assert answer.chance("leg_two_dead") + answer.chance("leg_one_dead") + answer.chance("both_legs_dead") < 0.02


def test_trap_3_unequal_legs_that_add_up_are_a_lost_neutral(bench):
    """95 and 145 V add up to 240: the board is not what flickers, and it burns if anybody goes on."""
    answer = bench.diagnose(
        ["lights_flicker"], bench.read("leg_one_to_neutral", 95.0), bench.read("leg_two_to_neutral", 145.0)
    )
    assert answer.chance("service_neutral_open") > 0.95
    assert (answer.next.kind, answer.next.id) == ("refer", "legs_overvoltage")
    assert answer.diagnosis.alternatives == ()
    assert any("breaker off" in step for step in answer.next.steps)
    assert any("electrician" in step or "utility" in step for step in answer.next.steps)


@pytest.mark.parametrize(("one", "two"), [(95.0, 145.0), (145.0, 95.0), (70.0, 170.0)])
def test_trap_3_no_board_is_sold_over_a_lost_neutral(bench, one, two):
    answer = bench.diagnose(
        ["display_dead"], bench.read("leg_one_to_neutral", one), bench.read("leg_two_to_neutral", two)
    )
    assert answer.first == "service_neutral_open"
    assert answer.next.kind == "refer"
    assert "replace_control_board" not in answer.proposed


def test_trap_4_a_neutral_open_in_the_branch_moves_to_the_leg_of_the_display(bench):
    """240 V from leg to leg, nothing from leg one to neutral: the display is dark, and its board is sound."""
    answer = bench.diagnose(
        ["display_dead"], bench.read("legs_voltage", 240.0), bench.read("leg_one_to_neutral", 0.5)
    )
    assert answer.chance("legs_neutral_open") > 0.8
    assert answer.chance("board_dead") < 0.06
    assert not answer.fits_a_part
    both = bench.diagnose(
        ["display_dead"], bench.read("leg_one_to_neutral", 0.3), bench.read("leg_two_to_neutral", 239.0)
    )
    assert both.chance("legs_neutral_open") > 0.95
    assert (both.next.kind, both.next.id) == ("refer", "legs_overvoltage")


def test_trap_5_a_burnt_terminal_reads_well_until_it_carries_current(bench):
    unloaded = (bench.read("legs_voltage", 240.0), bench.read("leg_one_to_neutral", 120.0),
                bench.read("leg_two_to_neutral", 120.0))  # fmt: skip
    before = bench.diagnose(SLOW, *unloaded)
    assert {before.reading(test).verdict for test in ("legs_voltage", "leg_one_to_neutral")} == {"within"}
    assert before.next.id in ("block_voltage_under_load", "terminal_block_condition", "other_unit_glow")
    loaded = bench.diagnose(SLOW, *unloaded, bench.read("block_voltage_under_load", 190.0))
    assert burnt(loaded) > 0.95
    assert loaded.next.id == "replace_terminal_block"
    assert any("sound copper on both sides" in step for step in loaded.next.steps)


def test_trap_5_the_reading_to_the_chassis_says_which_terminal_it_is(bench):
    shared = (bench.read("legs_voltage", 240.0), bench.read("block_voltage_under_load", 200.0),
              bench.read("leg_one_to_chassis_under_load", 119.5))  # fmt: skip
    answer = bench.diagnose(SLOW, *shared, bench.read("leg_two_to_chassis_under_load", 80.0))
    assert answer.chance("block_leg_two_burnt") > 0.9
    assert answer.chance("block_leg_one_burnt") < 0.05


def test_trap_5_a_terminal_that_has_burnt_off_leaves_240_volts_before_it_and_no_heat_behind(bench):
    """The supply reads whole and nothing heats: not every element, and not the board, has failed at once."""
    answer = bench.diagnose(NOTHING_HEATS, bench.read("legs_voltage", 240.0), working=["display_on"])
    assert burnt(answer) > 0.7
    assert answer.next.id in ("terminal_block_condition", "block_voltage_under_load", "other_unit_glow")
    assert not set(ELEMENTS) & set(answer.proposed)
    scorched = bench.diagnose(
        NOTHING_HEATS, bench.read("legs_voltage", 240.0), bench.see("terminal_block_condition", "scorched"),
        working=["display_on"],
    )  # fmt: skip
    assert burnt(scorched) > 0.9
    assert scorched.next.id == "unsafe_wiring"


def test_trap_5_a_voltage_that_holds_under_load_clears_the_block(bench):
    answer = bench.diagnose(SLOW, bench.read("legs_voltage", 240.0), bench.read("block_voltage_under_load", 238.0))
    # Only together with an element that draws nothing could it hide.
    assert burnt(answer) < 0.15
    assert "replace_terminal_block" not in answer.proposed


def test_trap_6_on_208_volts_everything_is_slow_and_nothing_is_broken(bench):
    answer = bench.diagnose(
        ["oven_slow"], bench.read("legs_voltage", 208.0), bench.read("leg_one_to_neutral", 120.0),
        bench.read("leg_two_to_neutral", 120.0),
    )  # fmt: skip
    assert answer.chance("supply_208_volts") > 0.97
    assert answer.next.id == "settle_208_volts"
    assert answer.chance("bake_element_open") < 0.1
    assert any("three quarters" in step for step in answer.next.steps)


def test_trap_6_both_legs_low_are_no_208_volts(bench):
    """208 V as 104 and 104: a poor joint or a long branch, which is handed over."""
    answer = bench.diagnose(
        ["oven_slow"], bench.read("legs_voltage", 207.0), bench.read("leg_one_to_neutral", 103.0),
        bench.read("leg_two_to_neutral", 104.0),
    )  # fmt: skip
    assert answer.chance("legs_voltage_low") > 0.97
    assert answer.chance("supply_208_volts") < 0.01
    assert answer.next.id == "raise_legs_voltage"
    (repair,) = (repair for repair in bench.family.repairs if repair.id == "raise_legs_voltage")
    assert repair.skill == "electrical_licence"


def test_trap_6_the_current_of_a_sound_element_goes_with_the_supply(bench):
    """An element of 2600 W draws 10.8 A at 240 V and 9.4 A at 208 V: right for what feeds it."""
    answer = bench.diagnose(["oven_slow"], bench.read("legs_voltage", 208.0), bench.read("bake_element_current", 9.4))
    assert answer.chance("supply_208_volts") > 0.9
    assert answer.chance("bake_connection_burnt") < 0.02
    assert "supply_not_measured" not in answer.codes("bake_element_current")
    blind = bench.diagnose(["oven_slow"], bench.read("bake_element_current", 6.0))
    assert "supply_not_measured" in blind.codes("bake_element_current")


def test_trap_7_a_dark_display_is_no_dead_board_before_its_leg_was_read(bench):
    dark = bench.diagnose(["display_dead"])
    assert dark.next.kind == "test"
    assert not dark.fits_a_part
    leg = bench.diagnose(["display_dead"], bench.read("legs_voltage", 118.0), bench.read("leg_one_to_neutral", 0.3))
    assert leg.chance("leg_one_dead") > 0.95
    assert leg.chance("board_dead") < 0.02
    assert leg.next.id == "restore_legs"


def test_trap_7_units_that_glow_clear_the_supply_of_a_dark_display(bench):
    answer = bench.diagnose(["display_dead"], bench.see("other_unit_glow", "glows"))
    assert sum(answer.chance(f) for f in ("both_legs_dead", "leg_one_dead", "leg_two_dead")) < 0.02
    assert answer.chance("board_dead") > 0.5


def test_trap_7_the_boards_own_wire_is_told_from_the_board(bench):
    leg = bench.read("leg_one_to_neutral", 120.0)
    starved = bench.diagnose(["display_dead"], leg, bench.read("board_supply_voltage", 0.0))
    fed = bench.diagnose(["display_dead"], leg, bench.read("board_supply_voltage", 120.0))
    assert starved.chance("board_wire_open") > 0.8
    assert starved.remedy == "repair_board_wiring"
    assert fed.chance("board_dead") > 0.8
    assert fed.chance("board_wire_open") < 0.02


def test_trap_7_a_display_that_flickers_is_a_neutral_in_doubt_and_no_board(bench):
    answer = bench.diagnose(["lights_flicker"], bench.see("display_lit", "flickers"))
    neutral = ("service_neutral_open", "block_neutral_burnt", "legs_neutral_open")
    assert sum(answer.chance(fault) for fault in neutral) > 0.5
    assert answer.chance("board_dead") < 0.1
    assert (answer.next.kind, answer.next.id) == ("refer", "neutral_in_doubt")
    assert any("utility at once" in step for step in answer.next.steps)
    even = (bench.read("leg_one_to_neutral", 120.0), bench.read("leg_two_to_neutral", 119.5),
            bench.read("legs_neutral_to_ground", 0.4))  # fmt: skip
    cleared = bench.diagnose(["lights_flicker"], bench.see("display_lit", "flickers"), *even)
    assert cleared.next.kind != "refer" or cleared.next.id != "neutral_in_doubt"
    assert cleared.chance("service_neutral_open") < 0.05


def test_trap_7_a_lit_display_clears_leg_one_and_the_board(bench):
    answer = bench.diagnose(NOTHING_HEATS, bench.see("display_lit", "lit"))
    assert sum(answer.chance(fault) for fault in ("both_legs_dead", "leg_one_dead", "board_dead")) < 0.03
    assert answer.first == "leg_two_dead"


def test_a_scorched_block_carries_no_power_again(bench):
    answer = bench.diagnose(NOTHING_HEATS, bench.see("terminal_block_condition", "scorched"))
    assert (answer.next.kind, answer.next.id) == ("refer", "unsafe_wiring")
    assert any("terminal block" in step for step in answer.next.steps)
