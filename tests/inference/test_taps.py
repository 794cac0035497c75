"""Builds that are fed with another nominal voltage: what is told in their volts means the same share."""

from __future__ import annotations

from dataclasses import replace

import pytest

from probewright.engine import diagnose
from probewright.figures import invented
from probewright.inference.ids import Vocabulary
from probewright.inference.supplies import as_condition, measured_by, scaled, told
from probewright.packs.check import check_family
from probewright.packs.model import Tap
from probewright.settings import Settings
from probewright_schemas.records import Conditions, Quantity, Reading
from support.families import SMALL, VOLTS, a_test, case, pack_of, warmer

#: The large warmer runs on half the voltage; all that is in it is made for that.
HALF = Tap(invented(VOLTS / 2), {"style": "large"})
LARGE = {**SMALL, "style": "large"}


def tapped():
    """The warmer whose large build takes half the voltage, each build with a test of its own supply."""
    family = warmer()
    heating, linked = family.circuits
    line = heating.parts[0]
    halves = tuple(
        replace(line, volts=invented(VOLTS * share), when={"style": style})
        for style, share in (("small", 1.0), ("large", 0.5))
    )
    supply, *others = family.tests
    return replace(
        family,
        supply=replace(family.supply, least=None, taps=(HALF,)),
        circuits=(replace(heating, parts=(*halves, *heating.parts[1:])), linked),
        tests=(replace(supply, when={"style": "small"}),
               a_test("half_volts", "voltage", *supply.models, measures="supply_voltage", when={"style": "large"}),
               *others),
    )  # fmt: skip


def answer(options, *readings, volts=None):
    conditions = Conditions(supply_voltage=None if volts is None else Quantity(volts, "V"))
    given = case(*readings, options=options, complaints=("cold",), conditions=conditions)
    return diagnose(given, pack_of(tapped()), Settings())


def current(options, volts):
    found = answer(options, Reading("heater_current", value=2.0, unit="A", state="live"), volts=volts)
    return found.readings[0].expected


def test_the_family_holds_together():
    check_family(tapped())


@pytest.mark.parametrize(("options", "volts"), [(SMALL, 0.9 * VOLTS), (LARGE, 0.45 * VOLTS)])
def test_the_expected_current_follows_the_share_of_the_builds_own_nominal_voltage(options, volts):
    usual, low = current(options, volts / 0.9), current(options, volts)
    assert low.high == pytest.approx(0.9 * usual.high, rel=1e-6)
    assert low.conditions["supply_voltage"].value == pytest.approx(volts)
    assert low.conditions["supply_voltage"].source == "case"


def test_half_the_voltage_is_a_fault_for_the_build_that_takes_it_whole():
    """A small warmer works under no such voltage: the usual supply is taken instead, and the reading counts."""
    found = current(SMALL, VOLTS / 2)
    assert found.conditions["supply_voltage"].value == pytest.approx(VOLTS)
    assert found.conditions["supply_voltage"].source == "assumed"


@pytest.mark.parametrize(
    ("options", "test", "volts"), [(SMALL, "supply_volts", VOLTS), (LARGE, "half_volts", VOLTS / 2)]
)
def test_what_was_measured_counts_for_the_other_readings(options, test, volts):
    supply = Reading(test, value=0.99 * volts, unit="V", state="live")
    heater = Reading("heater_current", value=2.0, unit="A", state="live")
    of_supply, of_heater = answer(options, supply, heater).readings
    assert of_supply.verdict == "within"
    assert of_heater.expected.conditions["supply_voltage"].value == pytest.approx(0.99 * volts)
    assert of_heater.expected.conditions["supply_voltage"].source == test


def test_an_assumption_names_the_voltage_of_the_build():
    assert any(f"{VOLTS / 2:g} V nominal" in told for told in answer(LARGE).assumptions)
    assert any(f"{VOLTS / 2:g} or {VOLTS:g} V nominal" in told for told in answer({"lamp": "yes"}).assumptions)


def test_while_the_build_is_open_the_nearest_nominal_voltage_is_meant():
    supply = tapped().supply
    assert as_condition(0.52 * VOLTS, supply, {}) == pytest.approx(1.04 * VOLTS)
    assert as_condition(0.98 * VOLTS, supply, {}) == pytest.approx(0.98 * VOLTS)
    assert as_condition(0.98 * VOLTS, supply, {"style": "large"}) is None
    assert as_condition(0.0, supply, {}) is None
    assert scaled(told(17.0, supply, LARGE), supply, LARGE) == pytest.approx(17.0)


@pytest.mark.parametrize(
    ("volts", "options", "test"),
    [(VOLTS, {}, "supply_volts"), (VOLTS / 2, {}, "half_volts"), (VOLTS, LARGE, "half_volts"),
     (VOLTS / 2, SMALL, "supply_volts")],
)  # fmt: skip
def test_a_given_supply_voltage_is_a_reading_of_the_test_that_fits(volts, options, test):
    found = measured_by(volts, Vocabulary(tapped()).of_supply, tapped().supply, options)
    assert found is not None
    assert found.id == test
