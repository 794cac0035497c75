"""Traps 4 and 14: gas that does not reach the oven, and hazards that come before everything else."""

from __future__ import annotations

import pytest

from probewright.planning.model import compile_model
from probewright_schemas.records import Quantity, Reading

OVEN = ["bake_does_not_light", "broil_does_not_light"]
WEAK = ("bake_igniter_current", 2.6)


def test_trap_04_a_good_igniter_in_a_dead_oven_under_a_live_cooktop_points_to_the_lever(bench):
    answer = bench.diagnose(
        OVEN,
        bench.see("bake_igniter_glow", "white"),
        bench.read("bake_igniter_current", 3.4),
        working=["surface_burners_light"],
    )
    gas_side = answer.chance("oven_gas_lever_closed") + answer.chance("regulator_pressure_wrong")
    assert answer.first == "oven_gas_lever_closed"
    assert gas_side > 0.7
    assert answer.chance("bake_igniter_weak") + answer.chance("bake_igniter_open") < 0.02
    assert not any(step.startswith("replace_") for step in answer.proposed)
    assert answer.remedy == "open_oven_gas_lever"


def test_trap_04_with_the_supply_known_the_gas_line_is_next(bench):
    answer = bench.diagnose(
        OVEN,
        bench.read("outlet_voltage", 120.0),
        bench.see("bake_igniter_glow", "white"),
        bench.read("bake_igniter_current", 3.4),
        working=["surface_burners_light"],
    )
    assert answer.chance("oven_gas_lever_closed") > 0.75
    assert answer.next.id in ("oven_gas_lever", "gas_supply_valve", "open_oven_gas_lever")


def test_trap_04_the_lever_settles_it(bench):
    shared = (bench.see("bake_igniter_glow", "white"), bench.read("bake_igniter_current", 3.4))
    closed = bench.diagnose(
        OVEN, *shared, bench.see("oven_gas_lever", "closed"), working=["surface_burners_light"],
    )  # fmt: skip
    opened = bench.diagnose(OVEN, *shared, bench.see("oven_gas_lever", "open"), working=["surface_burners_light"])
    assert closed.next.id == "open_oven_gas_lever"
    assert closed.chance("oven_gas_lever_closed") > 0.95
    assert opened.chance("oven_gas_lever_closed") < 0.1
    assert opened.next.kind == "test"
    assert opened.chance("regulator_pressure_wrong") > closed.chance("regulator_pressure_wrong")


def test_trap_04_turns_with_the_cooktop(bench):
    """When no surface burner lights either, the gas is shut off before the range."""
    answer = bench.diagnose(
        [*OVEN, "no_surface_burner_lights"],
        bench.see("bake_igniter_glow", "white"),
        bench.read("bake_igniter_current", 3.4),
        working=["spark_present"],
    )
    assert answer.first == "gas_shut_off"
    assert answer.chance("gas_shut_off") > 0.9
    assert answer.chance("oven_gas_lever_closed") < 0.02
    assert answer.remedy == "open_gas_supply"


def test_trap_04_turns_with_the_current(bench):
    """The same oven with dim igniters: then it is not the gas."""
    answer = bench.diagnose(
        OVEN,
        bench.read("bake_igniter_current", 2.5),
        bench.read("broil_igniter_current", 2.4),
        bench.read("outlet_voltage", 120.0),
        working=["surface_burners_light"],
    )
    assert answer.chance("oven_gas_lever_closed") < 0.05
    assert answer.chance("bake_igniter_weak") > 0.8
    assert answer.chance("broil_igniter_weak") > 0.8


