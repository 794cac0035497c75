"""Drawn cases: every one is accepted, the same seed gives the same bytes, and shares are those that were asked for."""

from __future__ import annotations

import json
from collections import Counter
from math import ceil, sqrt

import pytest

import ice_maker
import range_hood
from probewright.engine import check_readings, diagnose
from probewright.errors import EngineError, InvalidCase
from probewright.figures import invented
from probewright.inference.numeric import FLOOR
from probewright.intake import load_case
from probewright.packs.loader import load_packs
from probewright.packs.model import Complaint
from probewright.settings import Settings
from probewright.simulation import cases
from probewright.simulation.asking import Asking, chosen
from probewright.simulation.cases import AWAY, FEWEST, MOST, OTHERS, REPAIRED, RETURNED, SWAPPED, Drawing
from probewright.simulation.draw import Omissions, draw
from probewright.simulation.instruments import CLAMP_METERS, MULTIMETERS, Shop, wanted
from probewright.simulation.luck import Luck
from probewright.simulation.play import cured_by
from probewright.simulation.readings import Taking, value
from probewright.simulation.sample import GROUP, Sample, brief, lines, plain
from probewright.simulation.world import World, Wrong
from probewright_schemas.batch import EarlierAnswerSchema, StoredJobSchema
from probewright_schemas.dump import to_document
from probewright_schemas.load import loader
from support.families import pack_of, warmer

FAMILIES = ("clothes_dryer", "electric_range", "gas_range", "ice_maker", "range_hood", "warmer")
SETTINGS = Settings()
#: Cases of each family; a share of them lies within so many standard deviations of what was asked for.
CASES, FAR = 200, 4.0


@pytest.fixture(scope="module")
def packs():
    examples = {"ice_maker": pack_of(ice_maker.FAMILY), "range_hood": pack_of(range_hood.FAMILY)}
    return {**load_packs().packs, **examples, "warmer": pack_of(warmer())}


@pytest.fixture(scope="module")
def drawn(packs):
    """Many cases of each family, drawn once."""
    made = {}

    def of(family):
        if family not in made:
            drawing = Drawing(packs[family], 3, 0.1)
            made[family] = [drawing.case(number) for number in range(CASES)]
        return made[family]

    return of


@pytest.fixture(scope="module")
def many(packs):
    """Many of the warmer, which are drawn fast."""
    drawing = Drawing(packs["warmer"], 17, 0.05, Omissions(ambient=0.4, supply=0.25, option=0.2, unasked=0.3))
    return [drawing.case(number) for number in range(3000)]


def near(hits, of, share):
    """Whether a count is within the bounds of a binomial distribution."""
    return abs(hits - of * share) <= FAR * sqrt(of * share * (1 - share)) + 1


@pytest.mark.parametrize("family", FAMILIES)
def test_the_service_accepts_every_case(family, packs, drawn):
    for one in drawn(family):
        read = load_case(json.loads(json.dumps(plain(one.case), default=str)))
        assert read == one.case
        try:
            answer = diagnose(read, packs[family], SETTINGS)
        except InvalidCase as error:
            pytest.fail(f"{one.case.reference}: {error}")
        assert len(answer.readings) == len(read.readings)


@pytest.mark.parametrize("family", FAMILIES)
def test_hardly_a_reading_is_taken_where_it_means_nothing(family, packs, drawn):
    verdicts = Counter(
        checked.verdict
        for one in drawn(family)[:100] for checked in check_readings(one.case, packs[family], SETTINGS).readings
    )
    # Only what was misread is rejected: one in ten.
    assert verdicts["rejected"] <= 0.05 * verdicts.total()
    assert min(verdicts["within"], verdicts["outside"]) > 0.1 * verdicts.total()


