"""The engine's answers on the gas range: the same every time, whatever the order, with and without a next step."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import replace
from itertools import permutations
from pathlib import Path

import pytest

from probewright.engine import check_readings, diagnose, warm_up
from probewright.engine.answers import LEAST_DECIBANS, LEAST_PROBABILITY
from probewright.settings import Settings
from probewright_schemas.records import Case, Conditions, Meter, Quantity, Reading, RepairDone

SETTINGS = Settings()
WEAK = (
    Reading("bake_igniter_current", 2.6, unit="A", state="live_gas_off"),
    Reading("bake_igniter_glow", seen="dim_orange"),
    Reading("bake_igniter_resistance", 120.0, unit="ohm", meter="dmm", state="isolated"),
    Reading("outlet_voltage", 121.0, unit="V"),
    Reading("oven_sensor_resistance", 1.08, unit="kohm",
            conditions=Conditions(ambient=Quantity(70.0, "degF"))),
)  # fmt: skip


@pytest.fixture(scope="module")
def weak(job):
    return job(*WEAK, complaints=("bake_does_not_light",), working=("surface_burners_light", "display_on"),
               meters={"dmm": Meter("multimeter", percent_of_reading=0.5, counts=2.0)}, reference="invented-1",
               repairs_done=(RepairDone("clean_burner_ports", complaint_remains=True),))  # fmt: skip


def test_an_answer_in_full(weak, gas_range):
    found = diagnose(weak, gas_range, SETTINGS)
    assert found.reference == "invented-1"
    assert found.pack == gas_range.identity
    assert found.faults[0].fault == "bake_igniter_weak"
    assert found.faults[0].probability > 0.9
    assert [r.test for r in found.readings] == [r.test for r in WEAK]
    assert found.readings[0].verdict == "outside"
    assert {e.source for e in found.faults[0].evidence} >= {"bake_igniter_current", "bake_igniter_glow"}
    assert found.next is not None
    assert found.notice == gas_range.family.notice
    assert set(gas_range.family.cautions) <= set(found.cautions)
    assert len(set(found.cautions)) == len(found.cautions)


def test_faults_are_ranked_and_explained(weak, gas_range):
    found = diagnose(weak, gas_range, SETTINGS)
    chances = [fault.probability for fault in found.faults]
    assert chances == sorted(chances, reverse=True)
    assert all(LEAST_PROBABILITY <= chance <= 1 for chance in chances)
    titles = {fault.id: (fault.title, fault.part) for fault in gas_range.family.faults}
    for fault in found.faults:
        assert (fault.title, fault.part) == titles[fault.fault]
        assert all(abs(e.decibans) >= LEAST_DECIBANS for e in fault.evidence)
        assert all(e.decibans == round(e.decibans, 1) for e in fault.evidence)
    assert 0 <= found.no_fault <= 1
    assert 0 <= found.unexplained <= 1


def test_same_answer_every_time(weak, gas_range):
    first = diagnose(weak, gas_range, SETTINGS)
    assert diagnose(weak, gas_range, SETTINGS) == first
    assert repr(diagnose(replace(weak), gas_range, SETTINGS)) == repr(first)


PROGRAM = """
from probewright.engine import diagnose
from probewright.packs.loader import load_packs
from probewright.settings import Settings
from probewright_schemas.records import Case, Reading
readings = (Reading("bake_igniter_current", 2.6, unit="A"), Reading("bake_igniter_glow", seen="dim_orange"))
for options in ({}, {"fuel": "propane", "oven_ignition": "hot_surface"}):
    case = Case("gas_range", options=options, complaints=("bake_does_not_light",), readings=readings)
    print(repr(diagnose(case, load_packs().get("gas_range"), Settings())))
