"""Stored jobs asked again: what becomes of them, and why.  All jobs, meters and calibrations are invented."""

from __future__ import annotations

import json
from dataclasses import fields, replace
from datetime import date

import pytest

import ice_maker
import range_hood
from probewright import engine
from probewright.batch.jobs import load_job
from probewright.batch.reasons import SAME
from probewright.batch.reevaluating import Reevaluator
from probewright.errors import InvalidCase
from probewright.packs.loader import load_packs
from probewright.packs.registry import Registry
from probewright.settings import Settings
from probewright.simulation.sample import Sample, lines
from probewright_schemas.batch_records import Changes, EarlierAnswer, Held, MeterCorrection, ReplacedLimits, StoredJob
from probewright_schemas.dump import to_document
from probewright_schemas.records import (
    Case,
    CaseCosts,
    Conditions,
    Correction,
    Limits,
    Meter,
    Quantity,
    Reading,
    RepairDone,
    Visit,
)
from support.families import case, pack_of, supply, warmer

SETTINGS = Settings()
WARMER = pack_of()
#: Per cent of reading and counts of an invented clamp: 0.02 A or so at 2.6 A.
CLAMP = {"clamp": Meter("clamp_meter", percent_of_reading=1.0, counts=3.0, id="clamp-07")}
#: A small warmer takes 100 V / 25 ohm = 4 A, a weak one 100 V / 37 ohm = 2.7027 A.
HEALTHY, WEAK = 4.0, 2.7027
#: Invented limits, for nothing in a warmer has a tolerance.
SHEET = {"heater_current": Limits("A", low=3.5, high=4.5)}
FAMILIES = ("clothes_dryer", "electric_range", "gas_range", "ice_maker", "range_hood")


@pytest.fixture(scope="module")
def packs():
    examples = {"ice_maker": pack_of(ice_maker.FAMILY), "range_hood": pack_of(range_hood.FAMILY)}
    return {**load_packs().packs, **examples, "warmer": WARMER}


@pytest.fixture
def gas(packs):
    return packs["gas_range"]


def stored(asked, pack, settings=SETTINGS, **changed):
    """A job as it was stored: with the answer of the engine, written as JSON and read again."""
    document = to_document(engine.diagnose(asked, pack, settings)) | changed
    read = load_job(json.loads(json.dumps({"case": {"family": asked.family}, "answer": document})))
    return StoredJob(asked, read.answer)


def again(*jobs, pack=WARMER, corrections=(), limits=(), settings=SETTINGS, **how):
    registry = Registry({pack.family.id: pack})
    return Reevaluator(Changes(corrections, limits), registry, settings, **how).results(jobs)


def amperes(value, **more):
    return Reading("heater_current", value, unit="A", state="live", meter="clamp", **more)


def of_clamp(gain, **more):
    return MeterCorrection("clamp-07", "current", Correction(gain=gain), **more)


def cold(*readings, **more):
    """A small warmer that stays cold, its supply as it should be."""
    known = {"complaints": ("cold",), "conditions": supply(100.0), "meters": CLAMP, "tech_sheet": SHEET}
    return case(*readings, **(known | more))


# -- the same computation


def forbid(monkeypatch):
    """No answer may be worked out."""

    def fails(*_):
        raise AssertionError("nothing is to be worked out")

    for name in {"diagnose", "diagnose_many", "brief_many", "chance_bad_before"} & set(engine.__all__):
        monkeypatch.setattr(engine, name, fails)


def test_the_same_computation_is_known_by_its_digest_and_not_worked_out(monkeypatch):
    job = stored(cold(amperes(HEALTHY), reference="job-1"), WARMER)
    forbid(monkeypatch)
    (result,) = again(job)
    leading = job.answer.faults[0]
    assert (result.status, result.why, result.shift, result.changes) == ("same", SAME, 0.0, ())
    assert result.before == result.after == Held(leading.fault, leading.probability)
    assert (result.reference, result.computation) == ("job-1", job.answer.computation)
    with pytest.raises(AssertionError, match="nothing is to be worked out"):
        again(job, recompute=True)


def test_an_answer_that_holds_no_fault_likely_is_known_again(monkeypatch):
    job = stored(cold(amperes(HEALTHY)), WARMER, faults=[], unexplained=0.9995, no_fault=1e-5)
    forbid(monkeypatch)
    (result,) = again(job)
    assert (result.status, result.after) == ("same", Held("unknown", 0.9995))


