"""Hazards: what raises them, what clears them, and in which order."""

from __future__ import annotations

from itertools import zip_longest
from types import SimpleNamespace

import pytest

from probewright.figures import invented
from probewright.packs.model import Interlock, Test
from probewright.planning.interlocks import raised
from probewright_schemas.records import Case, CheckedReading, Reading, RepairDone, Verdict

GAS = Interlock(
    "gas_smell", "Gas smell", "stop", "Gas may ignite.", complaints=("gas_smell",), seen={"gas_odour": ("present",)},
    cleared_by={"gas_odour": ("none",), "leak_check": ("tight",)},
)  # fmt: skip
CO = Interlock("carbon_monoxide", "Carbon monoxide", "stop", "Toxic.", above={"co": invented(100.0)})
SCORCHED = Interlock("scorched", "Scorched wiring", "refer", "Fire.", seen={"wiring": ("scorched",)})


def seen(test: str, what: str, verdict: Verdict = "within") -> CheckedReading:
    return CheckedReading(test, verdict, seen=what)


def number(
    value: float | None, uncertainty: float | None = None, verdict: Verdict = "within", **more: bool
) -> CheckedReading:
    return CheckedReading("co", verdict, value=value, unit="ppm", standard_uncertainty=uncertainty, **more)


def names(
    make: SimpleNamespace, locks: tuple[Interlock, ...], *readings: CheckedReading, complaints: tuple[str, ...] = (),
    after: tuple[str | None, ...] = (), options: dict[str, str] | None = None, tests: tuple[Test, ...] = (),
) -> list[str]:  # fmt: skip
    """The interlocks that hold; ``after`` are the repairs after which readings were taken."""
    taken = tuple(
        Reading(r.test, seen=r.seen, after_repair=repair) for r, repair in zip_longest(readings, after) if r is not None
    )
    done = tuple(RepairDone(repair, complaint_remains=True) for repair in sorted({r for r in after if r is not None}))
    case = Case("appliance", options=options or {}, complaints=complaints, readings=taken, repairs_done=done)
    return [lock.id for lock in raised(make.family(interlocks=locks, tests=tests), case, readings)]


def test_nothing_raises_nothing(make: SimpleNamespace) -> None:
    assert names(make, (GAS, CO, SCORCHED), seen("gas_odour", "none"), number(10.0), complaints=("no_heat",)) == []


def test_a_complaint_raises(make: SimpleNamespace) -> None:
    assert names(make, (GAS,), complaints=("gas_smell",)) == ["gas_smell"]


@pytest.mark.parametrize("verdict", ["within", "outside", "inconclusive", "rejected"])
def test_what_was_seen_raises_whatever_its_verdict(make: SimpleNamespace, verdict: Verdict) -> None:
    assert names(make, (GAS,), seen("gas_odour", "present", verdict)) == ["gas_smell"]


def test_every_clearing_test_must_follow_what_raised(make: SimpleNamespace) -> None:
    present, none, tight = seen("gas_odour", "present"), seen("gas_odour", "none"), seen("leak_check", "tight")
    assert names(make, (GAS,), present, none) == ["gas_smell"]
    assert names(make, (GAS,), present, none, tight) == []
    assert names(make, (GAS,), tight, present, none) == ["gas_smell"]
    assert names(make, (GAS,), present, none, tight, present) == ["gas_smell"]


def test_a_clearing_test_that_the_options_rule_out_need_not_be_read(make: SimpleNamespace) -> None:
    present, none = seen("gas_odour", "present"), seen("gas_odour", "none")
    of_gas = (make.test("gas_odour"), make.test("leak_check", when={"fuel": ("natural_gas", "propane")}))
    for options, holding in (({"fuel": "none"}, []), ({"fuel": "propane"}, ["gas_smell"]), ({}, ["gas_smell"])):
        assert names(make, (GAS,), present, none, options=options, tests=of_gas) == holding


def test_where_the_options_rule_out_all_that_clears_the_hazard_stands(make: SimpleNamespace) -> None:
    present, none, tight = seen("gas_odour", "present"), seen("gas_odour", "none"), seen("leak_check", "tight")
    of_gas = tuple(make.test(name, when={"fuel": "propane"}) for name in ("gas_odour", "leak_check"))
    found = names(make, (GAS,), present, none, tight, options={"fuel": "none"}, tests=of_gas)
    assert found == ["gas_smell"]


def test_a_complaint_counts_as_earliest(make: SimpleNamespace) -> None:
    none, tight = seen("gas_odour", "none"), seen("leak_check", "tight")
    assert names(make, (GAS,), none, tight, complaints=("gas_smell",)) == []
    assert names(make, (GAS,), none, complaints=("gas_smell",)) == ["gas_smell"]


