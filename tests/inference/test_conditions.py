"""Where a reading's conditions come from: itself, the case, a reading that measured them, or nobody."""

from __future__ import annotations

import numpy as np
import pytest

from probewright.figures import invented, normal
from probewright.packs.model import Stated
from probewright_schemas.records import Conditions, Quantity, Reading, UsedCondition
from support.families import SMALL, a_test, beliefs, case, evaluated, supply, warmer, with_test

MEASURED = Reading("supply_volts", 92.0, unit="V")


def current(volts=None):
    return Reading("heater_current", 3.7, unit="A", conditions=None if volts is None else supply(volts))


def taken(*readings, **fields):
    """What the supply of the last reading was taken to be, and from where, and the middle of its healthy band."""
    found = evaluated(case(*readings, **fields)).readings.checked[-1].expected
    used = found.conditions["supply_voltage"]
    return used.value, used.source, (found.low + found.high) / 2


def test_precedence():
    assert taken(current()) == (100.0, "assumed", pytest.approx(4.0, abs=0.01))
    assert taken(MEASURED, current()) == (92.0, "supply_volts", pytest.approx(3.68, abs=0.01))
    assert taken(MEASURED, current(), conditions=supply(95.0)) == (95.0, "case", pytest.approx(3.8, abs=0.01))
    assert taken(MEASURED, current(90.0), conditions=supply(95.0)) == (90.0, "reading", pytest.approx(3.6, abs=0.01))


def test_a_measured_supply_serves_readings_before_and_after():
    found = evaluated(case(current(), MEASURED)).readings.checked[0].expected
    assert found.conditions["supply_voltage"] == UsedCondition(92.0, "V", "supply_volts")


def test_the_last_measured_supply_counts():
    assert taken(MEASURED, Reading("supply_volts", 97.0, unit="V"), current())[:2] == (97.0, "supply_volts")


@pytest.mark.parametrize("volts", [0.0, 12.0])
def test_a_dead_supply_is_no_condition(volts):
    assert taken(Reading("supply_volts", volts, unit="V"), current())[:2] == (100.0, "assumed")


def test_a_known_supply_narrows_the_band():
    given = (case(current()), case(current(), conditions=supply(100.0)))
    wide, narrow = (evaluated(g).readings.checked[0].expected for g in given)
    assert narrow.high - narrow.low < 0.7 * (wide.high - wide.low)


def test_units_of_conditions():
    assert taken(current(), conditions=Conditions(supply_voltage=Quantity(95_000.0, "mV")))[:2] == (95.0, "case")
    settled = Conditions(set_point=Quantity(392.0, "degF"))
    found = evaluated(case(Reading("chamber", 200.0, unit="degC"), conditions=settled)).readings.checked[0]
    assert found.expected.conditions["set_point"].value == pytest.approx(200.0)
    assert found.verdict == "within"


def test_a_readings_own_set_point():
    own = Reading("chamber", 150.0, unit="degC", conditions=Conditions(set_point=Quantity(150.0, "degC")))
    found = evaluated(case(own, conditions=Conditions(set_point=Quantity(200.0, "degC")))).readings.checked[0]
    assert (found.verdict, found.expected.conditions["set_point"].source) == ("within", "reading")


class TestSupplyAsEvidence:
    """The case's supply voltage is a reading, too: a dead one speaks for a dead supply."""

    def test_counts_once(self):
        dead = evaluated(case(conditions=supply(0.0)))
        assert dead.sources == ("conditions.supply_voltage",)
        assert beliefs(dead)["no_supply"] > 0.7
        assert dead.readings.checked == ()

    def test_not_beside_a_reading_of_it(self):
        assert evaluated(case(MEASURED, conditions=supply(92.0))).sources == ("supply_volts",)

    def test_as_the_same_reading(self):
        as_condition, as_reading = (
            beliefs(evaluated(c)) for c in (case(conditions=supply(0.0)), case(Reading("supply_volts", 0.0, unit="V")))
        )
        assert as_condition == pytest.approx(as_reading, rel=1e-9)


class TestFunctionsFeelTheSupply:
    """At 60 V a small heater takes 2.4 A, which never is enough: that it stays cold says nothing of its parts."""

    def gained(self, *readings, family=None, **fields):
        """What the complaint did to a weak heater, in decibans."""
        found = evaluated(case(*readings, complaints=("cold",), **fields), family)
        return found.decibans[found.sources.index("complaint:cold"), found.faults.index("heater_weak")]

    def test_at_nominal_it_speaks_for_the_heater(self):
        assert self.gained() > 5

    def test_with_a_reading_beside_it(self):
        assert self.gained(Reading("door", seen="shut"), conditions=supply(60.0)) == pytest.approx(0, abs=0.2)

    def test_by_itself(self):
        assert self.gained(conditions=supply(60.0)) == pytest.approx(0, abs=0.2)

    def test_by_itself_where_no_test_measures_it(self):
        blind = warmer(tests=tuple(t for t in warmer().tests if t.measures is None))
        assert self.gained(conditions=supply(60.0), family=blind) == pytest.approx(0, abs=0.2)

    def test_when_every_reading_has_its_own(self):
        assert self.gained(current(60.0), conditions=supply(60.0)) == pytest.approx(0, abs=0.2)

    def test_measured(self):
        assert self.gained(Reading("supply_volts", 60.0, unit="V")) == pytest.approx(0, abs=0.2)

    def test_given_and_measured(self):
        gained = self.gained(Reading("supply_volts", 100.0, unit="V"), conditions=supply(60.0))
        assert gained == pytest.approx(0, abs=0.2)

    def test_one_readings_own_supply_is_not_the_appliances(self):
        assert self.gained(current(60.0)) > 5


@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize("volts", [0.0, 1e-3, 1e6])
def test_absurd_supplies_give_sane_numbers(volts):
    given = case(current(), Reading("glow", seen="dim"), Reading("heater_ohms", 24.0, unit="ohm"), complaints=("cold",),
                 working=("heats",), conditions=supply(volts))  # fmt: skip
    found = evaluated(given)
    assert np.isfinite(found.present).all()
    assert found.none + found.unknown <= 1
    assert np.isfinite(found.decibans).all()


class TestRelativeToAmbient:
    """A temperature that is stated as a difference to the surroundings' (15 to 25 degC where nobody measured them)."""

    SOUND, LOOSE = normal(invented(0.0), invented(2.0)), normal(invented(20.0), invented(3.0))
    FAMILY = with_test(a_test("case_warmth", "temperature", Stated(SOUND, {"door_loose": LOOSE}, "ambient")))

    def believed(self, celsius, conditions=None):
        reading = Reading("case_warmth", celsius, unit="degC")
        return beliefs(evaluated(case(reading, options=SMALL, conditions=conditions or Conditions()), self.FAMILY))

    def test_given(self):
        room = Conditions(ambient=Quantity(68.0, "degF"))
        assert self.believed(20.5, room)["door_loose"] < 0.05
        assert self.believed(40.0, room)["door_loose"] > 0.9

    def test_not_given(self):
        # Some 20 degC is what a sound case shows in a room that nobody measured.
        assert self.believed(20.5)["door_loose"] < 0.2