@pytest.mark.parametrize("told", [
    {"computation": "sha256:0a"}, {"computation": None}, {"faults": (), "unexplained": None, "no_fault": None},
])  # fmt: skip
def test_without_an_equal_digest_and_something_to_go_by_it_is_worked_out(told):
    job = stored(cold(amperes(HEALTHY)), WARMER)
    (result,) = again(replace(job, answer=replace(job.answer, **told)))
    assert result.status == "unchanged"
    assert result.computation == job.answer.computation


def test_changes_that_touch_nothing_leave_a_job_the_same():
    ohms = Reading("heater_ohms", 24.0, unit="ohm", state="isolated")
    jobs = [stored(cold(reading), WARMER) for reading in (ohms, amperes(HEALTHY, day=date(2026, 1, 1)))]
    elsewhere = (MeterCorrection("clamp-99", "current", Correction(1.5)), of_clamp(1.5, since=date(2026, 1, 2)))
    limits = (ReplacedLimits("warmer", "supply_volts", Limits("V", high=1.0)),)
    assert [result.status for result in again(*jobs, corrections=elsewhere, limits=limits)] == ["same", "same"]


@pytest.mark.parametrize("family", FAMILIES)
def test_drawn_jobs_are_the_same_and_come_to_the_same_when_worked_out_again(packs, family):
    pack = packs[family]
    drawn = lines(pack, SETTINGS, Sample(200, seed=11, answers="full"))
    jobs = [load_job(json.loads(line)) for line in drawn]
    assert len(jobs) == 200
    same = again(*jobs, pack=pack)
    assert {(one.status, one.shift) for one in same} == {("same", 0.0)}
    once_more = again(*jobs, pack=pack, recompute=True)
    assert {(one.status, one.shift, one.changes) for one in once_more} == {("unchanged", 0.0, ())}
    assert [(one.after, one.computation) for one in once_more] == [(one.after, one.computation) for one in same]


# -- what the digest of a computation depends on

ANOTHER = {
    "options": {"style": "large"}, "complaints": ("rattles",), "working": ("heats",), "conditions": supply(99.0),
    "meters": {"clamp": Meter("clamp_meter", percent_of_reading=2.0)},
    "readings": (Reading("door", seen="ajar", state="isolated"),),
    "repairs_done": (RepairDone("tighten_door", complaint_remains=True),),
    "tech_sheet": {"heater_current": Limits("A", high=9.0)}, "visit": Visit(tools=()),
    "costs": CaseCosts(callback=1.0), "effort": "none", "day": date(2026, 3, 1),
}  # fmt: skip


@pytest.mark.parametrize("member", [field.name for field in fields(Case) if field.name not in ("family", "reference")])
def test_every_member_of_a_case_is_in_the_digest(member):
    one = cold(amperes(HEALTHY), reference="job-1")
    other = replace(one, **{member: ANOTHER[member]})
    assert engine.computation(other, WARMER, SETTINGS) != engine.computation(one, WARMER, SETTINGS)


def test_the_reference_is_not_in_the_digest():
    one = cold(amperes(HEALTHY), reference="job-1")
    assert engine.computation(replace(one, reference="job-2"), WARMER, SETTINGS) == engine.computation(
        replace(one, reference=None), WARMER, SETTINGS
    )


def test_pack_hooks_and_settings_are_in_the_digest():
    one = cold(amperes(HEALTHY))
    found = {
        engine.computation(one, pack, settings)
        for pack, settings in (
            (WARMER, SETTINGS), (replace(WARMER, digest="sha256:other"), SETTINGS),
            (replace(WARMER, code="sha256:hooks"), SETTINGS), (pack_of(warmer(id="cooler")), SETTINGS),
            (WARMER, Settings(verdict_within=0.9)), (WARMER, Settings(verdict_outside=0.01)),
            (WARMER, Settings(misread_rate=0.02)),
        )
    }  # fmt: skip
    assert len(found) == 7


# -- corrections and limits