@pytest.mark.parametrize("family", FAMILIES)
def test_there_are_three_to_ten_readings_of_what_the_appliance_has(family, packs, drawn):
    counts = Counter(len(one.case.readings) for one in drawn(family))
    # The range hood has six tests, and only some that are made before a repair.
    assert set(counts) == set(range(FEWEST, {"range_hood": max(counts)}.get(family, MOST) + 1))
    tests = {test.id: test for test in packs[family].family.tests}
    for one in drawn(family):
        for reading in one.case.readings:
            assert all(one.options.get(option, choice) == choice for option, choice in tests[reading.test].when.items()
                       if isinstance(choice, str))  # fmt: skip


def test_the_case_tells_of_the_build_what_is_true(many):
    assert all(dict(one.case.options).items() <= one.options.items() for one in many)


def test_the_same_seed_gives_the_same_bytes(packs):
    for family in ("warmer", "range_hood"):
        one, again = (list(lines(packs[family], SETTINGS, Sample(120, 8, "brief"))) for _ in range(2))
        assert one == again
        assert one != list(lines(packs[family], SETTINGS, Sample(120, 9, "brief")))


def test_a_case_does_not_depend_on_how_many_are_drawn(packs):
    short, long = (list(lines(packs["warmer"], SETTINGS, Sample(count, 8))) for count in (100, 200))
    assert long[:100] == short
    assert len(set(long)) == 200


def test_a_case_does_not_depend_on_those_before_it(packs):
    alone = Drawing(packs["warmer"], 8, SETTINGS.misread_rate).case(157)
    assert Drawing(packs["warmer"], 8, SETTINGS.misread_rate).case(3) != alone
    line = list(lines(packs["warmer"], SETTINGS, Sample(160, 8)))[157]
    assert json.loads(line)["case"] == json.loads(json.dumps(plain(alone.case), default=str))


def test_processes_change_no_byte(packs):
    sample = Sample(5 * GROUP + 7, 8, "brief")
    alone = list(lines(packs["warmer"], SETTINGS, sample))
    assert list(lines(packs["warmer"], SETTINGS, sample, workers=2)) == alone
    assert len(alone) == 5 * GROUP + 7


def test_whoever_stops_reading_ends_the_processes(packs):
    drawing = lines(packs["warmer"], SETTINGS, Sample(10**6, 8), workers=2)
    first = [next(drawing) for _ in range(3 * GROUP)]
    drawing.close()
    assert first == list(lines(packs["warmer"], SETTINGS, Sample(3 * GROUP, 8)))


def test_a_case_that_is_refused_is_our_own_fault(packs, monkeypatch):
    monkeypatch.setattr("probewright.simulation.sample.diagnose", lambda *_: (_ for _ in ()).throw(InvalidCase([])))
    with pytest.raises(EngineError, match="simulated case is refused"):
        list(lines(packs["warmer"], SETTINGS, Sample(1, answers="full")))


@pytest.mark.parametrize("misread", [0.0, 0.05, 0.3])
def test_as_many_readings_are_misread_as_was_asked_for(packs, misread):
    drawing = Drawing(packs["warmer"], 23, misread)
    made = [drawing.case(number) for number in range(1000)]
    readings = sum(len(one.case.readings) for one in made)
    assert near(sum(len(one.misread) for one in made), readings, misread)


def test_what_is_not_misread_is_what_is_there(packs, many):
    """Within what the data sheet allows, and some stray: the instrument's gain, its counts, and rounding."""
    world, tests = World(packs["warmer"].family, 0.05), {test.id: test for test in warmer().tests}
    compared = 0
    for number, one in enumerate(many[:600]):
        job = draw(world, 17, number, Omissions(ambient=0.4, supply=0.25, option=0.2, unasked=0.3))
        assert (job.wrong, dict(job.options)) == (one.wrong, one.options)
        for place, reading in enumerate(one.case.readings):
            test = tests[reading.test]
            if place in one.misread or reading.value is None or reading.after_repair or reading.meter is None:
                continue
            true = value(world, job, job.wrong, test, Taking(test, 0))
            meter = one.case.meters[reading.meter]
            if true is None or true < 1.0:
                continue
            leads = 0.3 if test.kind == "resistance" else 0.0
            # Steps of displays: 0.1 V, 0.1 ohm or 0.01 A up to 6000 of them; an ohm beyond 600.
            step = {"current": 0.01, "voltage": 0.1, "resistance": 1.0}[test.kind]
            off = abs(reading.value - leads - true)
            allowed = (true + leads) * meter.percent_of_reading / 100 + (meter.counts + 0.5) * step
            assert off <= allowed + 5 * float(FLOOR[test.kind]), (one.case.reference, reading.test)
            compared += 1
    assert compared > 500