@pytest.mark.parametrize(
    "cue",
    [
        pytest.param({"complaints": ["gas_smell", "bake_does_not_light"]}, id="complaint"),
        pytest.param({"seen": Reading("gas_odour", seen="present")}, id="odour"),
        pytest.param({"seen": Reading("leak_check_solution", seen="bubbles")}, id="bubbles"),
        pytest.param({"seen": Reading("carbon_monoxide_air_free", value=150.0, unit="ppm")}, id="carbon_monoxide"),
        pytest.param({"seen": Reading("carbon_monoxide_air_free", over_range=True)}, id="carbon_monoxide_over_range"),
    ],
)
def test_trap_14_a_hazard_stops_everything(bench, cue):
    """However sure the repair: nothing else is recommended."""
    complaints = cue.get("complaints", ["bake_does_not_light"])
    readings = [bench.read(*WEAK), *([cue["seen"]] if "seen" in cue else [])]
    answer = bench.diagnose(complaints, *readings)
    assert answer.chance("bake_igniter_weak") > 0.5  # a repair would pay
    assert answer.next.kind == "stop"
    assert answer.next.steps
    assert answer.next.cautions
    assert answer.diagnosis.alternatives == ()


def test_trap_14_without_the_hazard_the_job_goes_on(bench):
    answer = bench.diagnose(["bake_does_not_light"], bench.read(*WEAK))
    assert answer.next.kind in ("test", "repair")


@pytest.mark.parametrize(
    ("readings", "kind"),
    [
        ([("leak_check_solution", "no_bubbles")], "stop"),
        ([("gas_odour", "none")], "stop"),
        ([("leak_check_solution", "no_bubbles"), ("gas_odour", "none")], "go"),
        ([("gas_odour", "none"), ("leak_check_solution", "no_bubbles")], "go"),
        ([("leak_check_solution", "no_bubbles"), ("gas_odour", "none"), ("gas_odour", "present")], "stop"),
        ([("leak_check_solution", "bubbles"), ("gas_odour", "none")], "stop"),
        ([("leak_check_solution", "bubbles"), ("leak_check_solution", "no_bubbles"), ("gas_odour", "none")], "go"),
    ],
)
def test_trap_14_both_a_tight_joint_and_clean_air_clear_a_smell(bench, readings, kind):
    answer = bench.diagnose(["gas_smell"], *(bench.see(test, seen) for test, seen in readings))
    assert (answer.next.kind == "stop") is (kind == "stop")


@pytest.mark.parametrize(("ppm", "stops"), [(20.0, False), (60.0, False), (98.0, True), (150.0, True), (790.0, True)])
def test_trap_14_carbon_monoxide_is_held_against_the_action_limit_with_the_meter_in_doubt(bench, ppm, stops):
    """98 ppm on an ordinary analyser may well be more than 100; and 790 ppm is under the type test's 800 ppm."""
    answer = bench.diagnose(["soot_or_yellow_flame"], bench.read("carbon_monoxide_air_free", ppm))
    assert (answer.next.kind == "stop") is stops


def test_trap_14_a_later_clean_reading_clears_carbon_monoxide(bench):
    answer = bench.diagnose(
        ["soot_or_yellow_flame"],
        bench.read("carbon_monoxide_air_free", 300.0),
        bench.read("carbon_monoxide_air_free", 25.0),
    )
    assert answer.next.kind != "stop"


@pytest.mark.parametrize("seen", ["scorched", "wet"])
def test_unsafe_wiring_is_referred(bench, seen):
    found = bench.diagnose(["bake_does_not_light"], bench.read(*WEAK), bench.see("wiring_condition", seen))
    mended = bench.diagnose(
        ["bake_does_not_light"], bench.read(*WEAK), bench.see("wiring_condition", seen),
        bench.see("wiring_condition", "sound"),
    )  # fmt: skip
    assert (found.next.kind, found.next.id) == ("refer", "unsafe_wiring")
    assert mended.next.id != "unsafe_wiring"


def test_gas_comes_before_wiring(bench):
    answer = bench.diagnose(["gas_smell"], bench.see("wiring_condition", "scorched"))
    assert (answer.next.kind, answer.next.id) == ("stop", "gas_escape")