def test_a_corrected_meter_changes_verdict_leading_fault_and_step():
    """The clamp showed 4 / 2.7027 times too little: what looked like a weak heater is a sound one."""
    asked = cold(amperes(WEAK, day=date(2026, 5, 5)), effort="quick", reference="job-7")
    gain = HEALTHY / WEAK
    (result,) = again(stored(asked, WARMER), corrections=(of_clamp(gain, since=date(2026, 5, 5)),), answers=True)
    assert (result.status, result.reference) == ("changed", "job-7")
    assert result.before.fault == "heater_weak"
    assert result.after.fault != "heater_weak"
    (read,) = result.corrected
    assert (read.reading, read.test, read.meter, read.unit) == (0, "heater_current", "clamp-07", "A")
    assert (read.as_read, read.value) == (pytest.approx(WEAK), pytest.approx(HEALTHY))
    kinds = [change.kind for change in result.changes]
    assert kinds == ["leading_fault", "next_step", "verdict"]
    assert (result.changes[2].before, result.changes[2].after) == ("outside", "within")
    told = "With clamp-07 corrected: heater current reads 4 A in place of 2.703 A and is now within (it was outside); "
    assert result.why.startswith(told)
    # The answer is the one that the engine gives to a case with the correction in it.
    by_hand = replace(asked, readings=(replace(asked.readings[0], correction=Correction(gain=gain)),))
    assert to_document(result.answer) == to_document(engine.diagnose(by_hand, WARMER, SETTINGS))


def test_the_shift_is_the_largest_difference_between_both_answers():
    asked = cold(amperes(WEAK))
    job = stored(asked, WARMER)
    (result,) = again(job, corrections=(of_clamp(HEALTHY / WEAK),), answers=True)

    def probabilities(document):
        told = {fault["fault"]: fault["probability"] for fault in document["faults"]}
        return told | {"none": document["no_fault"], "unknown": document["unexplained"]}

    before = probabilities(to_document(engine.diagnose(asked, WARMER, SETTINGS)))
    after = probabilities(to_document(result.answer))
    largest = max(abs(after.get(name, 0.0) - before.get(name, 0.0)) for name in {*before, *after})
    assert largest > 0.3
    assert result.shift == pytest.approx(largest, abs=1e-12)


def test_a_correction_of_nothing_is_worked_out_and_unchanged():
    (result,) = again(stored(cold(amperes(HEALTHY)), WARMER), corrections=(of_clamp(1.0),))
    assert (result.status, result.changes) == ("unchanged", ())
    assert result.shift < 1e-5
    assert len(result.corrected) == 1


def test_replaced_limits_change_a_verdict_and_say_so():
    limits = (ReplacedLimits("warmer", "heater_current", Limits("A", low=4.5), {"style": "small"}),)
    small, unread = stored(cold(amperes(HEALTHY)), WARMER), stored(cold(), WARMER)
    large = stored(cold(amperes(5.0), options={"style": "large", "lamp": "yes"}), WARMER)
    changed, *others = again(small, large, unread, limits=limits)
    assert [result.status for result in others] == ["same", "same"]
    assert ("verdict", "within", "outside") in [(c.kind, c.before, c.after) for c in changed.changes]
    assert changed.why.startswith("With other limits of heater current: it is now outside (it was within)")


def test_notes_go_with_the_result_and_the_job_stays_the_same():
    over = replace(amperes(HEALTHY), value=None, unit=None, over_range=True)
    dated = of_clamp(1.3, since=date(2026, 1, 1))
    undated, no_number = again(
        stored(cold(amperes(HEALTHY)), WARMER), stored(cold(over, day=date(2026, 2, 2)), WARMER), corrections=(dated,)
    )
    assert (undated.status, no_number.status) == ("same", "same")
    assert "has no day" in undated.notes[0]
    assert "is no number" in no_number.notes[0]


# -- another pack, effort, no answer


def test_another_pack_is_worked_out_and_told():
    job = stored(cold(amperes(WEAK)), WARMER)
    doubled = tuple(replace(f, rate=type(f.rate)(0.19, f.rate.basis)) if f.id == "heater_weak" else f
                    for f in warmer().faults)  # fmt: skip
    other = replace(pack_of(warmer(faults=doubled, version="1.1.0")), digest="sha256:5d5d5d5d5d")
    (result,) = again(job, pack=other)
    assert result.status in ("changed", "unchanged")
    assert result.shift > 0
    assert result.pack.digest == "sha256:5d5d5d5d5d"
    assert result.why.startswith("With pack 1.1.0 (5d5d5d5d) in place of 1.0.0 (invented): ")


