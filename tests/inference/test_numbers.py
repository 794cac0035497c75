"""Readings that are numbers: likelihoods against the normal distribution by hand, and readings that are no number."""

from __future__ import annotations

import math
from statistics import NormalDist

import pytest

from probewright.engine import score_readings
from probewright.figures import invented, normal
from probewright.inference.compiled import UNKNOWN_LEAVES_READING
from probewright.inference.evaluate import Rules
from probewright.inference.numeric import FLOOR, MISREAD_OVER, MISREAD_RANGE, MISREAD_UNDER, from_stated
from probewright.packs.model import Stated
from probewright.settings import Settings
from probewright_schemas.records import Conditions, Meter, Quantity, Reading
from support import enumeration as hand
from support.families import (
    HEATER,
    IN_SERIES,
    VOLTS,
    WEAK,
    a_test,
    beliefs,
    case,
    evaluated,
    pack_of,
    supply,
    with_test,
)

MISREAD = 0.01
CLAMP = Meter("clamp_meter", percent_of_reading=1.0, counts=2.0, resolution=Quantity(0.01, "A"))


def scores(reading, meter=CLAMP, misread=MISREAD, **fields):
    """Log-likelihood of one reading under each single fault."""
    given = case(reading, meters={"it": meter}, **fields)
    found = score_readings(given, pack_of(), Settings(misread_rate=misread))
    assert len(found.readings) == 1
    return dict(zip(found.hypotheses, found.readings[0].log_likelihoods, strict=True))


def current(amperes, **more):
    return Reading("heater_current", amperes, unit="A", meter="it", **more)


def spread_evenly_by_ratio(kind, value):
    """Density of a misread value."""
    least, most = MISREAD_RANGE[kind]
    return 1 / ((abs(value) + least) * math.log(most / least))


def by_hand(amperes, through, misread=MISREAD):
    """Normal, with the meter's own doubt, the stray of any reading, and 1 % of the supply, or misread."""
    meters = (0.01 * amperes + 0.02) / math.sqrt(3)
    deviation = math.hypot(meters, float(FLOOR["current"]), 0.01 * through)
    fits = NormalDist(through, deviation).pdf(amperes)
    return math.log((1 - misread) * fits + misread * spread_evenly_by_ratio("current", amperes))


HEALTHY = VOLTS / (IN_SERIES + HEATER["small"])
WEAKENED = VOLTS / (IN_SERIES + WEAK * HEATER["small"])


@pytest.mark.parametrize("amperes", [0.0, 0.05, 2.6, 2.7, 2.75, 3.9, 4.0, 4.1])
def test_likelihood_near_what_is_expected(amperes):
    found = scores(current(amperes))
    for through, faults in ((HEALTHY, ("no_fault", "door_loose", "link_open")), (WEAKENED, ("heater_weak",)),
                            (0.0, ("no_supply", "fuse_open", "heater_open"))):  # fmt: skip
        near = abs(amperes - through) <= 3 * math.hypot(0.01 * through, 0.04)
        for fault in faults:
            # 127 samples under a kernel come within a tenth of the normal distribution; far out only misreading counts.
            assert found[fault] == pytest.approx(by_hand(amperes, through), abs=0.1 if near else 0.02), fault


@pytest.mark.parametrize("amperes", [1.5, 3.3, 60.0])
@pytest.mark.parametrize("misread", [0.002, 0.05])
def test_what_fits_nothing_is_misread_under_every_fault(amperes, misread):
    found = scores(current(amperes), misread=misread)
    expected = math.log(misread * spread_evenly_by_ratio("current", amperes))
    known = [value for name, value in found.items() if name != "unknown"]
    assert known == pytest.approx([expected] * len(known), abs=1e-3)


def test_unknown_leaves_it_healthy_or_makes_it_anything():
    found = scores(current(4.0))
    leaves, anything = float(UNKNOWN_LEAVES_READING), spread_evenly_by_ratio("current", 4.0)
    fits = (math.exp(found["no_fault"]) - MISREAD * anything) / (1 - MISREAD)
    assert found["unknown"] == pytest.approx(math.log(leaves * fits + (1 - leaves) * anything), abs=1e-9)


