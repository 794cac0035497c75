"""The ice maker keeps the contract, and is not fooled where a hurried technician would be."""

from __future__ import annotations

import pytest

import ice_maker
from probewright.testing import (
    PackConformance,
    assert_hazard,
    assert_leads,
    assert_next,
    assert_ruled_out,
    assert_verdict,
)  # fmt: skip


class TestContract(PackConformance):
    pack = ice_maker


@pytest.fixture
def client(probewright_client):
    return probewright_client(ice_maker)


def test_a_cold_mould_is_not_the_heater_while_its_cutout_was_not_tried(client):
    answer = client.diagnose({
        "complaints": ["ice_stays"],
        "readings": [
            {"test": "mould_warmth", "seen": "cold"},
            {"test": "ejector_motion", "seen": "turns"},
        ],
    })
    assert_leads(answer, "heater_open")
    assert_next(answer, "test", "cutout_continuity")
    assert_ruled_out(answer, "no_supply")


def test_an_open_heater_is_replaced(client):
    answer = client.diagnose({
        "complaints": ["ice_stays"],
        "readings": [{"test": "heater_resistance", "over_range": True}],
    })
    assert_verdict(answer, "heater_resistance", "outside")
    assert_leads(answer, "heater_open", at_least=0.9)
    assert_next(answer, "repair", "replace_mould")


def test_a_fed_valve_that_gives_no_water_is_not_replaced(client):
    answer = client.diagnose({
        "complaints": ["mould_dry"],
        "readings": [
            {"test": "valve_resistance", "value": 200, "unit": "ohm"},
            {"test": "valve_feed_voltage", "value": 120, "unit": "V"},
            {"test": "fill_stream", "seen": "none"},
        ],
    })
    assert_ruled_out(answer, "valve_open")
    assert_ruled_out(answer, "fill_relay_open")
    assert answer["next"]["kind"] == "test"


def test_a_resistance_under_power_is_rejected(client):
    answer = client.diagnose({
        "complaints": ["ice_stays"],
        "readings": [{"test": "heater_resistance", "value": 78, "unit": "ohm", "state": "live"}],
    })
    assert_verdict(answer, "heater_resistance", "rejected")


def test_a_shock_stops_everything(client):
    assert_hazard(client.diagnose({"complaints": ["no_ice", "felt_a_shock"]}), "shock")


def test_wet_wiring_stops_everything_until_it_was_seen_dry(client):
    wet = {"test": "wiring_condition", "seen": "wet"}
    assert_hazard(client.diagnose({"complaints": ["overflows"], "readings": [wet]}), "wet_wiring")
    dry = {"test": "wiring_condition", "seen": "dry", "after_repair": "replace_valve"}
    answer = client.diagnose({
        "complaints": ["overflows"],
        "readings": [wet, dry],
        "repairs_done": [{"repair": "replace_valve", "complaint_remains": False}],
    })
    assert_next(answer, "test", "fill_stream")


def test_of_an_overflow_the_valve_is_suspected_and_the_drip_looked_at(client):
    answer = client.diagnose({"complaints": ["overflows"]})
    assert_leads(answer, "valve_leaks")
    assert_next(answer, "test", "fill_tube_drip")


def test_a_visit_is_planned(client):
    plan = client.plan({"complaints": ["no_ice"]})
    assert plan["first_visit_probability"] > 0.5
    assert plan["order"]