def test_a_number_that_a_shop_changes_is_told_as_another_pack(gas, tmp_path):
    file = tmp_path / "shop.toml"
    file.write_text("[families.gas_range]\nfault_rates.bake_igniter_weak = 0.06\n")  # invented
    other = load_packs(shop_files=[str(file)]).packs["gas_range"]
    assert other.digest != gas.digest
    asked = Case("gas_range", complaints=("bake_does_not_light",), effort="none")
    (result,) = again(stored(asked, gas), pack=other)
    assert result.status != "same"
    told = [f"1.0.0 ({digest.removeprefix('sha256:')[:8]})" for digest in (other.digest, gas.digest)]
    assert result.why.startswith("With pack {} in place of {}: ".format(*told))
    # By hand: the rate was less, so the fault is likelier now.
    now = engine.diagnose(asked, other, SETTINGS).faults
    was = engine.diagnose(asked, gas, SETTINGS).faults
    risen = {f.fault: f.probability for f in now}["bake_igniter_weak"] - {f.fault: f.probability for f in was}[
        "bake_igniter_weak"
    ]
    assert risen > 0
    assert result.shift >= risen - 1e-6


def test_another_effort_is_told():
    (result,) = again(stored(cold(amperes(WEAK), effort="none"), WARMER), effort="quick")
    assert result.status == "unchanged"
    assert result.why.startswith("With effort quick in place of none: the verdicts, the leading fault and ")
    assert again(stored(cold(amperes(WEAK), effort="quick"), WARMER), effort="quick")[0].status == "same"


def test_a_job_without_an_answer_is_new():
    (result,) = again(StoredJob(cold(amperes(WEAK))))
    assert (result.status, result.before, result.shift, result.changes) == ("new", None, None, ())
    assert result.why.startswith("There was no earlier answer: heater weak leads with ")


def test_an_answer_about_other_readings_is_not_compared():
    job = stored(cold(amperes(WEAK)), WARMER)
    (result,) = again(replace(job, case=cold(amperes(WEAK), Reading("door", seen="shut", state="isolated"))))
    assert result.changes[-1].kind == "not_computed"
    assert "readings" in result.changes[-1].of


def test_an_answer_that_tells_nothing_is_not_compared():
    (result,) = again(StoredJob(cold(amperes(WEAK)), EarlierAnswer(WARMER.identity)))
    assert (result.status, result.before, result.shift) == ("changed", None, None)
    assert [change.kind for change in result.changes] == ["not_computed"]


# -- what may hurt somebody


def flue_gas(ppm, **more):
    meters = {"analyzer": Meter("gas_analyzer", percent_of_reading=5.0, counts=3.0, id="analyzer-1")}
    reading = Reading("carbon_monoxide_air_free", ppm, unit="ppm", state="live", meter="analyzer")
    return Case("gas_range", readings=(reading,), meters=meters, effort="none", **more)


def of_analyzer(gain):
    return (MeterCorrection("analyzer-1", "concentration", Correction(gain=gain)),)


def test_a_hazard_that_a_correction_brings_out_comes_first(gas):
    """The pack stops at 100 ppm: 80 ppm shown are 120 ppm by an analyser that reads a third too little."""
    (result,) = again(stored(flue_gas(80.0), gas), pack=gas, corrections=of_analyzer(1.5))
    assert [(change.kind, change.of) for change in result.changes][:1] == [("hazard_shows", "carbon_monoxide")]
    assert result.corrected[0].value == pytest.approx(120.0)
    assert result.why.endswith("; a hazard now shows: carbon monoxide over the action limit.")


def test_a_hazard_that_a_correction_takes_away_is_to_be_borne_out(gas):
    """130 ppm shown are 65 ppm by an analyser that reads twice too much."""
    (result,) = again(stored(flue_gas(130.0), gas), pack=gas, corrections=of_analyzer(0.5))
    assert [(change.kind, change.of) for change in result.changes][:1] == [("hazard_gone", "carbon_monoxide")]
    assert "a fresh reading must bear out before anybody relies on it" in result.why


def test_a_hazard_that_stays_is_no_change(gas):
    (result,) = again(stored(flue_gas(130.0), gas), pack=gas, corrections=of_analyzer(1.1))
    assert not {"hazard_shows", "hazard_gone"} & {change.kind for change in result.changes}