def test_instruments_err_always_alike_and_within_their_data_sheets(many):
    gains = {}
    for one in many:
        meters = {meter.id: meter for meter in one.case.meters.values() if meter.id}
        used = {one.case.meters[r.meter].id for r in one.case.readings if r.meter and one.case.meters[r.meter].id}
        assert set(one.gains) <= used == set(meters)
        for name, of in one.gains.items():
            for kind, gain in of.items():
                assert gains.setdefault((name, kind), gain) == gain
                assert 0 < abs(gain - 1) <= meters[name].percent_of_reading / 100
    assert {name for name, _ in gains} == {f"{kind}-{n}" for kind in ("dmm", "clamp") for n in range(1, 5)}
    assert len(set(gains.values())) == len(gains)


def test_a_shop_has_the_same_instruments_each_time_and_another_shop_others():
    one, again, other = Shop(1), Shop(1), Shop(2)
    assert one.instruments == again.instruments != other.instruments
    assert [len(of) for of in one.instruments.values()] == [len(MULTIMETERS), len(CLAMP_METERS)]


def test_gains_are_spread_over_what_the_data_sheet_allows():
    # Of a rectangular distribution the mean is 0 and the standard deviation is a/sqrt(3) (JCGM 100:2008, 4.3.7).
    shares = [
        (gain - 1) / (instrument.meter.percent_of_reading / 100)
        for seed in range(60) for of in Shop(seed).instruments.values() for instrument in of
        for gain in instrument.gains.values()
    ]  # fmt: skip
    n = len(shares)
    assert n > 2000
    assert abs(sum(shares) / n) < FAR / sqrt(3 * n)
    # The square of a rectangular one has the variance 4/45.
    assert abs(sum(s * s for s in shares) / n - 1 / 3) < FAR * sqrt(4 / 45 / n)


def test_technicians_carry_one_of_each_as_often_as_another(many):
    carried = Counter(meter.id for one in many for meter in one.case.meters.values() if meter.id)
    for kind in ("dmm", "clamp"):
        of = [carried[f"{kind}-{n}"] for n in range(1, 5)]
        assert all(near(count, sum(of), 0.25) for count in of)


def test_what_is_measured_otherwise_names_no_meter(packs, drawn):
    tests = {test.id: test for test in packs["gas_range"].family.tests}
    for one in drawn("gas_range"):
        for reading in one.case.readings:
            named = {"dmm": "multimeter", "clamp": "clamp_meter", "loading": "multimeter", None: None}[reading.meter]
            assert named == wanted(tests[reading.test])


def test_conditions_and_options_are_forgotten_as_often_as_was_asked_for(many):
    assert near(sum(one.case.conditions.ambient is None for one in many), len(many), 0.4)
    assert near(sum(one.case.conditions.supply_voltage is None for one in many), len(many), 0.25)
    told = sum(len(one.case.options) for one in many)
    assert near(told, sum(len(one.options) for one in many), 0.8)


def test_repairs_are_told_of_as_often_as_they_should(many):
    # Of the supply, the lamp and the link nothing is repaired, unless a part is swapped for nothing.
    without = {"no_supply", "lamp_dirty", "link_open"}
    able = [one for one in many if not without.issuperset(one.wrong.faults)]
    assert len(able) > 1000
    assert near(sum(bool(one.case.repairs_done) for one in able), len(able), float(REPAIRED))
    unable = [one for one in many if without.issuperset(one.wrong.faults)]
    assert near(sum(bool(one.case.repairs_done) for one in unable), len(unable), float(REPAIRED) * float(SWAPPED))