def test_a_better_meter_tells_more():
    sharp, blunt = (scores(current(2.7), Meter("clamp_meter", percent_of_reading=p, counts=2.0)) for p in (1.0, 20.0))
    assert sharp["heater_weak"] - sharp["no_fault"] > blunt["heater_weak"] - blunt["no_fault"] > 0


def test_the_voltmeter_is_part_of_the_circuit():
    # 400 pF at 50 Hz are 7.958 Mohm: 78.25 V on 10 Mohm, and 38 mV on 3 kohm.
    high = Meter("multimeter", input_impedance=Quantity(10.0, "Mohm"))
    low = Meter("multimeter", input="low_impedance")
    read = {"floating": Reading("wire_volts", 0.04, unit="V", meter="it"),
            "tied": Reading("wire_volts", 100.0, unit="V", meter="it")}  # fmt: skip
    drained = scores(read["floating"], low)
    assert drained["link_open"] - drained["no_fault"] > 3
    tied = scores(read["tied"], low)
    assert tied["no_fault"] - tied["link_open"] > 3
    on_ten_megohms = scores(Reading("wire_volts", 0.04, unit="V", meter="it"), high)
    assert on_ten_megohms["link_open"] == pytest.approx(on_ten_megohms["no_fault"], abs=1e-6)


class TestNoNumber:
    """Over and under range."""

    @staticmethod
    def event(chance, misread_chance):
        """Evidence by hand: the chance of the event by what flows or conducts."""

        def piece(world):
            leaves, misread = hand.exact(UNKNOWN_LEAVES_READING), hand.exact(misread_chance)
            if world[1] is None:
                return leaves * chance(frozenset()) + (1 - leaves) * misread
            return (1 - hand.MISREAD) * chance(world[1]) + hand.MISREAD * misread

        return piece

    def test_over_range_is_an_open(self):
        piece = self.event(lambda faults: int("heater_open" in faults), MISREAD_OVER)
        given = case(Reading("heater_ohms", over_range=True))
        assert beliefs(evaluated(given)) == pytest.approx(hand.posterior(given.options, [piece]), rel=1e-9)
        assert beliefs(evaluated(given))["heater_open"] > 0.9

    def test_over_range_of_a_meter_that_shows_little(self):
        # A meter that stops at 30 ohm goes over range on a weak heater of 36 ohm as well.
        piece = self.event(lambda faults: int(bool(faults & {"heater_open", "heater_weak"})), MISREAD_OVER)
        given = case(Reading("heater_ohms", over_range=True, meter="it"),
                     meters={"it": Meter("multimeter", maximum_resistance=Quantity(30.0, "ohm"))})  # fmt: skip
        assert beliefs(evaluated(given)) == pytest.approx(hand.posterior(given.options, [piece]), rel=1e-9)

    def test_under_range_is_nothing(self):
        nothing = {"no_supply", "fuse_open", "heater_open"}
        piece = self.event(lambda faults: int(bool(faults & nothing)), MISREAD_UNDER)
        given = case(Reading("heater_current", under_range=True))
        assert beliefs(evaluated(given)) == pytest.approx(hand.posterior(given.options, [piece]), rel=1e-9)

    def test_over_range_of_an_analyser_is_a_lot(self):
        # Nothing says where an analyser stops: beyond its range is where the highest readings are expected.
        stated = Stated(normal(invented(10.0), invented(3.0)), {"door_loose": normal(invented(5e3), invented(500.0))})
        family = with_test(a_test("monoxide", "concentration", stated, unit="ppm", states=("live",)))
        prior = beliefs(evaluated(case(), family))
        found = beliefs(evaluated(case(Reading("monoxide", over_range=True)), family))
        assert found["door_loose"] > 3 * prior["door_loose"]
        assert found["unknown"] < found["door_loose"]

    @pytest.mark.parametrize("test", ["heater_current", "wire_volts"])
    def test_over_range_says_nothing_of_live_readings(self, test):
        found = evaluated(case(Reading(test, over_range=True)))
        assert found.readings.checked[0].verdict == "rejected"
        assert [f.code for f in found.readings.checked[0].findings] == ["over_range_meaningless"]
        assert beliefs(found) == pytest.approx(beliefs(evaluated(case())), rel=1e-9)

    def test_verdicts(self):
        verdicts = [
            evaluated(case(reading)).readings.checked[0].verdict
            for reading in (Reading("heater_ohms", over_range=True), Reading("heater_current", under_range=True))
        ]
        assert verdicts == ["outside", "outside"]


