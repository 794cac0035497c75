"""A repair of the gas range proven check by check, through the engine's own verdicts and beliefs."""

from __future__ import annotations

import pytest

from probewright.circuit.parts import holds
from probewright.inference.evaluate import Rules, evaluate
from probewright.inference.store import ModelStore
from probewright.planning.finish import closing_state
from probewright.planning.interlocks import raised
from probewright_schemas.records import Case, Conditions, Quantity, Reading, RepairDone

OPTIONS = {
    "fuel": "natural_gas", "oven_ignition": "hot_surface", "igniter_style": "flat", "cooktop_ignition": "spark",
    "oven_control": "electronic",
}  # fmt: skip
WEAK = (
    Reading("bake_igniter_current", 2.6, unit="A"), Reading("bake_igniter_glow", seen="dim_orange"),
)  # fmt: skip
#: What proves a new bake igniter, each with a reading that passes and one that does not.
PROOFS = {
    "bake_igniter_current": (Reading("bake_igniter_current", 3.4, unit="A"),
                             Reading("bake_igniter_current", 2.4, unit="A")),
    "bake_burner_lighting": (Reading("bake_burner_lighting", seen="in_time"),
                             Reading("bake_burner_lighting", seen="late")),
    "carbon_monoxide_air_free": (Reading("carbon_monoxide_air_free", 30.0, unit="ppm"),
                                 Reading("carbon_monoxide_air_free", 95.0, unit="ppm")),
    "oven_flames": (Reading("oven_flames", seen="blue"), Reading("oven_flames", seen="yellow_or_sooty")),
    "covers_and_anti_tip": (Reading("covers_and_anti_tip", seen="in_place"),
                            Reading("covers_and_anti_tip", seen="something_missing")),
}  # fmt: skip


@pytest.fixture(scope="module")
def store(family):
    return ModelStore(family)


def since(reading: Reading, repair: str = "replace_bake_igniter") -> Reading:
    return Reading(reading.test, reading.value, unit=reading.unit, seen=reading.seen, after_repair=repair)


def job(*readings: Reading, repairs=("replace_bake_igniter",), complaints=("bake_does_not_light",)) -> Case:
    return Case(
        "gas_range", options=OPTIONS, complaints=complaints, readings=(*WEAK, *readings),
        conditions=Conditions(supply_voltage=Quantity(120.0, "V")),
        repairs_done=tuple(RepairDone(repair, complaint_remains=False) for repair in repairs),
    )  # fmt: skip


def state_of(case: Case, store: ModelStore):
    found = evaluate(case, store, Rules())
    return closing_state(store.family, case, found.readings.checked), found


def present(found, fault: str) -> float:
    return float(found.present[found.faults.index(fault)])


def test_the_checks_of_a_new_igniter_pass_one_after_the_other(store):
    shown: list[Reading] = []
    for test, (sound, _) in PROOFS.items():
        state, _ = state_of(job(*shown), store)
        assert state.open[0].closing.test == test
        assert not state.failed
        shown.append(since(sound))
    state, found = state_of(job(*shown), store)
    assert state.passed
    assert len(state.proofs) == len(PROOFS)
    assert present(found, "bake_igniter_weak") < 0.01
    assert found.none > 0.9


def test_the_same_readings_of_the_time_before_prove_nothing(store):
    state, _ = state_of(job(*(sound for sound, _ in PROOFS.values())), store)
    assert {proof.status for proof in state.proofs} == {"open"}


@pytest.mark.parametrize("test", sorted(PROOFS))
def test_one_reading_that_does_not_pass_keeps_the_job_open(store, test):
    shown = [since(bad if name == test else sound) for name, (sound, bad) in PROOFS.items()]
    state, _ = state_of(job(*shown), store)
    assert not state.passed
    # 95 ppm may be over the limit of 100, so it decides nothing: measured again, not left.
    wanted = "open" if test == "carbon_monoxide_air_free" else "failed"
    assert [(p.closing.test, p.status) for p in state.proofs if p.status != "passed"] == [(test, wanted)]


