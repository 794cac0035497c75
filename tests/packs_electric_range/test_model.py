"""The model holds together: faults, repairs, tests, safety."""

from __future__ import annotations

import pytest


def test_builds_are_few(builds):
    """Two cooktops and two bake elements, and for each the curves of the sensor."""
    assert len(builds) == 4


def test_bake_and_broil_are_made_alike(family):
    """Nothing of one element lacks its counterpart; only bake can be hidden, and has a floor in place of a glow."""
    for kind in ("tests", "faults", "repairs", "parts", "functions"):
        ids = {record.id for record in getattr(family, kind) if "hidden" not in record.id}
        bake = {i.replace("bake", "broil") for i in ids if "bake" in i}
        assert bake == {i for i in ids if "broil" in i}, kind
        assert bake


def test_a_hidden_element_has_tests_and_a_repair_of_its_own(family):
    records = {record.id: record for record in (*family.tests, *family.repairs)}
    for hidden in (i for i in records if "hidden_bake" in i):
        seen = records[hidden.replace("hidden_", "")]
        assert records[hidden].when == {"bake_element": "hidden"}
        assert seen.when == {"bake_element": "visible"}
    zones = {zone.id: float(zone.minutes) for zone in family.zones}

    def work(repair):
        return float(repair.minutes) + sum(zones[zone] for zone in repair.zones)

    assert work(records["replace_hidden_bake_element"]) > 2 * work(records["replace_bake_element"])


def test_live_tests_warn_of_mains_and_of_the_second_leg(family):
    for test in (t for t in family.tests if t.kind in ("voltage", "current")):
        assert any("Mains" in caution for caution in test.cautions), test.id
        assert any("leg" in caution or "terminal" in caution for caution in test.cautions), test.id
    (live,) = (state for state in family.states if state.id == "powered")
    steps = " ".join(live.steps)
    assert steps.index("every control to off") < steps.index("clip the probes") < steps.index("Switch on")


def test_both_legs_are_proven_dead_and_the_knob_is_not_trusted(family):
    (dead,) = (state for state in family.states if state.id == "isolated")
    assert any("each leg" in step and "neutral" in step for step in dead.steps)
    assert any("One leg stays on the elements" in caution for caution in dead.cautions)
    for repair in family.repairs:
        if repair.part in ("bake_element", "broil_element", "surface_element", "surface_switch"):
            assert any("One leg stays" in caution for caution in repair.cautions), repair.id
            assert repair.state == "isolated", repair.id


def test_house_wiring_is_handed_to_an_electrician(family):
    licensed = {r.id for r in family.repairs if r.skill == "electrical_licence"}
    assert licensed == {"mend_legs_neutral", "mend_service_neutral", "raise_legs_voltage"}
    assert any("Aluminium" in caution and "electrician" in caution for caution in family.cautions)
    assert any("Local codes" in caution for caution in family.cautions)
    assert "local codes" in family.notice


def test_hazards_have_interlocks(family):
    locks = {lock.id: lock for lock in family.interlocks}
    assert {i: lock.kind for i, lock in locks.items()} == {
        "sparks_or_smoke": "stop", "shock": "stop", "legs_overvoltage": "refer", "unsafe_wiring": "refer",
        "cracked_glass": "refer", "neutral_in_doubt": "refer",
    }  # fmt: skip
    assert locks["sparks_or_smoke"].complaints == ("sparks_or_smoke",)
    assert locks["shock"].complaints == ("felt_a_shock",)
    assert locks["unsafe_wiring"].seen == {
        "wiring_condition": ("scorched", "wet"), "terminal_block_condition": ("scorched",),
    }  # fmt: skip
    over = locks["legs_overvoltage"]
    legs = [f"leg_{leg}_to_{where}" for leg in ("one", "two") for where in ("neutral", "chassis_under_load")]
    assert over.above == dict.fromkeys(legs, pytest.approx(1.1 * 120.0))
    for lock in family.interlocks:
        assert "breaker" in " ".join(lock.steps), lock.id


def test_nothing_that_protects_is_bridged(family):
    for test in ("oven_limit_continuity", "limiter_continuity"):
        (found,) = (t for t in family.tests if t.id == test)
        assert any("Never bridge" in caution for caution in found.cautions), test
    (limit,) = (r for r in family.repairs if r.id == "replace_oven_limit")
    assert any("Never bridge" in caution for caution in limit.cautions)


def test_the_checklist_goes_from_the_supply_to_a_look_to_the_meter_and_has_every_test(family):
    order = {test: place for place, test in enumerate(family.checklist)}
    asked = {t.id for t in family.tests if not t.closing and not t.reported}
    assert asked == set(family.checklist)
    for first, then in (("legs_voltage", "control_lock"), ("control_lock", "bake_element_condition"),
                        ("bake_element_condition", "bake_element_resistance"),
                        ("bake_element_resistance", "bake_element_voltage"),
                        ("coil_in_another_place", "coil_resistance"),
                        ("bake_element_voltage", "bake_relay_voltage"), ("bake_relay_voltage", "oven_temperature")):
        assert order[first] < order[then], (first, then)
