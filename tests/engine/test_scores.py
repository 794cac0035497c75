"""Log-likelihoods by single fault, for systems that reason for themselves."""

from __future__ import annotations

import math

import numpy as np
import pytest

from probewright.engine import diagnose, score_readings
from probewright.settings import Settings
from probewright_schemas.records import Case, Reading
from support.families import RATES, SMALL, UNKNOWN_RATE, case, pack_of

SETTINGS = Settings()
GLOW, CURRENT = Reading("glow", seen="dim"), Reading("heater_current", 2.7, unit="A")


def table(report):
    return {r.test: dict(zip(report.hypotheses, r.log_likelihoods, strict=True)) for r in report.readings}


def test_hypotheses_in_order():
    report = score_readings(case(GLOW, CURRENT), pack_of(), SETTINGS)
    assert report.hypotheses == ("no_fault", *RATES, "unknown")
    assert [r.test for r in report.readings] == ["glow", "heater_current"]


def test_faults_of_another_build_are_left_out():
    report = score_readings(case(GLOW, options={**SMALL, "lamp": "no"}), pack_of(), SETTINGS)
    assert "lamp_dirty" not in report.hypotheses


def test_scores_are_enough_to_reason_with():
    # With single faults only, Bayes' rule on the scores comes close to the engine's own answer.
    given = case(GLOW, CURRENT)
    scores = table(score_readings(given, pack_of(), SETTINGS))
    odds = {"no_fault": 1.0, **{f: r / (1 - r) for f, r in RATES.items()}, "unknown": UNKNOWN_RATE / (1 - UNKNOWN_RATE)}
    weights = {name: odds[name] * math.exp(sum(row[name] for row in scores.values())) for name in odds}
    alone = weights["heater_weak"] / sum(weights.values())
    found = next(f.probability for f in diagnose(given, pack_of(), SETTINGS).faults if f.fault == "heater_weak")
    assert alone == pytest.approx(found, abs=0.01)


def test_open_builds_are_averaged_over_those_that_have_the_fault():
    def row(**options):
        return table(score_readings(case(CURRENT, options=options), pack_of(), SETTINGS))["heater_current"]

    rows = {"small": row(style="small", lamp="no"), "large": row(style="large", lamp="no"), "open": row(lamp="no")}
    for name, value in rows["open"].items():
        likelihood = 0.75 * math.exp(rows["small"][name]) + 0.25 * math.exp(rows["large"][name])
        assert value == pytest.approx(math.log(likelihood), abs=1e-9), name


def test_a_build_without_the_test_explains_it_as_a_mistake():
    lamp = Reading("lamp", seen="lit")
    open_, with_lamp = (
        table(score_readings(case(lamp, options=o), pack_of(), SETTINGS))["lamp"] for o in ({"style": "small"}, SMALL)
    )
    mistake = SETTINGS.misread_rate / 2
    expected = 0.6 * math.exp(with_lamp["no_fault"]) + 0.4 * mistake
    assert open_["no_fault"] == pytest.approx(math.log(expected), abs=1e-9)
    assert open_["lamp_dirty"] == pytest.approx(with_lamp["lamp_dirty"], abs=1e-9)  # only builds with a lamp have it


def test_rejected_readings_are_skipped():
    wrong = Reading("heater_ohms", 24.0, unit="ohm", state="live")
    report = score_readings(case(wrong, GLOW, reference="invented-2"), pack_of(), SETTINGS)
    assert [r.test for r in report.readings] == ["glow"]
    assert [(r.test, r.verdict) for r in report.skipped] == [("heater_ohms", "rejected")]
    assert report.reference == "invented-2"


def test_every_reading_is_scored_or_skipped(gas_range, job):
    readings = (Reading("bake_igniter_current", 2.6, unit="A"), Reading("bake_igniter_glow", seen="white"),
                Reading("oven_temperature", 350.0, unit="degF"), Reading("bake_igniter_resistance", over_range=True),
                Reading("manifold_pressure", 5.0, unit="inH2O"))  # fmt: skip
    report = score_readings(job(*readings), gas_range, SETTINGS)
    told = {r.test for r in report.readings} | {r.test for r in report.skipped}
    # The oven's temperature says nothing without its set point; it is neither scored nor rejected.
    assert told == {r.test for r in readings} - {"oven_temperature"}


@pytest.mark.filterwarnings("error")
def test_finite_on_the_gas_range_with_everything_open(gas_range):
    readings = (Reading("bake_igniter_current", 2.6, unit="A"), Reading("bake_igniter_glow", seen="none"),
                Reading("oven_sensor_resistance", over_range=True), Reading("oven_pilot_flame", seen="out"),
                Reading("outlet_voltage", 1e-9, unit="V"),
                Reading("carbon_monoxide_air_free", 1e6, unit="ppm"))  # fmt: skip
    report = score_readings(Case("gas_range", readings=readings), gas_range, SETTINGS)
    assert len(report.readings) == len(readings)
    for row in report.readings:
        assert np.isfinite(row.log_likelihoods).all(), row.test
        assert len(row.log_likelihoods) == len(report.hypotheses)
