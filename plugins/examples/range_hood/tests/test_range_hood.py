"""The range hood keeps the contract, and its answers are those of a careful technician."""

from __future__ import annotations

import pytest

import range_hood
from probewright.testing import PackConformance, assert_hazard, assert_leads, assert_next, assert_ruled_out


class TestContract(PackConformance):
    pack = range_hood


@pytest.fixture
def client(probewright_client):
    return probewright_client(range_hood)


def test_the_filter_is_looked_at_before_anything_is_opened(client):
    assert_next(client.diagnose({"complaints": ["no_air"]}), "test", "filter")


def test_a_lit_lamp_clears_the_supply(client):
    answer = client.diagnose({
        "complaints": ["no_air"],
        "readings": [{"test": "fan", "seen": "still"}, {"test": "lamp", "seen": "lit"}],
    })
    assert_ruled_out(answer, "no_supply")
    assert_next(answer, "test", "motor_resistance")


def test_a_weak_capacitor_is_measured(client):
    answer = client.diagnose({
        "complaints": ["no_air", "hums"],
        "readings": [{"test": "capacitance", "value": 2.1, "unit": "uF"}],
    })
    assert_leads(answer, "capacitor_weak", at_least=0.95)
    assert_next(answer, "repair", "replace_capacitor")


def test_a_burnt_smell_stops_everything(client):
    assert_hazard(client.diagnose({"complaints": ["smells_burnt"]}), "burning")


def test_scorched_wiring_stops_everything(client):
    answer = client.diagnose({"complaints": ["no_air"], "readings": [{"test": "wiring", "seen": "scorched"}]})
    assert_hazard(answer, "burning")
