"""Sample cases are drawn from the model, the same each time, and ready to be sent."""

from __future__ import annotations

import pytest

import ice_maker
import range_hood
from probewright.packs import hookimpl
from probewright.packs.loader import load_packs
from probewright.testing import client, sample_cases
from probewright.testing.typical import Typical


def test_one_for_each_fault_in_the_familys_order():
    assert list(sample_cases(ice_maker)) == [fault.id for fault in ice_maker.FAMILY.faults]


def test_the_same_seed_gives_the_same_cases_and_another_one_others():
    assert sample_cases(ice_maker, seed=3) == sample_cases(ice_maker, seed=3)
    assert sample_cases(ice_maker, seed=3) != sample_cases(ice_maker, seed=4)


def test_most_draws_of_most_faults_are_told_to_be_it():
    asked, told = client(ice_maker), []
    for seed in range(5):
        for fault, case in sample_cases(ice_maker, seed).items():
            answer = asked.diagnose({**case, "effort": "none"})
            told.append(answer["faults"][0]["fault"] == fault)
    assert sum(told) / len(told) > 0.85


def test_cases_hold_a_few_readings_in_their_recommended_states():
    tests = {test.id: test for test in ice_maker.FAMILY.tests}
    for case in sample_cases(ice_maker).values():
        assert 1 <= len(case["readings"]) <= 4
        assert all(reading["state"] == tests[reading["test"]].states[0] for reading in case["readings"])


def test_complaints_that_end_a_call_are_left_out():
    assert all("felt_a_shock" not in case["complaints"] for case in sample_cases(ice_maker).values()
               if len(case["complaints"]) > 1)  # fmt: skip


def test_every_sample_of_a_large_pack_is_a_valid_case():
    gas_range = load_packs().packs["gas_range"]

    class Pack:
        """The installed pack, as an object."""

        CONTRACT = "1.1"

    Pack.probewright_family = staticmethod(hookimpl(lambda: gas_range.family))
    asked, cases = client(Pack), sample_cases(Pack)
    assert len(cases) == len(gas_range.family.faults)
    assert all(asked.check(case)["readings"] for case in cases.values())


def test_typical_readings_name_the_conditions_and_meters_that_they_were_taken_with():
    typical = Typical(load_packs().packs["gas_range"].family)
    case = typical.case("oven_sensor_drifted")
    readings = {reading["test"]: reading for reading in case["readings"]}
    assert readings["oven_sensor_resistance"]["conditions"]["ambient"]["unit"] == "degC"
    assert readings["oven_temperature"]["conditions"]["set_point"] == {"value": 150.0, "unit": "degC"}
    assert {reading["meter"] for reading in case["readings"] if "meter" in reading} <= set(case["meters"])
    assert case["meters"]["voltage"]["input"] == "low_impedance"


def test_typical_readings_follow_the_circuit():
    typical = Typical(ice_maker.FAMILY)
    healthy, open_ = typical.signature(None, {}), typical.signature("heater_open", {})
    assert open_["heater_resistance"] == ("over_range", None)
    assert open_["mould_warmth"] == ("seen", "cold")
    assert healthy["mould_warmth"] == ("seen", "warm")
    what, ohms = healthy["heater_resistance"]
    assert what == "value"
    assert 72 < ohms < 84
    differing = {test for test in healthy if healthy[test] != open_[test]}
    # Without the heater's current the relay drops next to nothing.
    assert differing - {"heater_feed_voltage"} == {"heater_resistance", "mould_warmth"}
    assert open_["heater_feed_voltage"][1] == pytest.approx(healthy["heater_feed_voltage"][1], rel=0.01)


def test_a_typical_complaint_speaks_for_its_fault():
    typical = Typical(ice_maker.FAMILY)
    assert typical.complaint("valve_leaks", {}) == "overflows"
    assert typical.complaint("strainer_blocked", {}) in {"small_cubes", "mould_dry"}
    assert Typical(range_hood.FAMILY).complaint("filter_clogged", {}) == "no_air"
