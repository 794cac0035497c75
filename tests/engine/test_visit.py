"""Visits planned for the gas range, held against what a diagnosis of the same case says."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache
from typing import Any

import pytest

from probewright.engine import diagnose, plan_visit
from probewright.engine.asking import LEAST_SAVING, MOST_QUESTIONS, Asker, added
from probewright.engine.machine import machine_of
from probewright.engine.visit import parts_to_carry
from probewright.errors import InvalidCase
from probewright.inference.evaluate import evaluate
from probewright.packs.questions import DOES_NOT_KNOW
from probewright.packs.registry import LoadedPack
from probewright.planning.carrying import CARRYING
from probewright.settings import Settings
from probewright_schemas.dump import to_document
from probewright_schemas.load import case_loader, visit_loader
from probewright_schemas.records import CaseCosts, Reading, Visit
from probewright_schemas.visit_records import CaseFragment, VisitPlan, VisitRequest
from support import families

SPARK = (("fuel", "natural_gas"), ("oven_ignition", "spark"))
FLAT = (
    ("fuel", "natural_gas"), ("oven_ignition", "hot_surface"), ("igniter_style", "flat"), ("cooktop_ignition", "spark"),
    ("oven_control", "electronic"),
)  # fmt: skip
CALLS: tuple[tuple[tuple[str, ...], tuple[tuple[str, str], ...]], ...] = (
    (("bake_does_not_light",), ()),
    (("bake_does_not_light",), FLAT),
    (("broil_does_not_light",), FLAT),
    (("bake_does_not_light", "broil_does_not_light"), SPARK),
    (("oven_slow_to_light",), FLAT),
    (("oven_temperature_off",), ()),
    (("sensor_error_shown",), FLAT),
    (("display_dead",), ()),
    (("one_surface_burner_does_not_light",), ()),
    (("no_surface_burner_lights",), SPARK),
    (("no_spark_at_any_burner", "display_dead"), FLAT),
    (("clicks_without_stopping",), ()),
    (("soot_or_yellow_flame",), ()),
)


@lru_cache(maxsize=64)
def _plan(pack: LoadedPack, complaints: tuple[str, ...], options: tuple[tuple[str, str], ...]) -> VisitPlan:
    return plan_visit(VisitRequest("gas_range", options=dict(options), complaints=complaints), pack, Settings())


def plan(pack: LoadedPack, *complaints: str, options: tuple[tuple[str, str], ...] = (), **more: Any) -> VisitPlan:
    """The plan of a request; those without more than complaints and options are remembered."""
    if not more:
        return _plan(pack, complaints, options)
    request = VisitRequest("gas_range", options=dict(options), complaints=complaints, **more)
    return plan_visit(request, pack, Settings())


def carried(planned: VisitPlan) -> tuple[str, ...]:
    return tuple(sorted(part.part for part in planned.parts if part.carry))


@pytest.mark.parametrize(("complaints", "options"), CALLS)
def test_the_visit_begins_with_what_a_diagnosis_advises(gas_range, complaints, options) -> None:
    planned = plan(gas_range, *complaints, options=options)
    request = VisitRequest(
        "gas_range", options=dict(options), complaints=complaints, visit=Visit(parts_on_hand=carried(planned))
    )
    advised = diagnose(request.case(), gas_range, Settings())
    first = planned.order[0]
    assert (first.work[0].kind, first.work[0].id) == (advised.next.kind, advised.next.id)
    assert (first.state, first.zone) == (advised.next.state, advised.next.zone)
    assert first.work[0].minutes == advised.next.minutes
    assert first.work[0].probability == 1.0
    assert planned.expected_cost == advised.outlook.expected_cost
    assert planned.first_visit_probability == advised.outlook.first_visit_probability


@pytest.mark.parametrize(("complaints", "options"), CALLS)
def test_with_all_parts_about_a_diagnosis_advises_the_same(gas_range, complaints, options) -> None:
    """Nobody who asks for the next step without a word about parts is told something else than the plan."""
    planned = plan(gas_range, *complaints, options=options)
    request = VisitRequest("gas_range", options=dict(options), complaints=complaints)
    assert planned.order[0].work[0].id == diagnose(request.case(), gas_range, Settings()).next.id


@pytest.mark.parametrize(("complaints", "options"), CALLS)
def test_what_a_plan_says_holds_together(gas_range, complaints, options) -> None:
    planned = plan(gas_range, *complaints, options=options)
    places = [(group.state, group.zone) for group in planned.order]
    states = [state for state, _ in places]
    assert len(set(places)) == len(places)
    assert states == sorted(states, key=states.index)  # each state is come to once
    chances = [item.probability for group in planned.order for item in group.work]
    chances += [need.probability for need in (*planned.tools, *planned.skills, *planned.likeliest)]
    chances += [c for p in planned.parts for c in (p.probability_used, p.ends_with, p.ends_without)]
    assert all(0.0 <= chance <= 1.0 for chance in chances)
    assert planned.minutes.low <= planned.minutes.expected <= planned.minutes.high
    assert 0.0 <= planned.minutes.closing_checks <= planned.minutes.expected
    for part in planned.parts:
        shown = part.ends_with if part.carry else part.ends_without
        assert shown == planned.first_visit_probability
    assert planned.likeliest == tuple(sorted(planned.likeliest, key=lambda f: -f.probability))


@pytest.mark.parametrize(("complaints", "options"), CALLS)
def test_instruments_and_skills_are_those_of_the_work(gas_range, complaints, options) -> None:
    planned = plan(gas_range, *complaints, options=options)
    family = gas_range.family
    tests, repairs = {t.id: t for t in family.tests}, {r.id: r for r in family.repairs}
    told = {tool.tool: tool.probability for tool in planned.tools}
    able = {skill.skill: skill.probability for skill in planned.skills}
    for item in (item for group in planned.order for item in group.work):
        record = tests[item.id] if item.kind == "test" else repairs[item.id]
        instrument = getattr(record, "instrument", None)
        assert instrument is None or told[instrument] >= item.probability - 1e-4, item.id
        assert record.skill is None or able[record.skill] >= item.probability - 1e-4, item.id


def test_the_same_request_gets_the_same_plan(gas_range) -> None:
    first = to_document(plan(gas_range, "sensor_error_shown"))
    request = VisitRequest("gas_range", complaints=("sensor_error_shown",))
    plan_visit(VisitRequest("gas_range", complaints=("display_dead",), budget=100.0), gas_range, Settings())
    assert to_document(plan_visit(request, gas_range, Settings())) == first


def test_a_smell_of_gas_stops_everything(gas_range) -> None:
    for more in ({}, {"readings": (Reading("gas_odour", seen="present", state="live"),)}):
        complaints = ("gas_smell", "bake_does_not_light") if not more else ("bake_does_not_light",)
        planned = plan(gas_range, *complaints, **more)
        assert (planned.stop.kind, planned.stop.id) == ("stop", "gas_escape")
        assert any("From outside" in step for step in planned.stop.steps)
        assert (planned.parts, planned.order, planned.questions, planned.minutes) == ((), (), (), None)
        assert planned.expected_cost is None


def test_the_smell_of_gas_is_asked_first_and_says_what_to_do(gas_range) -> None:
    for complaints, options in CALLS:
        first = plan(gas_range, *complaints, options=options).questions[0]
        assert (first.id, first.value) == ("gas_smell_now", None)
        stops = {answer.id: answer.stop for answer in first.answers if answer.stop is not None}
        assert set(stops) == {"smells"}
        assert stops["smells"].id == "gas_escape"
        assert any("From outside" in step for step in stops["smells"].steps)


def test_questions_are_few_worth_asking_and_best_first(gas_range) -> None:
    for complaints, options in CALLS:
        planned = plan(gas_range, *complaints, options=options)
        values = [question.value for question in planned.questions if question.value is not None]
        assert len(values) <= MOST_QUESTIONS
        assert values == sorted(values, reverse=True)
        # What all parts in stock would make of the job costs no more than with those carried.
        assert all(value >= 0.9 * LEAST_SAVING * planned.expected_cost for value in values)
        for question in planned.questions:
            assert question.answers[-1].id == DOES_NOT_KNOW
            assert question.answers[-1].adds == CaseFragment()
            assert sum(answer.probability or 0.0 for answer in question.answers) <= 1.0 + 1e-3


ASKED_OF = (("bake_does_not_light",), ("no_surface_burner_lights",), ("one_surface_burner_does_not_light",))


@pytest.mark.parametrize("complaints", ASKED_OF)
def test_an_answered_question_is_not_asked_again(gas_range, complaints) -> None:
    """As a client does it: what an answer adds is put into the document of the request, and of a case."""
    load, load_case = visit_loader(), case_loader()
    for question in to_document(plan(gas_range, *complaints))["questions"]:
        for answer in question["answers"]:
            document: dict[str, Any] = {"family": "gas_range", "complaints": list(complaints), "options": {}}
            adds = answer["adds"]
            for name in ("complaints", "working", "readings"):
                document[name] = [*document.get(name, []), *adds.get(name, [])]
            document["options"] = adds.get("options", {})
            if not adds:
                document["asked"] = [question["id"]]
            request = load(document)
            evaluation = evaluate(request.case(), machine_of(gas_range).store, machine_of(gas_range).rules(Settings()))
            if "stop" in answer:
                assert plan_visit(request, gas_range, Settings()).stop is not None
                continue
            asker = Asker(machine_of(gas_range), request.case(), evaluation, Settings())
            assert question["id"] not in [q.id for q in asker.questions(request.asked, most=99)], answer["id"]
            document.pop("asked", None)
            assert diagnose(load_case(document), gas_range, Settings()).faults


def law_of_total_probability(pack: LoadedPack, question: str, case: Any) -> tuple[float, float]:
    """How much the mean belief after a question differs from the belief before, at most; and what answers cover."""
    machine, settings = machine_of(pack), Settings()
    before = evaluate(case, machine.store, machine.rules(settings))
    asker = Asker(machine, case, before, settings)
    answers = next(q.answers for q in pack.family.questions if q.id == question)
    mean: dict[str, float] = {}
    likely = asker.likely(answers)
    for one in likely:
        after = before if one.adds == CaseFragment() else evaluate(
            added(case, one.adds), machine.store, machine.rules(settings)
        )
        for fault, present in zip(after.faults, after.present.tolist(), strict=True):
            mean[fault] = mean.get(fault, 0.0) + one.probability * present
    covered = sum(one.probability for one in likely)
    known = dict(zip(before.faults, before.present.tolist(), strict=True))
    return max(abs(mean.get(fault, 0.0) - known[fault] * covered) for fault in known), covered


@pytest.mark.parametrize("question", ["gas_or_bottle", "oven_lighting", "power_elsewhere", "other_gas", "foil",
                                      "history"])  # fmt: skip
@pytest.mark.parametrize("complaint", ["bake_does_not_light", "no_surface_burner_lights", "oven_temperature_off"])
def test_on_average_an_answer_changes_no_belief(gas_range, question, complaint) -> None:
    """The answers to these cover everything, so their likelihoods are probabilities."""
    case = VisitRequest("gas_range", options={"oven_control": "electronic"}, complaints=(complaint,)).case()
    off, covered = law_of_total_probability(gas_range, question, case)
    assert covered == pytest.approx(1.0, abs=1e-6)
    assert off <= 1e-6


def test_on_average_a_lock_sign_changes_no_belief(gas_range) -> None:
    case = VisitRequest("gas_range", options=dict(FLAT), complaints=("bake_does_not_light",)).case()
    off, covered = law_of_total_probability(gas_range, "lock_sign", case)
    assert covered == pytest.approx(1.0, abs=1e-6)
    assert off <= 1e-6


@pytest.mark.parametrize("question", ["surface_burners", "oven_broils", "clicking"])
def test_reports_of_what_works_are_nearly_probabilities(gas_range, question) -> None:
    """A complaint and a report that something works have error rates of their own: they need not add up to 1."""
    case = VisitRequest("gas_range", options=dict(FLAT), complaints=("bake_does_not_light",)).case()
    off, covered = law_of_total_probability(gas_range, question, case)
    assert covered == pytest.approx(1.0, abs=0.06)
    assert off <= 0.02


BUDGETS = (0.0, 30.0, 60.0, 120.0, 250.0, 500.0, None)


@pytest.mark.parametrize("complaint", ["bake_does_not_light", "sensor_error_shown"])
def test_more_money_for_parts_never_makes_a_worse_visit(gas_range, complaint) -> None:
    planned = [plan(gas_range, complaint, budget=budget, asked=()) for budget in BUDGETS]
    spent = [sum(part.price for part in p.parts if part.carry) for p in planned]
    for budget, price in zip(BUDGETS, spent, strict=True):
        assert budget is None or price <= budget
    whole = [p.expected_cost + float(CARRYING) * price for p, price in zip(planned, spent, strict=True)]
    for less, more in zip(range(len(planned)), range(1, len(planned)), strict=False):
        assert whole[more] <= whole[less] * 1.01
        assert planned[more].first_visit_probability >= planned[less].first_visit_probability - 0.01
    assert spent[0] == 0.0
    assert planned[0].first_visit_probability < planned[-1].first_visit_probability


def test_at_most_so_many_parts_are_carried(gas_range) -> None:
    for most in (0, 1, 3):
        assert len(carried(plan(gas_range, "bake_does_not_light", most_parts=most))) <= most
    assert carried(plan(gas_range, "bake_does_not_light", most_parts=1)) == ("bake_igniter",)


def test_the_parts_of_a_plan_can_be_had_without_it(gas_range) -> None:
    for complaint in ("sensor_error_shown", "display_dead"):
        request = VisitRequest("gas_range", complaints=(complaint,))
        assert parts_to_carry(request, gas_range, Settings()) == carried(plan(gas_range, complaint))
    assert parts_to_carry(VisitRequest("gas_range", complaints=("gas_smell",)), gas_range, Settings()) == ()


def test_only_what_is_in_stock_is_carried(gas_range) -> None:
    planned = plan(gas_range, "sensor_error_shown", visit=Visit(parts_on_hand=("oven_sensor", "spark_module")))
    assert carried(planned) == ("oven_sensor",)


def test_a_part_that_costs_more_to_carry_than_it_saves_stays_at_the_shop(gas_range) -> None:
    dear = plan(gas_range, "sensor_error_shown", costs=CaseCosts(parts={"sensor_harness": 5000.0}))
    usual = plan(gas_range, "sensor_error_shown")
    assert "sensor_harness" in carried(usual)
    assert "sensor_harness" not in carried(dear)


def test_what_the_visit_lacks_is_not_planned(gas_range) -> None:
    planned = plan(gas_range, "bake_does_not_light", visit=Visit(tools=("multimeter",), skills=()))
    tests = {test.id: test for test in gas_range.family.tests}
    work = [item for group in planned.order for item in group.work]
    assert {tests[item.id].instrument for item in work if item.kind == "test"} <= {None, "multimeter"}
    assert all(tests[item.id].skill is None for item in work if item.kind == "test")


def test_what_the_customer_saw_counts(gas_range) -> None:
    locked = plan(gas_range, "bake_does_not_light", readings=(Reading("control_lock", seen="on", state="live"),))
    assert locked.likeliest[0].fault == "control_locked"
    assert locked.expected_cost < plan(gas_range, "bake_does_not_light").expected_cost
    assert locked.order[0].work[0].id != "control_lock"


def refused(pack: LoadedPack, **fields: Any) -> list[tuple[str, str]]:
    with pytest.raises(InvalidCase) as refusal:
        plan_visit(VisitRequest("gas_range", **fields), pack, Settings())
    return [(fault.pointer, fault.code) for fault in refusal.value.faults]


def test_what_cannot_be_used_is_named(gas_range) -> None:
    measured = (Reading("control_lock", seen="off"), Reading("bake_igniter_continuity", seen="open"))
    assert refused(gas_range, readings=measured) == [("/readings/1/test", "not_seen")]
    assert refused(gas_range, asked=("gas_smell_now", "gas_smel")) == [("/asked/1", "unknown_question")]
    assert refused(gas_range, complaints=("cold",)) == [("/complaints/0", "unknown_complaint")]
    assert refused(gas_range, visit=Visit(parts_on_hand=("magnetron",))) == [
        ("/visit/parts_on_hand/0", "unknown_part")
    ]  # fmt: skip


def test_nothing_that_only_customers_tell_is_asked_of_a_technician(gas_range) -> None:
    reported = {test.id for test in gas_range.family.tests if test.reported}
    assert reported
    for complaints, options in CALLS:
        planned = plan(gas_range, *complaints, options=options)
        assert reported.isdisjoint(item.id for group in planned.order for item in group.work)


def test_the_plan_is_of_the_case_as_given(gas_range, job: Callable[..., Any]) -> None:
    """Options, conditions and costs reach the plan as they reach a diagnosis."""
    case = job(complaints=("sensor_error_shown",), costs=CaseCosts(labour_per_hour=10.0, callback=20.0))
    request = VisitRequest(
        "gas_range", options=case.options, complaints=case.complaints, costs=case.costs, conditions=case.conditions
    )
    assert request.case() == replace(case, effort="quick")
    planned = plan_visit(request, gas_range, Settings())
    assert planned.expected_cost < plan(gas_range, "sensor_error_shown").expected_cost


def test_a_pack_without_questions_gets_plans_as_well() -> None:
    """The warmer of the tests: a heater that is open, and nothing to ask."""
    pack = families.pack_of()
    complaint = pack.family.complaints[0].id
    planned = plan_visit(VisitRequest(pack.family.id, complaints=(complaint,)), pack, Settings())
    carrying = VisitRequest(pack.family.id, complaints=(complaint,), visit=Visit(parts_on_hand=carried(planned)))
    advised = diagnose(carrying.case(), pack, Settings())
    assert planned.questions == ()
    assert planned.expected_cost == advised.outlook.expected_cost
    assert planned.order[0].work[0].id == advised.next.id