def test_parts_are_swapped_for_nothing_as_often_as_they_should(many):
    parts = {repair.id: (repair.part, set(repair.cures)) for repair in warmer().repairs}
    door = [one for one in many if one.wrong.faults == ("door_loose",) and one.case.repairs_done]
    # Of a loose door the only part that is replaced for nothing is the heater.
    swapped = [one for one in door if parts[one.case.repairs_done[0].repair][0] is not None]
    assert len(door) > 100
    assert near(len(swapped), len(door), float(SWAPPED))
    assert all(one.case.repairs_done[0] == cases.RepairDone("replace_heater", True) for one in swapped
               if len(one.case.repairs_done) > 1)  # fmt: skip


def test_the_complaint_remains_until_its_cause_is_gone(packs, many):
    world, repairs = World(packs["warmer"].family, 0.05), {repair.id: repair for repair in warmer().repairs}
    done = 0
    for number, one in enumerate(many[:1000]):
        job = draw(world, 17, number, Omissions(ambient=0.4, supply=0.25, option=0.2, unasked=0.3))
        wrong: Wrong = job.wrong
        for repair in one.case.repairs_done:
            wrong = wrong.without(cured_by(job, repairs[repair.repair]))
            assert repair.complaint_remains == world.complains(job, wrong)
            done += 1
        assert all(repair.complaint_remains for repair in one.case.repairs_done[:-1])
    assert done > 200


def test_readings_after_a_repair_say_so_and_perhaps_another_day(many):
    later = 0
    repaired = [one for one in many if one.case.repairs_done]
    for one in repaired:
        after = [reading for reading in one.case.readings if reading.after_repair]
        assert after
        assert {reading.after_repair for reading in after} == {one.case.repairs_done[-1].repair}
        assert all(reading.day is None for reading in one.case.readings if not reading.after_repair)
        days = {reading.day for reading in after}
        assert len(days) == 1
        day = days.pop()
        if day is not None:
            assert 1 <= (day - one.case.day).days <= AWAY
            later += 1
    assert near(later, len(repaired), float(RETURNED))


@pytest.mark.parametrize(("family", "count"), [("warmer", 1500), ("range_hood", 1000), ("ice_maker", 1000)])
def test_faults_are_there_as_often_as_the_service_believes(family, count, packs, monkeypatch):
    """The drawn world is the one that the engine reckons with: what it holds likely is so as often as it says."""
    monkeypatch.setattr(cases, "REPAIRED", 0.0)
    drawing = Drawing(packs[family], 5, SETTINGS.misread_rate, Omissions(ambient=0.3, supply=0.3, option=0.15))
    believed, there, variance = Counter(), Counter(), Counter()
    for number in range(count):
        one = drawing.case(number)
        for fault in diagnose(one.case, packs[family], SETTINGS).faults:
            level = min(int(fault.probability * 5), 4)
            believed[level] += fault.probability
            there[level] += fault.fault in one.wrong.faults
            variance[level] += fault.probability * (1 - fault.probability)
    assert there[4] > count / 5
    for level in range(5):
        assert abs(there[level] - believed[level]) <= FAR * sqrt(variance[level]) + 1


def test_days_are_spread_over_the_year(many):
    months = Counter(one.case.day.month for one in many)
    assert {one.case.day.year for one in many} == {2026}
    assert all(near(months[month], len(many), 1 / 12 + 0.002) for month in range(1, 13))


def test_cases_say_how_far_to_go(packs):
    assert Drawing(packs["warmer"], 1, 0.01).case(0).case.effort == "none"
    assert Drawing(packs["warmer"], 1, 0.01, effort="quick").case(0).case.effort == "quick"