def test_a_new_igniter_that_draws_as_little_as_the_old_one_puts_the_harness_under_suspicion(store):
    state, found = state_of(job(since(PROOFS["bake_igniter_current"][1])), store)
    assert state.failed[0].closing.id == "bake_current_in_band"
    _, before = state_of(Case("gas_range", options=OPTIONS, complaints=("bake_does_not_light",), readings=WEAK,
                              conditions=Conditions(supply_voltage=Quantity(120.0, "V"))), store)  # fmt: skip
    assert present(before, "bake_igniter_weak") > 5 * present(before, "bake_harness_corroded")
    assert present(found, "bake_harness_corroded") > 0.3
    assert present(found, "bake_harness_corroded") + present(found, "bake_igniter_weak") > 0.9


@pytest.mark.parametrize(
    ("test", "seen", "faults"),
    [
        ("oven_flames", "yellow_or_sooty", {"air_passages_covered", "wrong_orifices_for_fuel"}),
        ("surface_flames", "yellow_or_sooty", {"burner_ports_blocked", "burner_cap_misplaced"}),
        ("surface_burners_lighting", "some_fail", {"spark_module_output_dead", "ignition_switch_stuck_open"}),
        ("spark_stopping", "goes_on", {"ignition_switch_stuck_closed"}),
        ("display_and_controls", "some_fail", {"control_locked"}),
    ],
)
def test_a_check_that_fails_points_to_what_brings_it_about(store, test, seen, faults):
    _, found = state_of(job(since(Reading(test, seen=seen))), store)
    _, without = state_of(job(), store)
    gained = {fault: present(found, fault) / max(present(without, fault), 1e-12) for fault in found.faults}
    best = sorted(gained, key=gained.__getitem__)[-len(faults):]
    assert set(best) & faults, best
    assert all(present(found, fault) > 2 * present(without, fault) for fault in faults)


def test_bubbles_after_a_repair_of_the_gas_side_stop_everything(store):
    case = job(since(Reading("leak_check_solution", seen="bubbles"), "repair_gas_leak"), repairs=("repair_gas_leak",))
    state, found = state_of(case, store)
    assert [proof.closing.id for proof in state.failed] == ["joints_tight"]
    assert [lock.id for lock in raised(store.family, case, found.readings.checked)] == ["gas_escape"]


def test_carbon_monoxide_in_the_room_stops_everything(store):
    reading = since(Reading("carbon_monoxide_in_room", 40.0, unit="ppm"), "clean_burner_ports")
    case = job(reading, repairs=("clean_burner_ports",))
    state, found = state_of(case, store)
    assert [proof.closing.id for proof in state.failed] == ["room_air_clean"]
    assert [lock.id for lock in raised(store.family, case, found.readings.checked)] == ["carbon_monoxide"]


def test_a_repaired_leak_is_proven_tight_before_anything_is_lit(store):
    state, _ = state_of(job(repairs=("repair_gas_leak",)), store)
    order = [proof.closing.id for proof in state.proofs]
    assert order[:3] == ["joints_tight", "no_gas_odour", "air_purged"]
    assert order[-1] == "covers_on"
    assert "pilots_steady" not in order


def test_dead_checks_come_before_power_and_power_before_gas(store):
    state, _ = state_of(job(repairs=("replace_supply_cord",)), store)
    states = {s.id: s.risk for s in store.family.states}
    risks = [states[proof.test.states[0]] for proof in state.proofs if proof.closing.id != "covers_on"]
    assert risks == sorted(risks)
    assert next(proof.closing.id for proof in state.proofs) == "ground_continuous"


def test_every_repair_can_be_proven_in_every_build(store, builds):
    """In each build there is an outcome or a band that passes for every check that stands."""
    for build in builds:
        for repair in (r for r in store.family.repairs if holds(r.when, build)):
            case = Case("gas_range", options={**build, "fuel": "natural_gas"},
                        repairs_done=(RepairDone(repair.id, complaint_remains=False),))  # fmt: skip
            state = closing_state(store.family, case, [])
            assert state.open, repair.id
            for proof in state.proofs:
                assert proof.test is not None
                assert holds(proof.test.when, build), (repair.id, proof.closing.id, build)
