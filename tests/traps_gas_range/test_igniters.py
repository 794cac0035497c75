"""Traps 1, 2, 3 and 12: what looks like a bad igniter, and what does not."""

from __future__ import annotations

import pytest

from probewright_schemas.records import Conditions, Limits, Meter, Quantity

BAKE = ["bake_does_not_light"]
BOTH = pytest.mark.parametrize("burner", ["bake", "broil"])


@BOTH
def test_trap_01_a_sound_cold_igniter_under_line_voltage_means_an_open_valve_coil(bench, burner):
    answer = bench.diagnose(
        [f"{burner}_does_not_light"],
        bench.see(f"{burner}_igniter_glow", "none"),
        bench.read(f"{burner}_igniter_resistance", 60.0),
        bench.read(f"{burner}_circuit_voltage", 120.0),
    )
    assert answer.first == f"{burner}_valve_coil_open"
    assert answer.chance(f"{burner}_valve_coil_open") > 0.85
    assert answer.chance(f"{burner}_igniter_open") < 0.01
    assert answer.reading(f"{burner}_igniter_resistance").verdict == "within"
    sure = (f"{burner}_valve_resistance", f"{burner}_igniter_voltage", f"{burner}_igniter_current")
    assert answer.next.id in (f"replace_{burner}_valve", *sure)
    assert f"replace_{burner}_igniter" not in answer.proposed


@BOTH
def test_trap_01_the_voltage_across_the_igniter_alone_agrees(bench, burner):
    """With the coil open all of the line stands across the valve and nothing across the igniter."""
    shared = (bench.see(f"{burner}_igniter_glow", "none"), bench.read(f"{burner}_circuit_voltage", 120.0))
    valve = bench.diagnose([f"{burner}_does_not_light"], *shared, bench.read(f"{burner}_igniter_voltage", 0.0))
    igniter = bench.diagnose([f"{burner}_does_not_light"], *shared, bench.read(f"{burner}_igniter_voltage", 120.0))
    assert valve.first == f"{burner}_valve_coil_open"
    assert valve.chance(f"{burner}_igniter_open") < 0.05
    assert igniter.first == f"{burner}_igniter_open"
    assert igniter.chance(f"{burner}_valve_coil_open") < 0.02


def test_trap_01_turns_with_the_cue(bench):
    """The same case, but the igniter reads over range: then it is the igniter."""
    answer = bench.diagnose(
        BAKE,
        bench.see("bake_igniter_glow", "none"),
        bench.over("bake_igniter_resistance"),
        bench.read("bake_circuit_voltage", 120.0),
    )
    assert answer.first == "bake_igniter_open"
    assert answer.chance("bake_igniter_open") > 0.95
    assert answer.chance("bake_valve_coil_open") < 0.02
    assert answer.next.id == "replace_bake_igniter"


def test_trap_02_a_glowing_igniter_with_continuity_is_weak_by_its_current(bench):
    answer = bench.diagnose(
        BAKE,
        bench.see("bake_igniter_glow", "dim_orange"),
        bench.see("bake_igniter_continuity", "closed"),
        bench.read("bake_igniter_current", 2.6),
        tech_sheet={"bake_igniter_current": Limits("A", low=3.2, high=3.6)},
    )
    assert answer.first == "bake_igniter_weak"
    assert answer.chance("bake_igniter_weak") > 0.9
    assert answer.next.id == "replace_bake_igniter"
    current = answer.reading("bake_igniter_current")
    assert current.verdict == "outside"
    assert current.expected is not None
    assert (current.expected.low, current.expected.high, current.expected.basis) == (3.2, 3.6, "tech_sheet")
    assert "continuity_is_no_proof" in answer.codes("bake_igniter_continuity")
    assert abs(answer.said("bake_igniter_weak", "bake_igniter_continuity")) < 1.0


def test_trap_02_continuity_alone_proves_nothing_of_a_weak_igniter(bench):
    without = bench.diagnose(BAKE)
    closed = bench.diagnose(BAKE, bench.see("bake_igniter_continuity", "closed"))
    assert abs(closed.said("bake_igniter_weak", "bake_igniter_continuity")) < 1.0
    assert closed.chance("bake_igniter_weak") >= without.chance("bake_igniter_weak")
    assert closed.chance("bake_igniter_open") < 0.02  # that much a closed path does prove
    assert closed.next.kind == "test"
    assert closed.next.id in ("bake_igniter_glow", "bake_igniter_current")


def test_trap_02_turns_with_the_cue(bench):
    """3.4 A at the same complaint: the igniter is cleared, whatever it looks like."""
    answer = bench.diagnose(
        BAKE, bench.see("bake_igniter_glow", "white"), bench.read("bake_igniter_current", 3.4),
    )  # fmt: skip
    assert answer.chance("bake_igniter_weak") < 0.02
    assert answer.reading("bake_igniter_current").verdict == "within"
    assert "replace_bake_igniter" not in answer.proposed


def test_trap_02_a_bad_contact_draws_as_little_but_shows_in_the_voltage(bench):
    """2.6 A is no proof against the igniter either while its own voltage is 92 V of 120 V."""
    shared = (bench.read("outlet_voltage", 120.0), bench.read("bake_igniter_current", 2.6))
    starved = bench.diagnose(BAKE, *shared, bench.read("bake_circuit_voltage", 92.0))
    fed = bench.diagnose(BAKE, *shared, bench.read("bake_circuit_voltage", 119.0))
    assert starved.first == "bake_harness_corroded"
    assert starved.next.id == "repair_bake_harness"
    assert fed.first == "bake_igniter_weak"
    assert fed.next.id == "replace_bake_igniter"


