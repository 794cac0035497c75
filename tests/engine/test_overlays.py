"""What a shop lays over a family is what its answers rest on."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from probewright.engine import check_readings, diagnose, plan_visit
from probewright.figures import Figure, normal, shop
from probewright.packs.digest import digest
from probewright.packs.model import Family, Fault, Limit, Repair, ReplaceablePart, Table, Test
from probewright.packs.overlay import (
    Effects,
    OutcomeRow,
    Overlay,
    ShopCautions,
    ShopCosts,
    ShopMinutes,
    ShopSupply,
    laid_over,
)
from probewright.packs.registry import LoadedPack
from probewright.settings import Settings
from probewright.simulation import Plan, document, simulate
from probewright_schemas.records import Case, CaseCosts, Diagnosis, Reading, Visit
from probewright_schemas.visit_records import VisitPlan, VisitRequest
from support.families import RATES, SMALL, case, pack_of, supply, warmer

SETTINGS = Settings()
AJAR = Reading("door", seen="ajar", state="isolated")
OPEN = (Reading("heater_ohms", over_range=True, unit="ohm", state="isolated"),
        Reading("supply_volts", 100.0, unit="V", state="live"))  # fmt: skip


def laid(below: Family | None = None, **what: Any) -> LoadedPack:
    """The warmer with an overlay."""
    return pack_of(laid_over(below or warmer(), Overlay("quay", "warmer", **what)))


def asked(pack: LoadedPack, *readings: Reading, **more: Any) -> Diagnosis:
    return diagnose(case(*readings, **({"complaints": ("cold",)} | more)), pack, SETTINGS)


def present(found: Diagnosis) -> dict[str, float]:
    return {fault.fault: fault.probability for fault in found.faults}


def same_answer(one: Diagnosis, other: Diagnosis) -> bool:
    """The same but for the identity of the pack, what was assumed for want of data, and the digest of both."""
    return replace(one, pack=other.pack, assumptions=other.assumptions, computation=other.computation) == other


# Rates and shares


@pytest.mark.parametrize("fault", ["heater_open", "door_loose", "heater_weak"])
@pytest.mark.parametrize("readings", [(), (AJAR,)], ids=["a complaint alone", "a reading"])
def test_a_rate_moves_the_posterior_odds_by_the_change_of_its_prior_odds(fault, readings):
    rate, doubled = RATES[fault], 2 * RATES[fault]
    shift = doubled / (1 - doubled) / (rate / (1 - rate))

    def odds(pack):
        """Odds of the fault among what the pack knows."""
        found = asked(pack, *readings)
        p = present(found)[fault]
        return p / (1 - p - found.unexplained)

    rated = laid(fault_rates={fault: shop(doubled)})
    assert odds(rated) / odds(pack_of()) == pytest.approx(shift, rel=1e-9)


def test_what_is_unknown_has_its_own_rate():
    assert asked(laid(unknown_rate=shop(0.04))).unexplained > 5 * asked(pack_of()).unexplained


def test_shares_of_builds_are_the_shops():
    family = laid(option_shares={"style": {"small": shop(0.1), "large": shop(0.9)}})
    open_style = Case("warmer", options={"lamp": "yes"}, readings=(Reading("glow", seen="dim"),))
    found = [diagnose(open_style, pack, SETTINGS) for pack in (pack_of(), family)]
    shares = [{c.options["style"]: c.probability for c in one.configurations} for one in found]
    odds = [one["large"] / one["small"] for one in shares]
    assert odds[1] / odds[0] == pytest.approx((0.9 / 0.1) / (0.25 / 0.75), rel=1e-9)


def test_a_row_of_a_table_is_what_a_reading_is_weighed_by():
    row = OutcomeRow("door", {"shut": shop(0.9), "ajar": shop(0.05), "gone": shop(0.05)}, "door_loose")
    tabled, plain = asked(laid(outcomes=(row,)), AJAR), asked(pack_of(), AJAR)
    assert present(tabled)["door_loose"] < 0.3
    assert present(plain)["door_loose"] > 0.5


# Limits and the supply


@pytest.mark.parametrize(("low", "verdict"), [(3.5, "within"), (4.5, "outside")])
def test_a_limit_decides_the_verdict(low, verdict):
    limit = Limit(shop(low), shop(6.0))
    reading = Reading("heater_current", 4.0, unit="A", state="live")
    report = check_readings(case(reading, conditions=supply(100)), laid(limits={"heater_current": (limit,)}), SETTINGS)
    (checked,) = report.readings
    assert (checked.verdict, checked.expected.low, checked.expected.basis) == (verdict, low, "shop")


def test_a_given_voltage_means_the_same_under_another_nominal_one():
    scaled = Limit(shop(3.0), shop(5.0), scales_with_supply=True)
    below = laid_over(warmer(), Overlay("limits", "warmer", limits={"heater_current": (scaled,)}))
    moved = laid(below, supply=ShopSupply(nominal=shop(120.0), usual=normal(shop(100.0), shop(1.0))))
    current = Reading("heater_current", 2.9, unit="A", state="live")
    one, other = (asked(pack, current, conditions=supply(104)) for pack in (pack_of(below), moved))
    assert present(one) == pytest.approx(present(other), rel=1e-9)
    assert one.readings[0].expected.low == pytest.approx(other.readings[0].expected.low)
    assert one.readings[0].verdict == other.readings[0].verdict == "outside"


def test_the_usual_supply_is_taken_where_none_was_measured():
    reading = Reading("heater_current", 4.0, unit="A", state="live")
    high = laid(supply=ShopSupply(usual=normal(shop(112.0), shop(1.12)), most=shop(120.0)))
    plain, moved = (check_readings(case(reading), p, SETTINGS).readings[0].expected for p in (pack_of(), high))
    assert (moved.low, moved.high) == pytest.approx((1.12 * plain.low, 1.12 * plain.high), rel=1e-9)


# Money and minutes


def test_costs_of_the_shop_are_what_a_case_would_give():
    costs = ShopCosts(labour_per_hour=shop(180.0), callback=shop(60.0), return_visit=shop(20.0))
    of_shop = asked(laid(costs=costs, part_prices={"heater": shop(55.0)}))
    of_case = asked(pack_of(), costs=CaseCosts(180.0, 60.0, 20.0, {"heater": 55.0}))
    assert same_answer(of_shop, of_case)
    assert of_shop.outlook.expected_cost > asked(pack_of()).outlook.expected_cost


def test_costs_of_a_case_lie_over_the_shops():
    given = {"costs": CaseCosts(90.0, 70.0, 30.0, {"heater": 40.0})}
    costs = ShopCosts(labour_per_hour=shop(180.0), callback=shop(60.0), return_visit=shop(20.0))
    assert same_answer(asked(laid(costs=costs, part_prices={"heater": shop(55.0)}), **given), asked(pack_of(), **given))


def test_labour_is_paid_by_the_minute():
    plain, dear = (asked(pack) for pack in (pack_of(), laid(costs=ShopCosts(labour_per_hour=shop(120.0)))))
    assert plain.outlook.expected_cost < dear.outlook.expected_cost < 2 * plain.outlook.expected_cost


def test_minutes_are_those_of_the_shop():
    slow = laid(minutes=ShopMinutes(repairs={"replace_heater": shop(25.0)}))
    plain, later = asked(pack_of(), *OPEN), asked(slow, *OPEN)
    assert (plain.next.id, later.next.id) == ("replace_heater", "replace_heater")
    assert later.next.minutes == pytest.approx(plain.next.minutes + 5.0)


# Records of the shop's own

MOUSE: dict[str, Any] = {
    "faults": (Fault("mouse", "A mouse in the warmer", shop(0.05)),),
    "tests": (Test("peek", "Look for a mouse", "seen", ("isolated",), "outside", shop(0.5),
                   (Table({"none": shop(0.99), "mouse": shop(0.01)},
                          {"mouse": {"none": shop(0.02), "mouse": shop(0.98)}}),), outcomes=("none", "mouse")),),
    "parts": (ReplaceablePart("trap", "Trap", shop(5.0)),),
    "repairs": (Repair("catch", "Catch the mouse", {"mouse": shop(0.95)}, shop(3.0), "isolated", ("outside",), "trap",
                       cautions=("It bites.",)),),
    "effects": (Effects("mouse", fails_with={"heats": shop(0.05)}, shown_by={"rattles": shop(0.95)},
                        outcomes={"door": {"shut": shop(0.2), "ajar": shop(0.8)}},
                        cured_by={"overhaul": shop(0.5)}),),
}  # fmt: skip


def test_a_fault_of_its_own_is_found_by_what_it_shows_in_what_is_there():
    found = asked(laid(**MOUSE), AJAR, complaints=("rattles",))
    assert present(found)["mouse"] > 0.3
    sources = {e.source for fault in found.faults if fault.fault == "mouse" for e in fault.evidence}
    assert sources == {"complaint:rattles", "door"}


def test_a_test_of_its_own_is_advised_and_a_repair_follows_it_with_its_cautions():
    pack = laid(**MOUSE)
    before = asked(pack, AJAR, complaints=("rattles",))
    assert (before.next.kind, before.next.id) == ("test", "peek")
    after = asked(pack, AJAR, Reading("peek", seen="mouse", state="isolated"), complaints=("rattles",))
    assert after.faults[0].fault == "mouse"
    assert (after.next.kind, after.next.id) == ("repair", "catch")
    assert "It bites." in after.next.cautions
    assert [part.part for part in after.parts][:1] == ["trap"]


def test_cautions_of_the_shop_are_told():
    cautions = ShopCautions(
        ("Mind the cat.",), tests={"door": ("Mind the hinge.",)}, states={"isolated": ("Lock the plug away.",)},
        complaints={"cold": ("Old wiring.",)},
    )  # fmt: skip
    found = asked(laid(cautions=cautions))
    assert {"Mind the cat.", "Old wiring."} <= set(found.cautions)
    steps = [step for step in (found.next, *found.alternatives) if step.state == "isolated"]
    assert steps
    assert all("Lock the plug away." in step.cautions for step in steps)
    doors = [step for step in steps if step.id == "door"]
    assert all("Mind the hinge." in step.cautions for step in doors)


# What is on the van

def test_parts_of_the_van_are_at_hand_where_a_case_does_not_say_what_is():
    for van in ((), ("heater",)):
        of_van, of_case = asked(laid(van=van), *OPEN), asked(pack_of(), *OPEN, visit=Visit(parts_on_hand=van))
        assert same_answer(of_van, of_case)
    everything = asked(pack_of(), *OPEN)
    assert same_answer(asked(laid(van=("heater",)), *OPEN), everything)
    without = asked(laid(van=()), *OPEN)
    assert without.outlook.expected_cost > everything.outlook.expected_cost
    assert without.assumptions[-1] == "parts at hand are not given: those on the van count (none)"


def test_a_case_that_says_what_is_at_hand_is_believed():
    for parts in ((), ("heater",)):
        given = {"visit": Visit(parts_on_hand=parts)}
        assert same_answer(asked(laid(van=("heater",)), *OPEN, **given), asked(pack_of(), *OPEN, **given))
        assert not any("van" in told for told in asked(laid(van=("heater",)), *OPEN, **given).assumptions)


def visit(pack: LoadedPack, **more: Any) -> VisitPlan:
    request = VisitRequest("warmer", options=SMALL, complaints=("cold",), **more)
    return plan_visit(request, pack, SETTINGS)


def test_what_is_on_the_van_is_carried_under_any_budget():
    van, chosen = laid(van=("heater",)), visit(pack_of())
    (heater,) = [part for part in chosen.parts if part.part == "heater"]
    assert (heater.carry, heater.on_van) == (True, False)
    for bounds in ({}, {"most_parts": 0}, {"budget": 0.0}, {"visit": Visit(parts_on_hand=())}):
        planned = visit(van, **bounds)
        (told,) = planned.parts
        assert (told.part, told.carry, told.on_van) == ("heater", True, True)
        assert (planned.expected_cost, planned.first_visit_probability) == (
            chosen.expected_cost, chosen.first_visit_probability,
        )  # fmt: skip
        assert (told.ends_with, told.ends_without) == (heater.ends_with, heater.ends_without)
    assert visit(pack_of(), most_parts=0).first_visit_probability < chosen.first_visit_probability


def test_a_van_without_a_part_leaves_it_to_the_plan_to_carry_it():
    planned = visit(laid(van=()))
    assert [(part.part, part.carry, part.on_van) for part in planned.parts] == [("heater", True, False)]


def test_simulated_jobs_go_with_the_van():
    for pack, told in ((pack_of(), "all"), (laid(van=("heater",)), ["heater"]), (laid(van=()), [])):
        plan = Plan(2, policies=("likeliest",))
        results = simulate(pack, SETTINGS, plan)
        assert document(pack, SETTINGS, plan, results)["parts_on_hand"] == told


def test_jobs_that_need_a_part_that_is_not_on_the_van_take_a_second_visit():
    plan = Plan(40, policies=("likeliest",))
    of_all, of_none = (simulate(pack, SETTINGS, plan)["likeliest"] for pack in (pack_of(), laid(van=())))
    assert sum(job.first_visit for job in of_none) < sum(job.first_visit for job in of_all)


# What does not change


def test_the_same_numbers_with_the_same_bases_give_the_same_answers():
    family = warmer()
    costs = ShopCosts(family.costs.labour_per_hour, family.costs.callback, family.costs.return_visit)
    rates = {fault.id: fault.rate for fault in family.faults}
    again = Overlay("same", "warmer", unknown_rate=family.unknown_rate, fault_rates=rates, costs=costs)
    over = laid_over(family, again)
    assert digest(over) == digest(family)
    assert asked(pack_of(over), AJAR) == asked(pack_of(family), AJAR)
    other = laid_over(family, replace(again, fault_rates={"fuse_open": Figure(0.05, "shop")}))
    assert digest(other) != digest(family)