def test_a_stricter_limit_of_a_gas_brings_a_hazard_out_and_a_looser_one_takes_none_away(gas):
    def limited(high):
        return (ReplacedLimits("gas_range", "carbon_monoxide_air_free", Limits("ppm", high=high)),)

    (strict,) = again(stored(flue_gas(80.0), gas), pack=gas, limits=limited(50.0))
    assert strict.changes[0].kind == "hazard_shows"
    (loose,) = again(stored(flue_gas(130.0), gas), pack=gas, limits=limited(400.0))
    assert "hazard_gone" not in [change.kind for change in loose.changes]


def test_a_first_answer_tells_its_hazard(gas):
    (result,) = again(StoredJob(flue_gas(150.0)), pack=gas)
    assert (result.status, [change.kind for change in result.changes]) == ("new", ["hazard_shows"])
    assert "a hazard now shows: carbon monoxide over the action limit" in result.why


# -- a part that was replaced


def replaced_igniter(amps):
    """The bake igniter was replaced for a low reading; it had glowed white, and the oven still does not light."""
    options = {"fuel": "natural_gas", "oven_ignition": "hot_surface", "igniter_style": "flat",
               "cooktop_ignition": "spark", "oven_control": "electronic"}  # fmt: skip
    current = Reading("bake_igniter_current", amps, unit="A", state="live", meter="clamp")
    return Case(
        "gas_range", options=options, complaints=("bake_does_not_light",), meters=CLAMP, effort="none",
        conditions=Conditions(supply_voltage=Quantity(120.0, "V")),
        readings=(current, Reading("bake_igniter_glow", seen="white", state="live")),
        repairs_done=(RepairDone("replace_bake_igniter", complaint_remains=True),),
    )  # fmt: skip


def test_a_part_that_was_replaced_after_a_low_reading_looks_good_when_that_is_corrected(gas):
    """A clamp that shows 2.6 A of 3.4 A: the pack's igniter takes some 3.2 A to 3.6 A."""
    asked, gain = replaced_igniter(2.6), 3.4 / 2.6
    (result,) = again(stored(asked, gas), pack=gas, corrections=of_clamp_with(gain))
    (swapped,) = [change for change in result.changes if change.kind == "swapped_part_good"]
    assert (swapped.of, swapped.after) == ("bake_igniter", "replace_bake_igniter")
    assert swapped.probability_before > 0.5
    assert swapped.probability_after < 0.1
    # What was known when it was replaced: the readings, and no repair yet.
    own = {fault.id for fault in gas.family.faults if fault.part == "bake_igniter"}
    for told, correction in ((swapped.probability_before, None), (swapped.probability_after, Correction(gain=gain))):
        then = replace(asked, repairs_done=(), readings=(
            replace(asked.readings[0], correction=correction), asked.readings[1],
        ))  # fmt: skip
        known = [f.probability for f in engine.diagnose(then, gas, SETTINGS).faults if f.fault in own]
        # Faults below 0.002 are left out of an answer, and the part has few.
        assert told == pytest.approx(sum(known), abs=0.002 * len(own))


def of_clamp_with(gain):
    return (of_clamp(gain),)


def test_a_part_that_still_looks_bad_is_not_told(gas):
    (result,) = again(stored(replaced_igniter(2.6), gas), pack=gas, corrections=of_clamp_with(1.02))
    assert "swapped_part_good" not in [change.kind for change in result.changes]


# -- many at once


def test_results_stand_in_the_order_of_the_jobs_and_an_error_in_its_place(gas):
    registry = Registry({"warmer": WARMER, "gas_range": gas})
    bad = cold(Reading("no_such_test", 1.0, unit="A"))
    jobs = [
        StoredJob(flue_gas(20.0, reference="a")), stored(cold(amperes(WEAK), reference="b"), WARMER), StoredJob(bad),
        StoredJob(Case("toaster")), StoredJob(cold(reference="c")),
    ]  # fmt: skip
    results = Reevaluator(Changes(), registry, SETTINGS).results(jobs)
    assert [getattr(result, "reference", None) for result in results] == ["a", "b", None, None, "c"]
    assert [getattr(result, "status", type(result)) for result in results] == [
        "new", "same", InvalidCase, InvalidCase, "new",
    ]  # fmt: skip
    assert [result.faults[0].pointer for result in results[2:4]] == ["/case/readings/0/test", "/case/family"]
    assert Reevaluator(Changes(), registry, SETTINGS).results([]) == []