def test_one_absurd_reading_does_not_drown_the_rest():
    good = (Reading("heater_current", 2.7, unit="A"), Reading("heater_ohms", 36.2, unit="ohm"),
            Reading("glow", seen="dim"))  # fmt: skip
    absurd = (Reading("chamber", 900.0, unit="degC", conditions=None), Reading("wire_volts", 999.0, unit="V"),
              Reading("heater_continuity", seen="open"))  # fmt: skip
    sound = beliefs(evaluated(case(*good)))
    assert sound["heater_weak"] > 0.99
    for reading in absurd:
        assert beliefs(evaluated(case(*good, reading)))["heater_weak"] > 0.97, reading.test


def test_no_single_number_decides_against_everything_else():
    # Four that agree, and one that contradicts them as sharply as a meter can.
    readings = (Reading("heater_ohms", 24.2, unit="ohm"), Reading("glow", seen="bright"),
                Reading("heater_current", 0.0, unit="A"))  # fmt: skip
    found = beliefs(evaluated(case(*readings, working=("heats",), conditions=supply(100.0))))
    assert found["none"] > 0.5
    assert max(found["fuse_open"], found["heater_open"], found["no_supply"]) < 0.05


def test_misread_share_is_the_deployments():
    given = case(Reading("glow", seen="bright"), Reading("heater_current", 2.7, unit="A"))
    careful, careless = (beliefs(evaluated(given, rules=Rules(misread=m))) for m in (0.001, 0.2))
    assert careless["none"] > careful["none"]


def _set_point(celsius):
    return Conditions(set_point=Quantity(celsius, "degC"))


def test_two_stated_faults_are_sampled_from_both():
    stated = Stated(normal(invented(0.0), invented(1.0)), {"a": normal(invented(-100.0), invented(1.0)),
                                                           "b": normal(invented(100.0), invented(1.0))})  # fmt: skip
    model = from_stated("temperature", stated)
    assert model.faults == ("a", "b")
    both = model.stated[model.classes[1, 2]]
    assert (both < -90).sum() + (both > 90).sum() == len(both)
    assert abs((both > 90).sum() - len(both) / 2) <= 1
    assert model.classes[1, 2] == model.classes[2, 1]
    assert model.stated[model.classes[0, 1]].mean() == pytest.approx(-100.0, abs=0.1)


def test_two_stated_faults_at_once_follow_either():
    # Door loose -30 (10) and weak heater -15 (5) kelvin from the set point: half of the samples follow each.
    given = case(Reading("chamber", 170.0, unit="degC"), Reading("door", seen="gone"), Reading("glow", seen="dim"),
                 conditions=_set_point(200.0))  # fmt: skip
    found = evaluated(given)
    assert beliefs(found)["door_loose"] > 0.8
    assert beliefs(found)["heater_weak"] > 0.8
    near = evaluated(case(Reading("chamber", 200.0, unit="degC"), conditions=_set_point(200.0)))
    assert near.readings.checked[0].verdict == "within"
    off = beliefs(evaluated(case(Reading("chamber", 170.0, unit="degC"), conditions=_set_point(200.0))))
    assert off["door_loose"] > 0.9