def test_tests_that_tell_more_are_made_more_often(packs):
    asking = Asking(World(packs["gas_range"].family, 0.01))
    options = tuple(sorted(draw(asking.world, 1, 0, Omissions()).options))
    called = asking.called(options, draw(asking.world, 1, 0, Omissions()).case.complaints[0])
    first = Counter(chosen(called, 1, 0.0, Luck(5, number))[0].id for number in range(4000))
    shares = called.weights / called.weights.sum()
    assert any(share > 0.05 for share in shares)
    for test, share in zip(called.tests, shares, strict=True):
        assert near(first[test.id], 4000, share)


def test_a_share_of_tests_has_nothing_to_do_with_the_complaint(packs):
    asking = Asking(World(packs["gas_range"].family, 0.01))
    job = draw(asking.world, 1, 0, Omissions())
    called = asking.called(job.options, job.case.complaints[0])
    idle = {test.id for test, weight in zip(called.tests, called.weights, strict=True) if not weight}
    first = [chosen(called, 1, float(OTHERS), Luck(6, number))[0].id for number in range(4000)]
    assert len(idle) > 5
    assert near(sum(name in idle for name in first), 4000, float(OTHERS) * len(idle) / len(called.tests))


def test_no_test_is_made_twice_and_none_is_made_up(packs):
    asking = Asking(World(packs["range_hood"].family, 0.01))
    job = draw(asking.world, 1, 0, Omissions())
    called = asking.called(job.options, job.case.complaints[0])
    for number in range(50):
        found = chosen(called, MOST, 0.1, Luck(7, number))
        assert len(found) == len({test.id for test in found}) == min(MOST, len(called.tests))


@pytest.mark.parametrize("family", ["warmer", "gas_range"])
def test_answers_are_those_that_the_service_gives(family, packs):
    full = [json.loads(line) for line in lines(packs[family], SETTINGS, Sample(20, 4, "full", "quick"))]
    for document in full:
        answer = to_document(diagnose(load_case(document["case"]), packs[family], SETTINGS))
        assert document["answer"] == json.loads(json.dumps(answer))
    short = [json.loads(line) for line in lines(packs[family], SETTINGS, Sample(20, 4, "brief", "quick"))]
    assert [document["answer"] for document in short] == [brief(document["answer"]) for document in full]
    assert all("next" in document["answer"] for document in short)


def test_re_evaluation_reads_the_same_of_a_brief_answer_as_of_the_whole(packs):
    read, read_job = loader(EarlierAnswerSchema()), loader(StoredJobSchema())
    for line in lines(packs["gas_range"], SETTINGS, Sample(20, 4, "full", "quick")):
        document = json.loads(line)
        short = brief(document["answer"])
        assert read(short) == read(document["answer"])
        assert read_job(document).answer == read(short)
        assert len(json.dumps(short)) < 0.5 * len(json.dumps(document["answer"]))


def test_lines_say_that_they_are_invented_and_what_was_true(packs):
    for number, line in enumerate(lines(packs["warmer"], SETTINGS, Sample(60, 4))):
        document = json.loads(line)
        assert list(document) == ["invented", "case", "truth"]
        assert document["invented"] is True
        assert document["case"]["reference"] == f"invented job {number}"
        assert list(document["truth"]) == ["faults", "unknown", "options", "misread", "gains"]
        assert b"\n" not in line


def test_a_family_with_hardly_a_test_is_drawn_too(packs):
    few = warmer(tests=tuple(test for test in warmer().tests if test.id in ("door", "lamp")))
    made = [Drawing(pack_of(few), 2, 0.01).case(number) for number in range(40)]
    assert {len(one.case.readings) for one in made} <= set(range(1, ceil(MOST / 2)))
    for one in made:
        diagnose(one.case, pack_of(few), SETTINGS)


def test_a_family_in_which_nothing_bears_on_the_complaint_is_drawn_too():
    mute = Complaint("hums", "It hums", invented(0.3), shown_by={})
    made = [Drawing(pack_of(warmer(complaints=(mute,))), 2, 0.01).case(number) for number in range(20)]
    assert all(one.case.complaints == ("hums",) and len(one.case.readings) >= FEWEST for one in made)