"""


def test_same_bits_in_every_process():
    runs = {
        subprocess.run([sys.executable, "-c", PROGRAM], env={**os.environ, "PYTHONHASHSEED": seed}, check=True,
                       capture_output=True, text=True, cwd=Path(__file__).parent).stdout
        for seed in ("0", "12345")
    }  # fmt: skip
    assert len(runs) == 1
    assert "bake_igniter_weak" in runs.pop()


def test_what_was_asked_before_does_not_matter(weak, gas_range, job):
    fresh = diagnose(weak, replace(gas_range), SETTINGS)
    busy = replace(gas_range)
    warm_up(busy, SETTINGS)
    dead = job(Reading("outlet_voltage", 0.0, unit="V"))
    for other in (job(), replace(weak, options={}), dead, replace(weak, effort="none")):
        diagnose(other, busy, SETTINGS)
    assert diagnose(weak, busy, SETTINGS) == fresh


def test_order_of_readings_does_not_matter(weak, gas_range):
    # But for what each piece of evidence added to those before it, and for the cost of the next step: the last reading
    # says in which state the appliance is.
    first = diagnose(weak, gas_range, SETTINGS)
    for order in permutations(WEAK[:-1]):
        found = diagnose(replace(weak, readings=(*order, WEAK[-1])), gas_range, SETTINGS)
        assert {f.fault: f.probability for f in found.faults} == pytest.approx(
            {f.fault: f.probability for f in first.faults}, rel=1e-9)  # fmt: skip
        assert (found.unexplained, found.no_fault) == pytest.approx((first.unexplained, first.no_fault), rel=1e-9)
        assert {r.test: r for r in found.readings} == {r.test: r for r in first.readings}
        assert (found.next.kind, found.next.id) == (first.next.kind, first.next.id)
        assert found.next.expected_cost == pytest.approx(first.next.expected_cost, rel=1e-9)


def test_order_of_reports_does_not_matter(gas_range, job):
    complaints, working = ("bake_does_not_light", "broil_does_not_light"), ("display_on", "surface_burners_light")
    one, other = (
        diagnose(job(complaints=c, working=w), gas_range, SETTINGS)
        for c, w in ((complaints, working), (complaints[::-1], working[::-1]))
    )
    assert [f.fault for f in one.faults] == [f.fault for f in other.faults]
    assert [f.probability for f in one.faults] == pytest.approx([f.probability for f in other.faults], rel=1e-9)


def test_decibans_add_up_to_the_way_from_the_prior(weak, gas_range, job):
    # Rounded, and small ones left out.
    prior = {f.fault: f.probability for f in diagnose(job(), gas_range, SETTINGS).faults}
    top = diagnose(weak, gas_range, SETTINGS).faults[0]
    gained = sum(e.decibans for e in top.evidence)
    before, after = (p / (1 - p) for p in (prior[top.fault], top.probability))
    assert 10 ** (gained / 10) * before == pytest.approx(after, rel=0.6)


class TestEffort:
    def test_none_is_the_same_without_a_next_step(self, weak, gas_range):
        quick = diagnose(weak, gas_range, SETTINGS)
        none = diagnose(replace(weak, effort="none"), gas_range, SETTINGS)
        assert (none.readings, none.faults, none.clashes) == (quick.readings, quick.faults, quick.clashes)
        assert (none.unexplained, none.no_fault) == (quick.unexplained, quick.no_fault)
        assert none.next is None
        assert none.alternatives == none.parts == none.closing_checks == ()
        assert quick.next is not None

    @pytest.mark.parametrize("effort", ["none", "quick"])
    def test_a_hazard_is_named_all_the_same(self, gas_range, job, effort):
        found = diagnose(job(complaints=("gas_smell",), effort=effort), gas_range, SETTINGS)
        assert found.next.kind in ("stop", "refer")
        assert found.next.cautions


class TestOpenOptions:
    def test_weighed_and_told(self, gas_range):
        case = Case("gas_range", complaints=("bake_does_not_light",), readings=WEAK[:2])
        found = diagnose(case, gas_range, SETTINGS)
        shares = [c.probability for c in found.configurations]
        assert len(shares) > 1
        assert shares == sorted(shares, reverse=True)
        assert sum(shares) == pytest.approx(1.0, abs=0.1)
        assert any("builds weighed" in text for text in found.assumptions)

    def test_an_option_that_was_not_weighed_is_not_told_as_known(self, gas_range, job):
        # Nothing here depends on the fuel: natural gas is no surer than before, and nobody said so.
        given = {"oven_ignition": "hot_surface", "cooktop_ignition": "spark", "oven_control": "electronic"}
        found = diagnose(job(WEAK[0], options=given), gas_range, SETTINGS)
        assert found.configurations
        fuels = {value.id: float(value.share) for value in gas_range.family.options[0].values}
        told = dict.fromkeys(fuels, 0.0)
        for configuration in found.configurations:
            fuel = configuration.options.get("fuel")
            if fuel is not None:
                told[fuel] += configuration.probability
        assert told == pytest.approx(dict.fromkeys(fuels, 0.0)) or told == pytest.approx(fuels, abs=0.05)

    def test_not_told_when_all_are_given(self, weak, gas_range):
        found = diagnose(weak, gas_range, SETTINGS)
        assert found.configurations == ()
        assert found.assumptions == ()

    def test_a_reading_tells_builds_apart(self, gas_range, job):
        # White at 2.7 A: a flat one would glow dimly.
        options = {"oven_ignition": "hot_surface", "oven_control": "electronic", "cooktop_ignition": "spark",
                   "fuel": "natural_gas", "sensor_curve": "iec_60751"}  # fmt: skip
        readings = (Reading("bake_igniter_current", 2.7, unit="A"), Reading("bake_igniter_glow", seen="white"))
        found = diagnose(job(*readings, options=options), gas_range, SETTINGS)
        styles = {c.options["igniter_style"]: c.probability for c in found.configurations}
        assert styles["round"] > 0.9

    def test_given_ones_agree_with_the_build_they_leave(self, gas_range, job):
        options = {"oven_ignition": "hot_surface", "igniter_style": "flat"}
        cases = (job(*WEAK[:2], options=options), job(*WEAK[:2]))
        open_, given = (diagnose(case, gas_range, SETTINGS) for case in cases)
        ours, theirs = ({f.fault: f.probability for f in d.faults} for d in (open_, given))
        assert ours["bake_igniter_weak"] == pytest.approx(theirs["bake_igniter_weak"], rel=0.05)


class TestAssumptions:
    def test_supply_voltage(self, gas_range, job):
        told = "supply voltage not measured"
        known = Conditions(supply_voltage=Quantity(118.0, "V"))
        assert any(told in text for text in diagnose(job(), gas_range, SETTINGS).assumptions)
        for case in (job(conditions=known), job(WEAK[1], conditions=known), job(WEAK[3]), job(WEAK[3], WEAK[0])):
            assert not any(told in text for text in diagnose(case, gas_range, SETTINGS).assumptions)
            assert not any(told in text for text in check_readings(case, gas_range, SETTINGS).assumptions)


def test_readings_alone_are_judged_as_in_a_diagnosis(weak, gas_range):
    report = check_readings(weak, gas_range, SETTINGS)
    assert report.readings == diagnose(weak, gas_range, SETTINGS).readings
    assert (report.pack, report.reference, report.notice) == (gas_range.identity, "invented-1", gas_range.family.notice)


def test_settings_of_the_deployment(weak, gas_range):
    reading = Reading("bake_igniter_current", 3.25, unit="A", state="live_gas_off")
    case = replace(weak, readings=(reading,))
    usual = diagnose(case, gas_range, SETTINGS).readings[0]
    assert usual.verdict == "inconclusive"
    lax = diagnose(case, gas_range, Settings(verdict_within=usual.probability_within - 0.01)).readings[0]
    assert lax.verdict == "within"
    hard = diagnose(weak, gas_range, Settings(misread_rate=0.0001)).faults[0].probability
    soft = diagnose(weak, gas_range, Settings(misread_rate=0.4)).faults[0].probability
    assert hard > soft


def test_states_with_and_without_gas(gas_range, job):
    # With the gas shut there is no pressure and no carbon monoxide, whatever is wrong.
    for test, unit in (("manifold_pressure", "inH2O"), ("carbon_monoxide_air_free", "ppm")):
        found = diagnose(job(Reading(test, 0.0, unit=unit, state="live_gas_off")), gas_range, SETTINGS)
        assert found.readings[0].verdict == "rejected", test
        assert [f.code for f in found.readings[0].findings] == ["wrong_state"]
