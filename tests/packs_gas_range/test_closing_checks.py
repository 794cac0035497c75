"""Every repair is proven before the job is left: function, readings, tight gas, clean flames, sound wiring."""

from __future__ import annotations

import pytest

from probewright.circuit.parts import holds
from support.proving import checks, unproven

#: Function to closing checks that show it.
SHOWN_BY = {
    "display_on": {"display_and_controls_work", "everything_works"},
    "bake_lights": {"bake_lights_from_cold", "everything_works"},
    "broil_lights": {"broil_lights_from_cold", "everything_works"},
    "oven_holds_temperature": {"oven_temperature_settled", "everything_works"},
    "surface_burner_lights": {"surface_burners_light", "everything_works"},
    "surface_burners_light": {"surface_burners_light", "everything_works"},
    "any_surface_burner_lights": {"surface_burners_light", "everything_works"},
    "spark_present": {"all_electrodes_spark", "everything_works"},
    "spark_stops": {"spark_stops", "everything_works"},
}
BURNER_GAS_OR_AIR = {
    "replace_regulator", "fit_orifices_for_fuel", "clear_air_passages", "replace_thermostat", "replace_door_gasket",
    "replace_oven_pilot_safety",
    *(f"{what}_{burner}_{part}" for burner in ("bake", "broil")
      for what, part in (("replace", "igniter"), ("secure", "igniter"), ("replace", "valve"),
                         ("clean", "spark_electrode"), ("replace", "spark_electrode"))),
}  # fmt: skip
SURFACE_BURNER = {
    "clean_burner_ports", "seat_burner_cap", "relight_cooktop_pilot", "replace_regulator", "fit_orifices_for_fuel",
}  # fmt: skip
WIRING = {
    "repair_bake_harness", "repair_broil_harness", "repair_oven_sensor_harness", "repair_ignition_harness",
    "replace_supply_cord", "replace_spark_module", "replace_oven_spark_module", "repair_board_wiring",
}  # fmt: skip
OUTLET = {
    "restore_supply", "correct_outlet_wiring", "raise_supply_voltage", "repair_supply_connection",
    "lower_supply_voltage", "replace_supply_cord", "replace_spark_module",
}  # fmt: skip


def test_a_function_that_a_repair_gives_back_is_shown(family):
    assert list(unproven(family, SHOWN_BY)) == []


def test_each_burner_is_shown_by_its_own_repairs(family):
    for repair in family.repairs:
        for burner in ("bake", "broil"):
            if any(fault.startswith(f"{burner}_") for fault in repair.cures):
                assert f"{burner}_lights_from_cold" in repair.closing_checks, repair.id


def test_every_joint_that_was_opened_is_proven_tight(family):
    """All repairs at the gas line but turning a lever, which opens no joint and is smelt at."""
    at_gas_line = {repair.id for repair in family.repairs if "gas_line" in repair.zones}
    opened = at_gas_line - {"open_oven_gas_lever"}
    assert len(opened) == 8
    for repair in opened:
        assert {"joints_tight", "no_gas_odour"} <= checks(family, repair), repair
    assert "no_gas_odour" in checks(family, "open_oven_gas_lever")


def test_gas_is_let_back_in_with_its_air_out_and_its_pilots_lit(family):
    for repair in ("open_gas_supply", "repair_gas_leak"):
        assert {"air_purged", "pilots_steady", "oven_pilot_steady", "everything_works"} <= checks(family, repair)


@pytest.mark.parametrize("repair", sorted(BURNER_GAS_OR_AIR))
def test_work_on_an_oven_burner_ends_with_its_flame_and_carbon_monoxide(family, repair):
    assert {"flames_blue", "carbon_monoxide_low"} <= checks(family, repair)


@pytest.mark.parametrize("repair", sorted(SURFACE_BURNER))
def test_work_on_a_surface_burner_ends_with_its_flame_and_the_air_of_the_room(family, repair):
    assert {"surface_burners_light", "surface_flames_clean"} <= checks(family, repair)
    assert "room_air_clean" in checks(family, repair)


def test_pressure_is_measured_where_it_was_set(family):
    for repair in ("replace_regulator", "fit_orifices_for_fuel"):
        assert "manifold_pressure_right" in checks(family, repair)


@pytest.mark.parametrize("repair", sorted(WIRING))
def test_work_on_wiring_ends_with_the_ground(family, repair):
    assert "ground_continuous" in checks(family, repair)


