"""Validation of readings: verdicts, healthy bands, and findings."""

from __future__ import annotations

import math
from statistics import NormalDist

import pytest

from probewright.inference.evaluate import Rules
from probewright.quantities.conformity import Thresholds
from probewright_schemas.records import Conditions, Meter, Quantity, Reading, UsedCondition
from support.families import SMALL, beliefs, case, evaluated, supply

EXACT = Meter("multimeter", percent_of_reading=0.1, counts=1.0, resolution=Quantity(0.01, "ohm"),
              lead_resistance=Quantity(0.3, "ohm"))  # fmt: skip


def checked(*readings, rules=None, **fields):
    found = evaluated(case(*readings, **fields), rules=rules)
    return found.readings.checked[0] if len(readings) == 1 else found.readings.checked


def codes(reading):
    return [finding.code for finding in reading.findings]


def unheard(*readings, **fields):
    """Whether the readings changed nothing."""
    return beliefs(evaluated(case(*readings, **fields))) == pytest.approx(beliefs(evaluated(case(**fields))), rel=1e-9)


class TestVerdicts:
    @pytest.mark.parametrize(
        ("amperes", "verdict"),
        [(4.0, "within"), (3.9, "inconclusive"), (3.5, "outside"), (4.6, "outside"), (0.0, "outside")],
    )
    def test_numbers(self, amperes, verdict):
        sharp = Meter("clamp_meter", percent_of_reading=0.5, counts=2.0)
        reading = Reading("heater_current", amperes, unit="A", meter="it")
        assert checked(reading, meters={"it": sharp}).verdict == verdict

    def test_probability_of_conformity(self):
        # JCGM 106, 7.4: the share of the reading's normal distribution inside the band.
        found = checked(Reading("heater_current", 4.08, unit="A"))
        known = NormalDist(4.08, found.standard_uncertainty)
        expected = known.cdf(found.expected.high) - known.cdf(found.expected.low)
        assert found.probability_within == pytest.approx(expected, abs=1e-9)
        assert found.verdict == "inconclusive"
        assert 0.05 < expected < 0.95

    def test_thresholds_are_the_deployments(self):
        reading = Reading("heater_current", 4.08, unit="A")
        probability = checked(reading).probability_within
        lax = checked(reading, rules=Rules(thresholds=Thresholds(within=probability - 0.01, outside=0.0)))
        strict = checked(reading, rules=Rules(thresholds=Thresholds(within=1.0, outside=probability + 0.01)))
        assert (lax.verdict, strict.verdict) == ("within", "outside")

    @pytest.mark.parametrize(
        ("test", "seen", "verdict"),
        [("door", "shut", "within"), ("door", "ajar", "outside"), ("door", "gone", "outside"),
         ("glow", "bright", "within"), ("glow", "dim", "outside"), ("lamp", "dark", "outside")],
    )  # fmt: skip
    def test_what_is_seen(self, test, seen, verdict):
        assert checked(Reading(test, seen=seen)).verdict == verdict

    def test_what_health_shows_either_way_decides_nothing(self):
        # A beeper of 24 ohm against 24 ohm and leads of 0.3: it may sound, and it may not.
        either = checked(Reading("heater_continuity", seen="closed", meter="it"),
                         meters={"it": Meter("multimeter", beeper_threshold=Quantity(24.0, "ohm"))})  # fmt: skip
        assert either.verdict == "inconclusive"
        assert set(either.expected.seen) == {"closed", "open"}