def test_trap_03_a_silent_beeper_is_no_evidence_of_an_open_igniter(bench):
    without = bench.diagnose(BAKE)
    silent = bench.diagnose(BAKE, bench.see("bake_igniter_continuity", "open"))
    assert abs(silent.said("bake_igniter_open", "bake_igniter_continuity")) < 1.0
    assert silent.chance("bake_igniter_open") < 1.25 * without.chance("bake_igniter_open")
    assert silent.next.kind == "test"
    assert silent.reading("bake_igniter_continuity").verdict != "outside"
    assert "silence_is_no_proof" in silent.codes("bake_igniter_continuity")


def test_trap_03_the_resistance_behind_the_silence_clears_the_igniter(bench):
    answer = bench.diagnose(
        BAKE, bench.see("bake_igniter_continuity", "open"), bench.read("bake_igniter_resistance", 200.0),
    )  # fmt: skip
    assert answer.chance("bake_igniter_open") < 0.01
    assert answer.reading("bake_igniter_resistance").verdict == "within"
    assert answer.next.kind == "test"


def test_trap_03_turns_with_the_meter(bench):
    """A meter that beeps up to 1 kohm stays silent on an open igniter only."""
    meters = {"loud": Meter("multimeter", beeper_threshold=Quantity(1.0, "kohm"))}
    answer = bench.diagnose(BAKE, bench.see("bake_igniter_continuity", "open", meter="loud"), meters=meters)
    assert answer.first == "bake_igniter_open"
    assert answer.chance("bake_igniter_open") > 0.75
    assert answer.reading("bake_igniter_continuity").verdict == "outside"


def test_trap_12_a_low_supply_is_scaled_before_the_igniter_is_condemned(bench):
    """2.95 A at 104 V is 3.40 A at 120 V."""
    answer = bench.diagnose(BAKE, bench.read("outlet_voltage", 104.0), bench.read("bake_igniter_current", 2.95))
    assert answer.first == "supply_voltage_low"
    assert answer.chance("bake_igniter_weak") < 0.05
    current = answer.reading("bake_igniter_current")
    assert current.verdict == "within"
    assert current.expected is not None
    assert current.expected.low == pytest.approx(3.2 * 104 / 120)
    assert current.expected.high == pytest.approx(3.6 * 104 / 120)
    assert current.expected.conditions["supply_voltage"].source == "outlet_voltage"
    assert answer.reading("outlet_voltage").verdict == "outside"
    assert "replace_bake_igniter" not in answer.proposed
    assert answer.remedy == "raise_supply_voltage"


def test_trap_12_the_case_may_give_the_supply_as_a_condition(bench):
    answer = bench.diagnose(
        BAKE,
        bench.read("bake_igniter_current", 2.95),
        conditions=Conditions(supply_voltage=Quantity(104.0, "V")),
    )
    assert answer.reading("bake_igniter_current").verdict == "within"
    assert answer.first == "supply_voltage_low"


def test_trap_12_turns_with_the_supply(bench):
    """The same 2.95 A on a full 120 V is a weak igniter."""
    answer = bench.diagnose(BAKE, bench.read("outlet_voltage", 120.0), bench.read("bake_igniter_current", 2.95))
    assert answer.first == "bake_igniter_weak"
    assert answer.chance("supply_voltage_low") < 0.02
    assert answer.reading("bake_igniter_current").verdict == "outside"


def test_trap_12_a_low_supply_does_not_excuse_every_current(bench):
    """2.2 A at 104 V is 2.5 A at 120 V: both are at fault."""
    answer = bench.diagnose(BAKE, bench.read("outlet_voltage", 104.0), bench.read("bake_igniter_current", 2.2))
    assert answer.chance("bake_igniter_weak") > 0.8
    assert answer.chance("supply_voltage_low") > 0.5


def test_a_current_under_the_band_asks_for_the_supply_voltage(bench):
    asked = bench.diagnose(BAKE, bench.read("bake_igniter_current", 2.6))
    known = bench.diagnose(BAKE, bench.read("bake_igniter_current", 2.6), bench.read("outlet_voltage", 120.0))
    assert "supply_not_measured" in asked.codes("bake_igniter_current")
    assert "supply_not_measured" not in known.codes("bake_igniter_current")


@pytest.mark.parametrize(("style", "amperes"), [("flat", 2.85), ("round", 2.25)])
def test_an_oven_that_lights_late_has_a_weak_igniter_without_a_contradiction(bench, style, amperes):
    build = bench.build(igniter_style=style)
    said = {"complaints": ["oven_slow_to_light"], "working": ["bake_lights"], "options": build}
    bare = bench.diagnose(**said)
    assert bare.first == "bake_igniter_weak"
    assert bare.chance("bake_igniter_weak") > 0.5
    assert bare.diagnosis.clashes == ()
    assert bare.next.kind == "test"
    read = bench.diagnose(
        said["complaints"], bench.read("outlet_voltage", 120.0), bench.read("bake_igniter_current", amperes),
        working=said["working"], options=build,
    )  # fmt: skip
    assert read.chance("bake_igniter_weak") > 0.8
    assert read.remedy == "replace_bake_igniter"
    assert read.diagnosis.clashes == ()


def test_a_burner_seen_to_light_late_agrees(bench):
    answer = bench.diagnose(["oven_slow_to_light"], bench.see("bake_burner_lighting", "late"))
    assert answer.first == "bake_igniter_weak"
    assert answer.chance("bake_igniter_weak") > 0.75
    assert answer.diagnosis.clashes == ()