@pytest.mark.parametrize("repair", sorted(OUTLET))
def test_work_on_the_supply_ends_with_polarity_and_ground(family, repair):
    assert {"outlet_wired_correctly", "outlet_neutral_near_ground"} <= checks(family, repair)


@pytest.mark.parametrize(
    ("repair", "check", "test"),
    [
        ("replace_bake_igniter", "bake_current_in_band", "bake_igniter_current"),
        ("repair_broil_harness", "broil_load_fed", "broil_circuit_voltage"),
        ("replace_oven_sensor", "sensor_reads_right", "oven_sensor_resistance_at_board"),
        ("replace_oven_sensor", "sensor_insulated", "oven_sensor_to_chassis"),
        ("replace_spark_module", "spark_module_fed", "spark_module_supply_voltage"),
        ("replace_spark_module", "all_electrodes_spark", "spark_at_electrodes"),
        ("replace_oven_spark_module", "bake_spark_strong", "bake_spark"),
        ("replace_control_board", "bake_lights_from_cold", "bake_burner_lighting"),
        ("replace_regulator", "manifold_pressure_right", "manifold_pressure"),
        ("restore_supply", "supply_voltage_in_range", "outlet_voltage"),
        ("unlock_control", "control_unlocked", "control_lock"),
    ],
)
def test_readings_that_prove_a_repair_name_their_test(family, repair, check, test):
    assert check in checks(family, repair)
    (closing,) = (c for c in family.closings if c.id == check)
    assert closing.test == test


def test_every_closing_check_is_a_test_with_an_outcome_or_a_limit_of_its_own(family):
    tests = {test.id: test for test in family.tests}
    for closing in family.closings:
        assert closing.test is not None, closing.id
        test = tests[closing.test]
        assert len(test.outcomes) >= 2 or test.limits or closing.limits or closing.id in BY_THE_MODELS_BAND, closing.id


#: What a healthy range reads follows from its fuel, its sensor and its set point.
BY_THE_MODELS_BAND = {"manifold_pressure_right", "oven_temperature_settled", "sensor_reads_right"}


def test_what_only_closes_is_marked_so(family):
    closing = {test.id for test in family.tests if test.closing}
    assert closing == {
        "purge_of_air", "surface_burners_lighting", "surface_flames", "carbon_monoxide_in_room", "spark_stopping",
        "oven_flames", "display_and_controls", "board_options", "trial_of_everything", "chassis_ground_resistance",
        "covers_and_anti_tip",
    }  # fmt: skip


#: Nothing of the range's own that the pack knows makes them fail: the work just done does.
OF_THE_WORK = {"chassis_ground_resistance", "covers_and_anti_tip"}


def test_a_closing_test_that_fails_points_to_something(family):
    for test in (t for t in family.tests if t.closing and t.id not in OF_THE_WORK):
        assert any(model.by_fault for model in test.models), test.id


def test_air_limit_of_a_room_is_the_published_one(family):
    """40 CFR 50.8: 9 ppm over 8 hours, 35 ppm over one."""
    (test,) = (t for t in family.tests if t.id == "carbon_monoxide_in_room")
    (lock,) = (lock for lock in family.interlocks if lock.id == "carbon_monoxide")
    for figure, ppm in ((test.limits[0].high, 9.0), (lock.above["carbon_monoxide_in_room"], 35.0)):
        assert (float(figure), figure.basis) == (ppm, "published")
        assert "40 CFR 50.8" in figure.source


def test_leaks_are_looked_for_before_anything_is_lit_and_hot_readings_come_after_cold_starts(family):
    order = [closing.id for closing in family.closings]
    for first, then in (("joints_tight", "no_gas_odour"), ("no_gas_odour", "bake_lights_from_cold"),
                        ("air_purged", "surface_burners_light"), ("bake_lights_from_cold", "carbon_monoxide_low"),
                        ("everything_works", "covers_on")):  # fmt: skip
        assert order.index(first) < order.index(then)


#: In builds without a pilot its check falls away.
FALL_AWAY = {"pilots_steady", "oven_pilot_steady"}


def test_only_checks_of_pilots_name_a_test_that_the_appliance_may_not_have(family, builds):
    tests = {test.id: test for test in family.tests}
    closings = {closing.id: closing for closing in family.closings}
    for build in builds:
        for repair in (r for r in family.repairs if holds(r.when, build)):
            for check in set(repair.closing_checks) - FALL_AWAY:
                assert holds(tests[closings[check].test].when, build), f"{repair.id}: {check} in {build}"
