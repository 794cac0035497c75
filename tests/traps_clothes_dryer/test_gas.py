"""The gas burner: what glows and goes out, what glows on, and how much gas it takes."""

from __future__ import annotations

import pytest

NO_HEAT = ["no_heat"]
COLD_COILS = (
    ("valve_holding_resistance", 1350.0), ("valve_booster_resistance", 560.0), ("valve_secondary_resistance", 1350.0),
)  # fmt: skip


def test_first_flame_fine_and_later_ones_not_means_coils_that_fail_hot(bench, gas):
    cold = tuple(bench.read(test, ohms) for test, ohms in COLD_COILS)
    told = bench.diagnose(["warm_at_first_only"], *cold, options=gas)
    assert told.first == "valve_coils_fail_hot"
    assert told.chance("valve_coils_fail_hot") > 0.6  # coils that read right when cold prove nothing
    assert all("cold_is_no_proof" in told.codes(test) for test, _ in COLD_COILS)
    watched = bench.diagnose(["warm_at_first_only"], *cold, bench.see("burner_sequence", "burns_once"), options=gas)
    assert watched.chance("valve_coils_fail_hot") > 0.9
    assert watched.next.id == "replace_valve_coils"
    assert "replace_igniter" not in watched.proposed
    assert "replace_flame_sensor" not in watched.proposed


def test_a_coil_read_while_hot_tells_what_a_cold_one_does_not(bench, gas):
    cold = bench.diagnose(["drying_takes_long"], bench.read("valve_secondary_resistance", 1350.0), options=gas)
    hot = bench.diagnose(["drying_takes_long"], bench.over("valve_secondary_resistance_hot"), options=gas)
    bare = bench.diagnose(["drying_takes_long"], options=gas)
    assert cold.chance("valve_coils_fail_hot") >= 0.95 * bare.chance("valve_coils_fail_hot")
    assert hot.chance("valve_coils_fail_hot") > 0.85
    assert hot.remedy == "replace_valve_coils"


def test_glows_and_goes_out_without_gas_is_neither_igniter_nor_flame_sensor(bench, gas):
    answer = bench.diagnose(NO_HEAT, bench.see("burner_sequence", "glows_and_goes_out"), options=gas)
    assert answer.chance("igniter_open") < 0.02
    assert answer.chance("flame_sensor_stuck_closed") < 0.02
    coils = ("valve_coils_fail_hot", "valve_secondary_open", "valve_holding_open", "valve_booster_open")
    assert sum(answer.chance(fault) for fault in coils) > 0.4
    assert answer.next.kind == "test"


def test_the_gas_may_simply_be_shut(bench, gas):
    shut = bench.diagnose(
        NO_HEAT, bench.see("burner_sequence", "glows_and_goes_out"), bench.see("gas_supply_valve", "was_shut"),
        options=gas,
    )  # fmt: skip
    assert shut.chance("gas_shut_off") > 0.95
    assert shut.next.id == "open_gas_supply"
    assert not shut.fits_a_part


def test_glows_on_is_the_flame_sensor_though_it_is_closed_when_cold(bench, gas):
    answer = bench.diagnose(
        NO_HEAT, bench.see("burner_sequence", "glows_on"), bench.see("flame_sensor_continuity", "closed"), options=gas,
    )  # fmt: skip
    assert answer.first == "flame_sensor_stuck_closed"
    assert answer.chance("flame_sensor_stuck_closed") > 0.9
    assert answer.next.id in ("replace_flame_sensor", "valve_secondary_voltage")
    assert answer.reading("flame_sensor_continuity").verdict == "within"
    assert "closed_cold_may_not_open" in answer.codes("flame_sensor_continuity")
    assert "replace_igniter" not in answer.proposed


def test_no_glow_with_a_sound_igniter_under_voltage_is_the_flame_sensor(bench, gas):
    answer = bench.diagnose(
        NO_HEAT, bench.see("igniter_glow", "none"), bench.read("igniter_resistance", 90.0),
        bench.read("heat_load_voltage", 119.0), options=gas,
    )  # fmt: skip
    assert answer.first == "flame_sensor_open"
    assert answer.chance("igniter_open") < 0.03
    assert "replace_igniter" not in answer.proposed


def test_no_glow_turns_with_the_igniter(bench, gas):
    answer = bench.diagnose(NO_HEAT, bench.see("igniter_glow", "none"), bench.over("igniter_resistance"), options=gas)
    assert answer.chance("igniter_open") > 0.95
    assert answer.next.id == "replace_igniter"


def test_no_voltage_across_the_secondary_coil_is_a_closed_sensor_and_a_full_one_no_open_coil(bench, gas):
    glows = bench.see("igniter_glow", "white")
    nothing = bench.diagnose(NO_HEAT, glows, bench.read("valve_secondary_voltage", 0.0), options=gas)
    whole = bench.diagnose(NO_HEAT, glows, bench.read("valve_secondary_voltage", 112.0), options=gas)
    assert nothing.first == "flame_sensor_stuck_closed"
    assert whole.chance("flame_sensor_stuck_closed") < 0.05


@pytest.mark.parametrize(("seconds", "wrong"), [(215.0, True), (85.0, False)])
def test_the_meter_is_clocked_before_the_valve_is_blamed(bench, gas, seconds, wrong):
    """Half a cubic foot at 22 000 Btu/h takes 84 s; through the orifice for propane it takes 2.5 times as long."""
    answer = bench.diagnose(
        ["drying_takes_long"], bench.read("meter_clocking", seconds), working=["heats"], options=gas,
    )  # fmt: skip
    assert (answer.chance("orifice_for_other_fuel") > 0.9) is wrong
    assert (answer.remedy == "fit_orifice_for_fuel") is wrong
    assert "replace_gas_valve" not in answer.proposed


def test_carbon_monoxide_in_the_room_stops_everything_and_points_to_the_vent(bench, gas):
    answer = bench.diagnose(["drying_takes_long"], bench.read("carbon_monoxide_in_room", 50.0), options=gas)
    assert (answer.next.kind, answer.next.id) == ("stop", "carbon_monoxide")
    assert answer.first == "vent_blocked"


def test_clearing_the_vent_of_a_gas_dryer_is_closed_with_the_air_of_the_room(bench, gas):
    vent = next(repair for repair in bench.family.repairs if repair.id == "clear_vent")
    assert {"room_air_clean", "vent_free"} <= set(vent.closing_checks)
    (closing,) = (closing for closing in bench.family.closings if closing.id == "room_air_clean")
    assert closing.guarded


def test_propane_through_the_orifice_for_natural_gas_soots_and_is_no_dirty_burner(bench, gas):
    """No meter counts propane from a tank: flame and marking tell."""
    tank = {**gas, "fuel": "propane"}
    sooty = bench.see("burner_flame", "yellow_or_sooty")
    bare = bench.diagnose(["too_hot"], sooty, options=tank)
    assert bare.chance("orifice_for_other_fuel") > 0.2
    marked = bench.diagnose(["too_hot"], sooty, bench.see("orifice_marking", "differs"), options=tank)
    assert marked.chance("orifice_for_other_fuel") > 0.9
    assert (marked.next.kind, marked.next.id) == ("refer", "burns_badly")
    assert not marked.fits_a_part
    repair = next(repair for repair in bench.family.repairs if repair.id == "fit_orifice_for_fuel")
    assert repair.skill == "gas_licence"