def test_the_pressure_of_the_other_fuel_is_named(bench):
    propane = bench.build(fuel="propane")
    wrong = bench.diagnose(["soot_or_yellow_flame"], bench.read("manifold_pressure", 5.0), options=propane)
    right = bench.diagnose(["soot_or_yellow_flame"], bench.read("manifold_pressure", 10.0), options=propane)
    assert wrong.first == "regulator_pressure_wrong"
    assert wrong.reading("manifold_pressure").verdict == "outside"
    assert "pressure_of_other_fuel" in wrong.codes("manifold_pressure")
    assert right.reading("manifold_pressure").verdict == "within"
    assert right.chance("regulator_pressure_wrong") < 0.1


def test_pressure_is_understood_in_other_units(bench):
    """5 inH2O are 1245.4 Pa (NIST SP 811, Appendix B.8: 249.0889 Pa each)."""
    answer = bench.diagnose(["soot_or_yellow_flame"], bench.read("manifold_pressure", 1.2454, "kPa"))
    assert answer.reading("manifold_pressure").verdict == "within"
    assert Quantity(1.2454, "kPa").unit == answer.reading("manifold_pressure").unit


@pytest.mark.parametrize("options", [None, {}], ids=["common_build", "unknown_build"])
def test_soot_and_yellow_flames_speak_of_carbon_monoxide_from_the_start(bench, options):
    answer = bench.diagnose(["soot_or_yellow_flame"], options=options)
    assert "carbon monoxide" in answer.diagnosis.cautions[0]
    assert "carbon_monoxide_air_free" in answer.proposed
    other = bench.diagnose(["bake_does_not_light"], options=options)
    assert not any("Soot" in caution for caution in other.diagnosis.cautions)


def test_the_caution_stays_whatever_the_effort(bench):
    answer = bench.diagnose(["soot_or_yellow_flame"], effort="none")
    assert "carbon monoxide" in answer.diagnosis.cautions[0]


def test_a_valve_that_does_not_open_is_left_when_all_before_it_is_sound(bench):
    answer = bench.diagnose(
        ["bake_does_not_light"], bench.see("bake_igniter_glow", "white"), bench.read("bake_igniter_current", 3.4),
        bench.see("oven_gas_lever", "open"), bench.see("bake_igniter_mounting", "firm"),
        bench.read("manifold_pressure", 5.0), bench.read("outlet_voltage", 120.0),
        bench.see("bake_burner_lighting", "does_not_light"),
    )  # fmt: skip
    assert answer.first == "bake_valve_stuck"
    assert answer.chance("bake_valve_stuck") > 0.8
    assert answer.next.id == "replace_bake_valve"


def test_the_way_to_the_manifolds_pressure_fits_the_manometer_before_gas_is_let_in(bench):
    """Read from beginning to end: dead and gas shut, manometer fitted, gas opened and checked, then lit."""
    model = compile_model(bench.family, bench.build(), ())
    place = next(i for i, test in enumerate(model.tests.records) if test.id == "manifold_pressure")
    step = model.tests.told[place][1]  # its zone still closed
    told = " ".join(step.steps)
    order = ("prove the appliance dead", "Shut the gas at the appliance valve", "fit the manometer",
             "open the gas at the appliance valve", "Restore power", "Check the manometer's connection",
             "Light one surface burner", "shut the gas and refit")  # fmt: skip
    assert [told.index(words) for words in order] == sorted(told.index(words) for words in order)


def test_nobody_leaves_a_sooty_range_before_carbon_monoxide_was_measured(bench):
    clear = [
        bench.see(test, seen)
        for test, seen in (("burner_ports", "clear"), ("burner_cap_seat", "seated"), ("air_passages", "clear"),
                           ("orifice_markings", "match"))
    ]  # fmt: skip
    assert bench.diagnose(["soot_or_yellow_flame"], *clear).next.id == "carbon_monoxide_air_free"
    measured = bench.diagnose(["soot_or_yellow_flame"], *clear, bench.read("carbon_monoxide_air_free", 20.0))
    assert (measured.next.kind, measured.next.id) == ("refer", "no_fault_found")
