"""Closing checks: which are asked for, in which order, and what shows them."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from probewright.figures import common_practice, invented
from probewright.packs.model import Closing, Family, Interlock, Limit, OptionValue, Stated
from probewright.packs.model import Option as FamilyOption
from probewright.planning.proofs import ClosingState, closing_state
from probewright.quantities.conformity import Thresholds
from probewright_schemas.records import Case, CheckedReading, Expected, Limits, Reading, RepairDone, UsedCondition

LIVE = ("live",)
ALL_STATES = ("isolated", "live_gas_off", "live")


@pytest.fixture
def family(make: SimpleNamespace) -> Family:
    """Two repairs with checks of all kinds; ``leak`` is looked for by an interlock."""
    spread = make.family().ambient
    tests = [
        make.test("covers", states=ALL_STATES, closing=True),
        make.test("lights", states=LIVE, outcomes=("at_once", "late", "never")),
        make.test("leak", states=LIVE, zone="rear"),
        make.test("ground", states=("isolated",)),
        make.test("volts", kind="voltage", unit="V", states=("live_gas_off",), outcomes=(), models=(Stated(spread),)),
        make.test("pilot", states=LIVE, when={"fuel": "pilot"}),
        make.test("smell", states=ALL_STATES),
    ]
    repairs = [
        make.repair("fit_heater", {"a": 0.9}, closing_checks=("heats", "fed", "on", "said")),
        make.repair("fit_pipe", {"b": 0.9}, closing_checks=("tight", "grounded", "heats", "steady", "on", "no_smell")),
    ]
    closings = (
        Closing("on", "Covers are on.", "covers"), Closing("heats", "It lights.", "lights", passes=("at_once", "late")),
        Closing("tight", "Nothing leaks.", "leak"), Closing("grounded", "It has its ground.", "ground"),
        Closing("fed", "It is fed.", "volts"), Closing("steady", "Its pilot is steady.", "pilot"),
        Closing("said", "The customer knows."), Closing("no_smell", "Nothing smells.", "smell"),
    )  # fmt: skip
    lock = Interlock("gas", "Gas", "stop", "Gas.", seen={"leak": ("bad",), "smell": ("bad",)}, steps=("Leave.",))
    fuel = FamilyOption("fuel", "Fuel", (OptionValue("spark", "Spark", invented(0.8)),
                                         OptionValue("pilot", "Pilot", invented(0.2))))  # fmt: skip
    return make.family(tests, repairs, interlocks=[lock], closings=closings, options=(fuel,))


def state(family: Family, done: list[str], *read: tuple[str, str | float, str | None], **fields: Any) -> ClosingState:
    """The state after repairs, from readings as (test, what it showed, after which repair)."""
    readings = tuple(Reading(test, after_repair=after) for test, _, after in read)
    checked = [
        CheckedReading(test, "within", value=shown, standard_uncertainty=0.5) if isinstance(shown, float)
        else CheckedReading(test, "inconclusive", seen=shown)
        for test, shown, _ in read
    ]  # fmt: skip
    repairs = tuple(RepairDone(repair, complaint_remains=False) for repair in done)
    return closing_state(family, Case("appliance", readings=readings, repairs_done=repairs, **fields), checked)


def statuses(found: ClosingState) -> dict[str, str | None]:
    return {proof.closing.id: proof.status for proof in found.proofs}


def test_nothing_is_asked_for_before_a_repair(family: Family) -> None:
    found = state(family, [], ("lights", "late", None))
    assert found == ClosingState()
    assert found.passed


def test_a_repair_that_did_not_help_must_be_proven_too(family: Family) -> None:
    case = Case("appliance", repairs_done=(RepairDone("fit_pipe", complaint_remains=True),))
    assert "tight" in statuses(closing_state(family, case, []))


def test_the_order_is_by_state_with_hazards_first_and_covers_last(family: Family) -> None:
    order = [proof.closing.id for proof in state(family, ["fit_heater", "fit_pipe"]).proofs]
    # Dead, then powered, then with gas: there the hazards, then what works; then covers, then what is only told.
    assert order == ["grounded", "fed", "tight", "no_smell", "heats", "on", "said"]


def test_each_check_stands_once_with_the_last_repair_that_asks_for_it(family: Family) -> None:
    repairs = {p.closing.id: p.repair.id for p in state(family, ["fit_pipe", "fit_heater"]).proofs}
    assert repairs["heats"] == repairs["on"] == "fit_heater"
    assert repairs["tight"] == "fit_pipe"


@pytest.mark.parametrize(
    ("shown", "status"), [("at_once", "passed"), ("late", "passed"), ("never", "failed")]
)  # fmt: skip
def test_outcomes_that_pass_are_the_checks_own(family: Family, shown: str, status: str) -> None:
    assert statuses(state(family, ["fit_heater"], ("lights", shown, "fit_heater")))["heats"] == status


@pytest.mark.parametrize(("shown", "status"), [("good", "passed"), ("bad", "failed")])
def test_without_any_the_healthy_outcome_alone_passes(family: Family, shown: str, status: str) -> None:
    assert statuses(state(family, ["fit_pipe"], ("leak", shown, "fit_pipe")))["tight"] == status


def test_what_was_read_before_the_repair_shows_nothing(family: Family) -> None:
    assert statuses(state(family, ["fit_heater"], ("lights", "at_once", None)))["heats"] == "open"


def test_it_counts_since_the_last_repair_that_asks_for_it(family: Family) -> None:
    done = ["fit_heater", "fit_pipe"]
    assert statuses(state(family, done, ("lights", "at_once", "fit_heater")))["heats"] == "open"
    assert statuses(state(family, done, ("lights", "at_once", "fit_pipe")))["heats"] == "passed"
    # The voltage is asked for by the first alone, so both count.
    for after in done:
        assert statuses(state(family, done, ("volts", 120.0, after)))["fed"] == "passed"


def test_the_latest_reading_since_counts(family: Family) -> None:
    worse = state(family, ["fit_pipe"], ("leak", "good", "fit_pipe"), ("leak", "bad", "fit_pipe"))
    assert statuses(worse)["tight"] == "failed"
    better = state(family, ["fit_pipe"], ("leak", "bad", "fit_pipe"), ("leak", "good", "fit_pipe"))
    assert statuses(better)["tight"] == "passed"
    # Later on means after a later repair first, wherever the reading is listed.
    listed_late = state(
        family, ["fit_pipe", "fit_heater"], ("leak", "good", "fit_heater"), ("leak", "bad", "fit_pipe")
    )
    assert statuses(listed_late)["tight"] == "passed"


def test_a_rejected_reading_shows_nothing(family: Family) -> None:
    case = Case("appliance", readings=(Reading("leak", after_repair="fit_pipe"),),
                repairs_done=(RepairDone("fit_pipe", complaint_remains=False),))  # fmt: skip
    found = closing_state(family, case, [CheckedReading("leak", "rejected", seen="good")])
    assert statuses(found)["tight"] == "open"


@pytest.mark.parametrize(
    ("verdict", "status"), [("within", "passed"), ("outside", "failed"), ("inconclusive", "open")]
)  # fmt: skip
def test_a_number_passes_by_its_verdict(family: Family, verdict: Any, status: str) -> None:
    case = Case("appliance", readings=(Reading("volts", after_repair="fit_heater"),),
                repairs_done=(RepairDone("fit_heater", complaint_remains=False),))  # fmt: skip
    found = closing_state(family, case, [CheckedReading("volts", verdict, value=120.0)])
    assert statuses(found)["fed"] == status


def limited(family: Family, *limits: Limit) -> Family:
    closings = [c if c.id != "fed" else Closing("fed", c.text, c.test, limits) for c in family.closings]
    return Family(**{name: getattr(family, name) for name in family.__slots__} | {"closings": tuple(closings)})


def fed(family: Family, reading: CheckedReading, thresholds: Thresholds | None = None, **fields: Any) -> str | None:
    case = Case("appliance", readings=(Reading("volts", after_repair="fit_heater"),),
                repairs_done=(RepairDone("fit_heater", complaint_remains=False),), **fields)  # fmt: skip
    more = [] if thresholds is None else [thresholds]
    return statuses(closing_state(family, case, [reading], *more))["fed"]


def volts(value: float, **fields: Any) -> CheckedReading:
    return CheckedReading("volts", "within", value=value, standard_uncertainty=1.0, **fields)


BAND = Limit(common_practice(114.0), common_practice(126.0))


@pytest.mark.parametrize(
    ("reading", "status"),
    [
        (volts(120.0), "passed"), (volts(110.0), "failed"), (volts(130.0), "failed"),
        (volts(115.0), "open"),  # one deviation inside: 84 %, less than the 95 % that a verdict needs
        (CheckedReading("volts", "within", over_range=True), "failed"),
        (CheckedReading("volts", "within", under_range=True), "failed"),
    ],
)  # fmt: skip
def test_limits_of_the_check_come_before_those_of_the_test(
    family: Family, reading: CheckedReading, status: str
) -> None:
    assert fed(limited(family, BAND), reading) == status


def test_limits_may_be_open_on_one_side(family: Family) -> None:
    above, below = limited(family, Limit(low=common_practice(100.0))), limited(family, Limit(high=common_practice(3.0)))
    assert fed(above, CheckedReading("volts", "outside", over_range=True)) == "passed"
    assert fed(below, CheckedReading("volts", "outside", under_range=True)) == "passed"


def test_thresholds_are_the_deployments(family: Family) -> None:
    assert fed(limited(family, BAND), volts(115.0), Thresholds(within=0.8)) == "passed"


def test_limits_scale_with_the_supply(family: Family) -> None:
    scaled = limited(family, Limit(BAND.low, BAND.high, scales_with_supply=True))
    at = Expected("shop", conditions={"supply_voltage": UsedCondition(108.0, "V", "case")})
    assert fed(scaled, volts(108.0, expected=at)) == "passed"
    assert fed(scaled, volts(120.0, expected=at)) == "failed"
    assert fed(scaled, volts(120.0)) == "passed"


def test_limits_of_another_build_do_not_count(family: Family) -> None:
    strict = Limit(common_practice(200.0), when={"fuel": "pilot"})
    both = limited(family, strict, BAND)
    assert fed(both, volts(120.0), options={"fuel": "spark"}) == "passed"
    assert fed(both, volts(120.0), options={"fuel": "pilot"}) == "failed"


def test_the_makers_sheet_comes_before_limits_of_the_check(family: Family) -> None:
    sheet = {"volts": Limits("V", 100.0, 112.0)}
    assert fed(limited(family, BAND), volts(110.0), tech_sheet=sheet) == "passed"


def test_a_check_falls_away_where_the_appliance_lacks_its_test(family: Family) -> None:
    assert "steady" in statuses(state(family, ["fit_pipe"], options={"fuel": "pilot"}))
    assert "steady" not in statuses(state(family, ["fit_pipe"], options={"fuel": "spark"}))
    assert "steady" not in statuses(state(family, ["fit_pipe"])), "four in five lack it"


def test_what_no_test_shows_is_told_and_asks_for_nothing(family: Family) -> None:
    everything = [("lights", "at_once", "fit_heater"), ("volts", 120.0, "fit_heater"), ("covers", "good", "fit_heater")]
    found = state(family, ["fit_heater"], *everything)
    assert statuses(found) == {"fed": "passed", "heats": "passed", "on": "passed", "said": None}
    assert found.passed
    assert not found.open
    assert [(r.id, r.status, r.test) for r in found.records][-1] == ("said", None, None)


@pytest.mark.parametrize(
    ("volts", "guarded", "status"),
    [
        (119.9, False, "passed"),
        (120.1, False, "passed"),
        (119.8, True, "failed"),
        (119.5, True, "passed"),
        (115.0, True, "passed"),
    ],
)
def test_what_stays_undecided_passes_unless_safety_depends_on_it(
    family: Family, volts: float, guarded: bool, status: str
) -> None:
    limits = (Limit(high=invented(120.0)),)
    own = [replace(c, limits=limits, guarded=guarded) if c.id == "fed" else c for c in family.closings]
    family = replace(family, closings=tuple(own))
    read = ("volts", volts, "fit_heater")
    assert statuses(state(family, ["fit_heater"], read))["fed"] == ("passed" if volts == 115.0 else "open")
    assert statuses(state(family, ["fit_heater"], read, read))["fed"] == status


def test_what_failed_once_is_not_sure(family: Family) -> None:
    once, twice = (state(family, ["fit_pipe"], *(times * [("leak", "bad", "fit_pipe")])) for times in (1, 2))
    assert [proof.sure for proof in once.failed] == [False]
    assert [proof.sure for proof in twice.failed] == [True]