class TestBand:
    def test_from_the_wiring(self):
        found = checked(Reading("heater_current", 4.0, unit="A")).expected
        # Nothing has a tolerance but the supply: the middle 99 % of 4 A times a normal of 1 %.
        sides = [4.0 * (1 + sign * 0.01 * NormalDist().inv_cdf(0.995)) for sign in (-1, 1)]
        assert [found.low, found.high] == pytest.approx(sides, abs=5e-3)
        assert (found.unit, found.basis, found.source) == ("A", "invented", "the wiring")

    def test_from_a_stated_distribution(self):
        settled = Conditions(set_point=Quantity(200.0, "degC"))
        found = checked(Reading("chamber", 200.0, unit="degC"), conditions=settled).expected
        sides = [200.0 + sign * 4.0 * NormalDist().inv_cdf(0.995) for sign in (-1, 1)]
        assert [found.low, found.high] == pytest.approx(sides, abs=0.6)
        assert found.conditions["set_point"] == UsedCondition(200.0, "degC", "case")

    def test_of_several_builds_is_their_hull(self):
        found = checked(Reading("heater_current", 4.5, unit="A"), options={"lamp": "no"}).expected
        assert found.low == pytest.approx(3.9, abs=0.02)
        assert found.high == pytest.approx(5.13, abs=0.02)

    def test_probability_is_averaged_over_builds(self):
        # 4 A suits the small one only: three in four.
        found = checked(Reading("heater_current", 4.0, unit="A"), options={"lamp": "no"})
        alone = checked(Reading("heater_current", 4.0, unit="A"))
        assert found.probability_within == pytest.approx(0.75 * alone.probability_within, rel=1e-6)
        assert found.verdict == "inconclusive"

    def test_is_open_where_the_meter_stops(self):
        small = Meter("multimeter", maximum_resistance=Quantity(20.0, "ohm"))
        found = checked(Reading("heater_ohms", over_range=True, meter="it"), meters={"it": small})
        assert found.expected.high is None
        assert found.verdict == "within"


class TestRefusals:
    @pytest.mark.parametrize("test", ["heater_ohms", "heater_continuity"])
    def test_resistance_under_power(self, test):
        what = {"seen": "open"} if test == "heater_continuity" else {"over_range": True}
        found = checked(Reading(test, state="live", **what))
        assert (found.verdict, codes(found)) == ("rejected", ["wrong_state"])
        assert "power" in found.findings[0].message
        assert found.findings[0].remedy == "Take it in the state 'Isolated'."
        assert unheard(Reading(test, state="live", **what))

    @pytest.mark.parametrize(
        ("test", "what"),
        [("heater_current", {"value": 0.0, "unit": "A"}), ("glow", {"seen": "none"}),
         ("wire_volts", {"value": 0.0, "unit": "V"})],
    )  # fmt: skip
    def test_live_reading_without_power(self, test, what):
        found = checked(Reading(test, state="isolated", **what))
        assert (found.verdict, codes(found)) == ("rejected", ["wrong_state"])
        assert unheard(Reading(test, state="isolated", **what))

    def test_less_than_nothing(self):
        found = checked(Reading("heater_ohms", -5.0, unit="ohm"))
        assert (found.verdict, codes(found)) == ("rejected", ["impossible_value"])
        assert unheard(Reading("heater_ohms", -5.0, unit="ohm"))
        # Within the meter's error and the leads it is nothing.
        assert codes(checked(Reading("heater_ohms", -0.1, unit="ohm"))) != ["impossible_value"]

    def test_a_negative_voltage_is_possible(self):
        assert checked(Reading("wire_volts", -100.0, unit="V")).verdict != "rejected"

    def test_not_in_this_build(self):
        found = checked(Reading("lamp", seen="lit"), options={**SMALL, "lamp": "no"})
        assert (found.verdict, codes(found)) == ("rejected", ["not_in_this_build"])