def test_the_latest_clearing_reading_counts(make: SimpleNamespace) -> None:
    present, none = seen("gas_odour", "present"), seen("gas_odour", "none")
    tight, bubbles = seen("leak_check", "tight"), seen("leak_check", "bubbles")
    assert names(make, (GAS,), present, none, tight, bubbles) == ["gas_smell"]
    assert names(make, (GAS,), present, none, bubbles, tight) == []


@pytest.mark.parametrize("verdict", ["rejected", "inconclusive"])
def test_a_doubtful_reading_clears_nothing(make: SimpleNamespace, verdict: Verdict) -> None:
    readings = seen("gas_odour", "present"), seen("gas_odour", "none"), seen("leak_check", "tight", verdict)
    assert names(make, (GAS,), *readings) == ["gas_smell"]


def test_a_limit_is_guarded(make: SimpleNamespace) -> None:
    # Limit 100, u = 10: the one-sided 5 % point of the normal distribution is 1.645 standard deviations.
    assert names(make, (CO,), number(100 - 16.4, 10.0)) == ["carbon_monoxide"]
    assert names(make, (CO,), number(100 - 16.5, 10.0)) == []


@pytest.mark.parametrize("uncertainty", [None, 0.0])
def test_without_uncertainty_the_number_counts(make: SimpleNamespace, uncertainty: float | None) -> None:
    assert names(make, (CO,), number(100.0, uncertainty)) == ["carbon_monoxide"]
    assert names(make, (CO,), number(99.9, uncertainty)) == []


def test_over_range_exceeds_and_under_range_does_not(make: SimpleNamespace) -> None:
    assert names(make, (CO,), number(None, over_range=True)) == ["carbon_monoxide"]
    assert names(make, (CO,), number(None, under_range=True)) == []


def test_a_rejected_number_raises_on_the_safe_side(make: SimpleNamespace) -> None:
    assert names(make, (CO,), number(400.0, 5.0, "rejected")) == ["carbon_monoxide"]


def test_without_clearing_tests_the_latest_reading_prevails(make: SimpleNamespace) -> None:
    assert names(make, (CO,), number(400.0, 5.0), number(10.0, 5.0)) == []
    assert names(make, (CO,), number(10.0, 5.0), number(400.0, 5.0)) == ["carbon_monoxide"]
    assert names(make, (SCORCHED,), seen("wiring", "scorched"), seen("wiring", "sound")) == []


def test_a_complaint_without_clearing_tests_stays(make: SimpleNamespace) -> None:
    lock = Interlock("wet", "Wet", "refer", "Shock.", complaints=("flooded",), seen={"wiring": ("wet",)})
    assert names(make, (lock,), seen("wiring", "dry"), complaints=("flooded",)) == ["wet"]


def test_a_number_may_clear_by_its_verdict(make: SimpleNamespace) -> None:
    lock = Interlock(
        "co",
        "CO",
        "stop",
        "Toxic.",
        complaints=("alarm",),
        above={"co": invented(100.0)},
        cleared_by={"co": ("within",)},
    )
    assert names(make, (lock,), number(10.0, 5.0), complaints=("alarm",)) == []
    assert names(make, (lock,), number(10.0, 5.0, "outside"), complaints=("alarm",)) == ["co"]


def test_stop_comes_before_refer_then_by_id(make: SimpleNamespace) -> None:
    readings = seen("wiring", "scorched"), seen("gas_odour", "present"), number(400.0)
    for locks in ((SCORCHED, GAS, CO), (CO, GAS, SCORCHED)):
        assert names(make, locks, *readings) == ["carbon_monoxide", "gas_smell", "scorched"]


@pytest.mark.parametrize("verdict", ["rejected", "inconclusive"])
def test_a_reading_that_decides_nothing_takes_no_hazard_away(make: SimpleNamespace, verdict: Verdict) -> None:
    assert names(make, (CO,), number(400.0), number(5.0, verdict=verdict)) == ["carbon_monoxide"]
    assert names(make, (CO,), number(400.0), number(5.0)) == []
    assert names(make, (CO,), number(400.0), number(None, under_range=True)) == ["carbon_monoxide"]


def test_later_is_after_a_later_repair(make: SimpleNamespace) -> None:
    high, low = number(400.0), number(5.0)
    assert names(make, (CO,), high, low, after=("mend", None)) == ["carbon_monoxide"]
    assert names(make, (CO,), high, low, after=(None, "mend")) == []
    assert names(make, (CO,), low, high, after=("mend", None)) == []