class TestFindings:
    def test_missing_set_point(self):
        reading = Reading("chamber", 170.0, unit="degC")
        found = checked(reading)
        assert (found.verdict, codes(found), found.probability_within) == ("inconclusive", ["condition_missing"], None)
        assert "conditions.set_point" in found.findings[0].remedy
        assert unheard(reading)
        settled = Conditions(set_point=Quantity(200.0, "degC"))
        assert codes(checked(reading, conditions=settled)) == []
        assert not unheard(reading, conditions=settled)

    def test_leads(self):
        found = checked(Reading("heater_ohms", 24.3, unit="ohm", meter="it"), meters={"it": EXACT})
        assert found.value == pytest.approx(24.0)
        assert codes(found) == ["leads_subtracted"]
        # 0.1 % and a count, and a contact that varies by 0.1 ohm, all evenly (JCGM 100, 4.3.7).
        doubt = math.hypot((0.001 * 24.3 + 0.01) / math.sqrt(3), 0.1 / math.sqrt(3))
        assert found.standard_uncertainty == pytest.approx(doubt, rel=1e-6)
        zeroed = Meter("multimeter", leads_zeroed=True)
        found = checked(Reading("heater_ohms", 24.0, unit="ohm", meter="it"), meters={"it": zeroed})
        assert (found.value, codes(found)) == (24.0, [])

    @pytest.mark.parametrize("values", [(3.0, 5.0), (2.0, 4.0, 6.0), (2.0, 4.0, 4.0, 6.0), (2.0, 3.0, 5.0, 6.0) * 3])
    def test_repeats_that_scatter(self, values):
        found = checked(Reading("heater_current", values=values, unit="A"))
        assert "repeats_scatter" in codes(found)
        assert found.value == pytest.approx(4.0)

    def test_repeats_that_agree(self):
        assert codes(checked(Reading("heater_current", values=(3.98, 4.0, 4.02), unit="A"))) == []

    def test_slipped_decade(self):
        found = checked(Reading("heater_ohms", 24.3, unit="kohm"))
        assert codes(found) == ["decade_suspect"]
        assert "24" in found.findings[0].message
        assert found.value == pytest.approx(24_300 - 0.3)  # never mended in silence
        # A dead circuit explains nearly nothing; all the same 4 mA where 4 A are sound is worth a second look.
        assert codes(checked(Reading("heater_current", 4.0, unit="mA"))) == ["decade_suspect"]
        assert codes(checked(Reading("heater_current", 0.0, unit="A"))) == []

    def test_what_nothing_gives(self):
        assert codes(checked(Reading("heater_ohms", 500.0, unit="ohm"))) == ["fits_nothing"]
        assert codes(checked(Reading("heater_current", 3.3, unit="A"))) == ["fits_nothing"]
        for value in (24.3, 36.3):
            assert codes(checked(Reading("heater_ohms", value, unit="ohm"))) == []

    def test_floating_wire(self):
        # 400 pF at 50 Hz against 10 Mohm: 78.25 V.
        found = checked(Reading("wire_volts", 78.3, unit="V"))
        assert (found.verdict, codes(found)) == ("inconclusive", ["high_impedance_source"])
        assert "10 megohm" in found.findings[0].message
        assert unheard(Reading("wire_volts", 78.3, unit="V"))
        drained = Meter("multimeter", input="low_impedance")
        found = checked(Reading("wire_volts", 0.04, unit="V", meter="it"), meters={"it": drained})
        assert (found.verdict, codes(found)) == ("outside", [])

    def test_a_floating_wire_counts_once_it_was_found_dead(self):
        high, low = Reading("wire_volts", 78.3, unit="V"), Reading("wire_volts", 0.04, unit="V", meter="it")
        meters = {"it": Meter("multimeter", input="low_impedance")}
        for readings in ((high, low), (low, high)):
            found = evaluated(case(*readings, meters=meters))
            assert beliefs(found)["link_open"] > 0.9
            assert found.sources == ("wire_volts", "wire_volts")
            assert found.clashes == ()

    def test_every_repeat_of_a_floating_wire_is_marked(self):
        twice = checked(*[Reading("wire_volts", 78.3, unit="V")] * 2)
        assert [(c.verdict, codes(c)) for c in twice] == [("inconclusive", ["high_impedance_source"])] * 2

    def test_every_repeat_of_what_fits_nothing_is_marked(self):
        twice = checked(*[Reading("heater_ohms", 500.0, unit="ohm")] * 2)
        assert [codes(c) for c in twice] == [["fits_nothing"]] * 2

    def test_a_live_wire_is_not_called_floating(self):
        assert checked(Reading("wire_volts", 100.0, unit="V")).verdict == "within"
        assert codes(checked(Reading("wire_volts", 90.0, unit="V"), conditions=supply(90.0))) == []


class TestAssumptions:
    def test_named_for_each_reading(self):
        told = checked(Reading("heater_ohms", 24.3, unit="ohm")).assumed
        assert any("multimeter is assumed" in text for text in told)
        assert "taken in the state isolated" in told

    def test_fewer_when_more_is_given(self):
        reading = Reading("heater_ohms", 24.3, unit="ohm", meter="it", state="isolated")
        told = checked(reading, meters={"it": EXACT}).assumed
        assert not any("state" in text or "is assumed" in text for text in told)


def test_answers_keep_the_order_of_the_case():
    readings = (Reading("glow", seen="dim"), Reading("heater_ohms", 24.0, unit="ohm", state="live"),
                Reading("heater_current", 4.0, unit="A"), Reading("glow", seen="dim"))  # fmt: skip
    assert [c.test for c in checked(*readings)] == [r.test for r in readings]
