"""The choice of the next step: worked examples, and properties that must hold of any choice."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from probewright.errors import EngineError
from probewright.figures import invented
from probewright.packs.model import Closing, Zone
from probewright.planning.model import compile_model
from probewright.planning.next_step import Plan, Problem, plan
from probewright_schemas.records import (
    Case,
    CaseCosts,
    CheckedReading,
    Finding,
    Reading,
    RepairDone,
    Step,
)
from support.benches import bench, done_case, two_faults


def names(answer: Plan) -> list[str]:
    return [answer.next.id, *(step.id for step in answer.alternatives)]


def cost(answer: Plan, name: str) -> float:
    found = next(step.expected_cost for step in (answer.next, *answer.alternatives) if step.id == name)
    assert found is not None
    return found


def test_a_test_that_saves_more_than_it_costs_comes_first(make: SimpleNamespace) -> None:
    answer = make.plan(*two_faults(make))
    assert answer.next.kind == "test"
    assert names(answer)[:3] == ["probe", "mend_a", "mend_b"]
    assert [cost(answer, n) for n in ("probe", "mend_a", "mend_b")] == [12.0, 14.0, 16.0]
    assert answer.next.why == "Tells a (60 %) from b (40 %) for 1 minute's work."


def test_a_test_that_costs_more_than_it_saves_does_not(make: SimpleNamespace) -> None:
    answer = make.plan(*two_faults(make, minutes=5.0))
    assert (answer.next.kind, answer.next.id, cost(answer, "probe")) == ("repair", "mend_a", 16.0)


def test_the_way_out_costs_a_callback_and_the_remedy(make: SimpleNamespace) -> None:
    family, belief = two_faults(make, callback=3.0)
    answer = make.plan(family, belief)
    # Callback 3 and then the repair at 10, whichever fault it is: less than 14 for two repairs and 12 for the test.
    assert answer.next.kind == "test"
    family, belief = two_faults(make, callback=0.5)
    answer = make.plan(family, belief)
    assert (answer.next.kind, answer.next.expected_cost) == ("refer", 10.5)
    # At 11.5 handing over is the cheapest, too, but the test is hardly dearer, and may end the job at this visit.
    family, belief = two_faults(make, callback=1.5)
    assert make.plan(family, belief).next.kind == "test"


@pytest.mark.parametrize(
    ("bits", "minutes", "total"), [(2, 11.0, 82.0), (3, 11.0, 93.0), (4, 8.0, 92.0), (5, 6.5, 92.5)]
)
def test_it_does_not_stand_still_where_tests_pay_only_together(
    make: SimpleNamespace, bits: int, minutes: float, total: float
) -> None:
    # 2^bits equal faults, repairs at 60, way out at 100 in all, and perfect tests that each tell one bit.  One test
    # alone never pays; the optimum makes all tests and then the one right repair.
    faults = [f"f{i:02d}" for i in range(2**bits)]
    tests = [make.test(f"bit{b}", minutes=invented(minutes)) for b in range(bits)]
    repairs = [make.repair(f"mend_{f}", {f: 1.0}, minutes=invented(60.0)) for f in faults]
    family = bench(make, tests, repairs, callback=40.0)
    answers = {f"bit{b}": [0.5, *(float(i >> b & 1) for i in range(len(faults))), 0.5] for b in range(bits)}
    model = compile_model(family, None, faults)

    def follow(left: np.ndarray, read: tuple[CheckedReading, ...]) -> float:
        belief = make.belief(dict(zip(faults, left / left.sum(), strict=True)), answers)
        case = Case("appliance", readings=tuple(Reading(r.test) for r in read))
        step = plan(Problem(model, belief, case, read)).next
        if step.kind == "test":
            shows = np.array(answers[step.id][1:-1])
            seen = (*read, CheckedReading(step.id, "within", seen="good"))
            return minutes * left.sum() + sum(
                follow(part, seen) for part in (left * shows, left * (1 - shows)) if part.any()
            )
        assert step.kind == "repair"
        cured = f"mend_{faults[int(left.argmax())]}" == step.id and np.count_nonzero(left) == 1
        assert cured, "a repair before the fault is known"
        return 60.0 * left.sum()

    assert follow(np.full(len(faults), 1 / len(faults)), ()) == pytest.approx(total)


def test_it_refers_where_telling_costs_more_than_a_callback(make: SimpleNamespace) -> None:
    faults = [f"f{i}" for i in range(4)]
    family = bench(
        make,
        [make.test(f"bit{b}", minutes=invented(40.0)) for b in range(2)],
        [make.repair(f"mend_{f}", {f: 1.0}, minutes=invented(60.0)) for f in faults],
        callback=40.0,
    )
    answers = {f"bit{b}": [0.5, *(float(i >> b & 1) for i in range(4)), 0.5] for b in range(2)}
    answer = make.plan(family, make.belief(dict.fromkeys(faults, 0.25), answers))
    assert (answer.next.kind, answer.next.id) == ("refer", "hand_over")


def test_a_block_of_repairs_may_come_first(make: SimpleNamespace) -> None:
    # Five quick repairs behind a dear cover: none of them ranks among the first alone, together they are best.
    repairs = [make.repair(f"rear{i}", {f"f{i}": 1.0}, minutes=invented(0.1), zones=("rear",)) for i in range(5)]
    repairs += [make.repair(f"out{i}", {f"g{i}": 1.0}, minutes=invented(40.0)) for i in range(7)]
    family = make.family(
        repairs=repairs, zones=(*make.family().zones[:1], Zone("rear", "Rear", invented(150.0), steps=("Open.",)))
    )
    belief = make.belief({f"f{i}": 0.13 for i in range(5)} | {f"g{i}": 0.05 for i in range(7)})
    # From isolated, already standing there: 2 minutes less for the first one.
    family = replace(family, tests=(make.test("look"),))
    case = Case("appliance", readings=(Reading("look"),), costs=CaseCosts(callback=300.0))
    answer = make.plan(family, belief, case, (CheckedReading("look", "within", seen="good"),))
    # Each costs isolating 2, its work, power 4 and the check 5.
    total = 150 - 2 + sum(11.1 * (1 - 0.13 * i) for i in range(5)) + sum(51 * (0.35 - 0.05 * i) for i in range(7))
    assert answer.next.id == "rear0"
    assert answer.next.expected_cost == pytest.approx(total, abs=0.01)


def test_work_comes_before_a_way_out_that_is_as_dear(make: SimpleNamespace) -> None:
    # Way out: 6.8 and the repair at 10, which cures .6: 16.8.  Repair first: 10 + .4 x 16.8 = 16.72, within 1 %.
    family = bench(make, [], [make.repair("mend_a", {"a": 0.6})], callback=6.8)
    answer = make.plan(family, make.belief({"a": 1.0}))
    assert names(answer) == ["mend_a", "hand_over"]
    assert [cost(answer, "mend_a"), cost(answer, "hand_over")] == [16.72, 16.8]


def test_a_cheaper_equal_test_is_chosen(make: SimpleNamespace) -> None:
    family, belief = two_faults(make)
    twin = replace(family.tests[0], id="aaa_dear"), replace(family.tests[0], id="zzz_cheap", minutes=invented(0.5))
    belief = replace(belief, outcomes=dict.fromkeys(("probe", "aaa_dear", "zzz_cheap"), belief.outcomes["probe"]))
    assert make.plan(replace(family, tests=(*family.tests, *twin)), belief).next.id == "zzz_cheap"


def two_places(make: SimpleNamespace, isolated_minutes: float, live_minutes: float) -> Plan:
    """The same test in a safe and in a live state, without cost for the states."""
    base = make.family()
    states = tuple(replace(s, minutes=invented(0.0)) for s in base.states)
    tests = [
        make.test("z_safe", minutes=invented(isolated_minutes)),
        make.test("a_live", states=("live_gas_off",), minutes=invented(live_minutes)),
    ]
    repairs = [make.repair(f"mend_{f}", {f: 1.0}, minutes=invented(200.0)) for f in "ab"]
    answers = {name: [0.5, 1.0, 0.0, 0.5] for name in ("z_safe", "a_live")}
    return make.plan(replace(make.family(tests, repairs), states=states), make.belief({"a": 0.5, "b": 0.5}, answers))  # type: ignore[no-any-return]


def test_the_safer_of_near_equal_steps_is_taken(make: SimpleNamespace) -> None:
    near = two_places(make, 6.0, 5.0)
    assert names(near)[:2] == ["z_safe", "a_live"]
    assert cost(near, "a_live") < cost(near, "z_safe") < 1.01 * cost(near, "a_live")
    assert names(two_places(make, 12.0, 5.0))[:2] == ["a_live", "z_safe"]


def test_a_quick_look_comes_before_a_near_equal_long_one(make: SimpleNamespace) -> None:
    # The long test is the safer and tells a little more, so that both cost the same within 1 %.
    base = make.family()
    states = tuple(replace(s, minutes=invented(0.0)) for s in base.states)
    tests = [
        make.test("long", minutes=invented(15.0)),
        make.test("quick", states=("live_gas_off",), minutes=invented(5.0)),
    ]
    repairs = [make.repair(f"mend_{f}", {f: 1.0}, minutes=invented(200.0)) for f in "ab"]
    belief = make.belief({"a": 0.5, "b": 0.5}, {"long": [0.5, 1.0, 0.0, 0.5], "quick": [0.5, 0.95, 0.055, 0.5]})
    answer = make.plan(replace(make.family(tests, repairs), states=states), belief)
    assert names(answer)[:2] == ["quick", "long"]
    assert cost(answer, "long") < cost(answer, "quick") < 1.01 * cost(answer, "long")


def test_a_doubt_is_put_right_before_going_on(make: SimpleNamespace) -> None:
    family, belief = two_faults(make)
    again = replace(family.tests[0], id="doubted", minutes=invented(1.4))
    family = replace(family, tests=(*family.tests, again))
    belief = replace(belief, outcomes=dict.fromkeys(("probe", "doubted"), belief.outcomes["probe"]))
    doubt = Finding("ghost", "doubt", "A floating wire.", "Use a low-impedance input.")
    reading = CheckedReading("doubted", "inconclusive", findings=(doubt,))
    answer = make.plan(family, belief, Case("appliance", readings=(Reading("doubted"),)), (reading,))
    # 12.4 against 12.0: within 5 %.  At 12.7 it would not be.
    assert names(answer)[:2] == ["doubted", "probe"]
    assert answer.next.why.startswith("Measure again: Use a low-impedance input. Tells")
    dear = replace(family, tests=(family.tests[0], replace(again, minutes=invented(1.7))))
    assert make.plan(dear, belief, Case("appliance", readings=(Reading("doubted"),)), (reading,)).next.id == "probe"


def fitted(make: SimpleNamespace, minutes: float, chance: float = 0.6, price: float = 1.0) -> Plan:
    """As :func:`two_faults`, but the likelier fault takes a part of this price."""
    family, belief = two_faults(make, minutes)
    part = replace(family.parts[0], price=invented(price))
    mend_a, mend_b = family.repairs
    family = replace(family, parts=(part,), repairs=(replace(mend_a, part=part.id), mend_b))
    return make.plan(family, replace(belief, present=np.array([chance, 1 - chance])))  # type: ignore[no-any-return]


def test_a_part_is_not_fitted_while_proof_costs_hardly_more(make: SimpleNamespace) -> None:
    # The part first: 11 + .4 x 10.  The test first: its minutes + .64 x 11 + .46 x 10.
    proof = fitted(make, minutes=4.0)
    assert (cost(proof, "mend_a"), cost(proof, "probe")) == (15.0, 15.64)
    assert names(proof)[:2] == ["probe", "mend_a"]
    assert proof.next.kind == "test"


def test_proof_that_costs_more_than_a_twentieth_is_not_waited_for(make: SimpleNamespace) -> None:
    dear = fitted(make, minutes=4.2)
    assert cost(dear, "probe") == 15.84 > 1.05 * cost(dear, "mend_a")
    assert names(dear)[:2] == ["mend_a", "probe"]


def test_what_takes_no_part_needs_less_proof(make: SimpleNamespace) -> None:
    family, belief = two_faults(make, minutes=3.5)
    answer = make.plan(family, belief)
    assert (cost(answer, "mend_a"), cost(answer, "probe")) == (14.0, 14.5)
    assert names(answer)[:2] == ["mend_a", "probe"]
    assert names(fitted(make, minutes=3.5, price=0.0))[:2] == ["mend_a", "probe"]
    nearly = make.plan(*two_faults(make, minutes=3.3))
    assert (cost(nearly, "mend_a"), cost(nearly, "probe")) == (14.0, 14.3)
    assert names(nearly)[:2] == ["probe", "mend_a"]


def test_closing_checks_belong_to_the_price_of_a_proven_repair(make: SimpleNamespace) -> None:
    gauge = make.test("gauge", states=("live_gas_off",), minutes=invented(7.0), closing=True)
    repair = make.repair("mend", {"a": 0.8}, closing_checks=("reads",))
    family = make.family([gauge], [repair], closings=(Closing("reads", "It reads right.", "gauge"),))
    answer = make.plan(family, make.belief({"a": 1.0}))
    # Isolate 2, work 10, live 4, check 5; in 80 % then to the live state with the gas shut, 3, and the gauge, 7.
    proven = 21.0 + 0.8 * 10.0
    # In 20 % a callback, and whoever comes needs the same, the gauge included.
    assert answer.next.expected_cost == pytest.approx(proven + 0.2 * (100.0 + 21.0 + 10.0), abs=0.01)
    assert answer.next.expected_minutes == pytest.approx(proven, abs=0.06)


def test_a_part_that_cures_for_all_but_sure_needs_no_proof(make: SimpleNamespace) -> None:
    # The part first: 11 + .15 x 10.  The test first: 1 + (.78 + .085) x 11 + (.015 + .22) x 10.
    sure = fitted(make, minutes=1.0, chance=0.85)
    assert cost(sure, "mend_a") == 12.5
    assert cost(sure, "probe") == pytest.approx(12.865, abs=0.006)
    assert cost(sure, "probe") < 1.05 * cost(sure, "mend_a")
    assert names(sure)[:2] == ["mend_a", "probe"]


def test_nothing_is_tested_in_search_of_the_unknown(make: SimpleNamespace) -> None:
    # The test would tell the unknown from a, if anybody knew what the unknown shows.
    family = bench(make, [make.test("probe", minutes=invented(0.1))], [make.repair("mend_a", {"a": 1.0})])
    blind = make.belief({"a": 0.6}, {"probe": [0.0, 0.0, 1.0]}, unknown=0.4)
    assert "probe" not in names(make.plan(family, blind))
    # A suspect is worth confirming: the unknown leaves it sound.
    confirming = make.belief({"a": 0.6}, {"probe": [0.0, 1.0, 0.5]}, unknown=0.4)
    answer = make.plan(family, confirming)
    assert (answer.next.id, answer.next.why) == ("probe", "Looks into a (60 %) for 1 minute's work.")


def test_fewer_minutes_then_the_id_break_ties(make: SimpleNamespace) -> None:
    family, belief = two_faults(make)
    # 12.00 and 12.05 in all: within 1 %.
    slow = replace(family.tests[0], id="a_slow", minutes=invented(1.05))
    twin = replace(family.tests[0], id="b_twin")
    belief = replace(belief, outcomes=dict.fromkeys(("probe", "a_slow", "b_twin"), belief.outcomes["probe"]))
    assert names(make.plan(replace(family, tests=(slow, family.tests[0], twin)), belief))[:3] == [
        "b_twin",
        "probe",
        "a_slow",
    ]


def test_a_test_is_not_proposed_twice_without_a_reason(make: SimpleNamespace) -> None:
    family, belief = two_faults(make)
    case = Case("appliance", readings=(Reading("probe"),))
    good = CheckedReading("probe", "within", seen="good")
    assert "probe" not in names(make.plan(family, belief, case, (good,)))
    wrong = CheckedReading(
        "probe", "rejected", findings=(Finding("live", "reject", "Taken live.", "Unplug it first."),)
    )
    again = make.plan(family, belief, case, (wrong,))
    assert again.next.id == "probe"
    assert again.next.why.startswith("Measure again: Unplug it first. Tells a (60 %)")


def test_a_test_that_tells_nothing_is_not_proposed(make: SimpleNamespace) -> None:
    family, belief = two_faults(make)
    blind = make.belief({"a": 0.6, "b": 0.4}, {"probe": [0.5, 0.3, 0.3, 0.5]})
    assert "probe" not in names(make.plan(family, blind))
    assert "probe" not in names(make.plan(family, replace(belief, outcomes={})))


def test_faults_of_one_remedy_need_not_be_told_apart(make: SimpleNamespace) -> None:
    repairs = [make.repair("mend_both", {"a": 1.0, "b": 1.0})]
    family = bench(make, [make.test("probe")], repairs)
    answer = make.plan(family, make.belief({"a": 0.6, "b": 0.4}, {"probe": [0.5, 1.0, 0.0, 0.5]}))
    assert names(answer) == ["mend_both", "hand_over"]


def test_a_repair_that_failed_is_not_proposed_again(make: SimpleNamespace) -> None:
    family, belief = two_faults(make, minutes=5.0)
    case = Case("appliance", repairs_done=(RepairDone("mend_a", complaint_remains=True),))
    assert "mend_a" not in names(make.plan(family, belief, case))


def test_a_bystander_draws_no_test(make: SimpleNamespace) -> None:
    # The dear fault b is as likely as before anybody called.  Its test would pay if it explained anything.
    repairs = [make.repair("mend_a", {"a": 1.0}), make.repair("mend_b", {"b": 1.0})]
    belief = make.belief({"a": 0.9, "b": 0.1}, {"probe": [0.0, 0.0, 1.0, 0.0]})
    plain = bench(make, [make.test("probe", minutes=invented(0.5))], repairs)
    known = replace(plain, faults=(make.fault("a", rate=invented(0.001)), make.fault("b", rate=invented(0.1))))
    assert "probe" in names(make.plan(plain, belief))
    assert "probe" not in names(make.plan(known, belief))


def test_an_open_zone_makes_its_repair_cheaper(make: SimpleNamespace) -> None:
    family = make.family([make.test("look", zone="rear")], [make.repair("mend", {"a": 1.0}, zones=("rear",))])
    belief = make.belief({"a": 1.0})
    closed = make.plan(family, belief).next
    case = Case("appliance", readings=(Reading("look", state="isolated"),))
    opened = make.plan(family, belief, case, (CheckedReading("look", "within", seen="good"),)).next
    # To isolated 2, opening 8, the work 10, back 4, verification 5, at 1 a minute; then without opening and isolating.
    assert (closed.minutes, closed.expected_cost) == (20.0, 29.0)
    assert (opened.minutes, opened.expected_cost) == (10.0, 19.0)


def test_the_costs_of_the_case_replace_those_of_the_pack(make: SimpleNamespace) -> None:
    family = make.family(repairs=[make.repair("mend", {"a": 1.0}, part="heater")])
    belief = make.belief({"a": 0.5}, none=0.5)

    def price(costs: CaseCosts) -> list[float]:
        answer = make.plan(family, belief, Case("appliance", costs=costs))
        return [
            cost(answer, "mend"),
            next(s for s in (answer.next, *answer.alternatives) if s.kind == "refer").expected_cost or 0,
        ]

    # Work 21 minutes in all, part 40: 61 and half a callback; the way out is a callback and half the remedy.
    assert price(CaseCosts()) == [61 + 50, 100 + 30.5]
    assert price(CaseCosts(labour_per_hour=120.0)) == [82 + 50, 100 + 41]
    assert price(CaseCosts(callback=300.0)) == [61 + 150, 300 + 30.5]
    assert price(CaseCosts(parts={"heater": 10.0})) == [31 + 50, 100 + 15.5]
    assert price(CaseCosts(parts={"board": 1.0})) == [61 + 50, 100 + 30.5]


def test_a_dear_part_waits_for_cheap_tests_of_what_it_depends_on(make: SimpleNamespace) -> None:
    # A board at 200 is the likeliest; whether it is supplied takes five minutes to measure.
    tests = [make.test("supply", states=("live_gas_off",), minutes=invented(5.0))]
    repairs = [
        make.repair("replace_board", {"board_dead": 0.95}, part="board", minutes=invented(30.0)),
        make.repair("restore_supply", {"no_supply": 0.95}),
    ]
    answers = {"supply": [0.01, 0.01, 0.99, 0.1]}
    first = make.plan(make.family(tests, repairs), make.belief({"board_dead": 0.55, "no_supply": 0.45}, answers))
    assert first.next.id == "supply"
    then = make.plan(
        make.family(tests, repairs),
        make.belief({"board_dead": 0.99, "no_supply": 0.01}, answers),
        Case("appliance", readings=(Reading("supply"),)),
        (CheckedReading("supply", "within", seen="good"),),
    )
    assert then.next.id == "replace_board"


def test_parts_are_those_of_the_remedies(make: SimpleNamespace) -> None:
    repairs = [
        make.repair("heater", {"open": 1.0, "weak": 1.0}, part="heater"),
        make.repair("board", {"dead": 1.0, "open": 1.0}, part="board"),
        make.repair("clean", {"dirty": 1.0}),
    ]
    belief = make.belief({"open": 0.3, "weak": 0.25, "dead": 0.2, "dirty": 0.25})
    answer = make.plan(make.family(repairs=repairs), belief)
    assert [(p.part, p.title, p.probability) for p in answer.parts] == [
        ("heater", "Heater", 0.55),
        ("board", "Board", 0.2),
    ]


def test_the_part_of_a_repair_already_made_is_not_asked_for(make: SimpleNamespace) -> None:
    family = make.family(repairs=[make.repair("mend", {"a": 1.0}, part="heater")])
    assert make.plan(family, make.belief({"a": 0.5}, none=0.5), done_case(remains=True)).parts == ()


def test_at_most_five_alternatives_and_none_twice(make: SimpleNamespace) -> None:
    faults = [f"f{i}" for i in range(8)]
    repairs = [make.repair(f"mend_{f}", {f: 1.0}) for f in faults]
    tests = [make.test(f"probe_{f}") for f in faults]
    answers = {f"probe_{f}": [0.0, *(float(g == f) for g in faults), 0.0] for f in faults}
    answer = make.plan(make.family(tests, repairs), make.belief(dict.fromkeys(faults, 0.125), answers))
    assert len(answer.alternatives) == 5
    assert len(set(names(answer))) == 6


def test_no_step_leads_a_dead_reading_into_a_live_state(make: SimpleNamespace) -> None:
    tests = [
        make.test("ohms", kind="resistance", unit="ohm", states=("live", "live_gas_off", "isolated")),
        make.test("farads", kind="capacitance", unit="uF", states=("live",)),
    ]
    repairs = [make.repair(f"mend_{f}", {f: 1.0}) for f in "ab"]
    answers = {name: [0.5, 1.0, 0.0, 0.5] for name in ("ohms", "farads")}
    answer = make.plan(make.family(tests, repairs), make.belief({"a": 0.5, "b": 0.5}, answers))
    proposed: list[Step] = [answer.next, *answer.alternatives]
    assert [(s.id, s.state) for s in proposed if s.kind == "test"] == [("ohms", "isolated")]


def test_a_belief_about_other_faults_is_refused(make: SimpleNamespace) -> None:
    model = compile_model(make.family(), None, ("a",))
    with pytest.raises(EngineError, match="other faults"):
        plan(Problem(model, make.belief({"b": 1.0}), Case("appliance")))


def test_a_family_with_nothing_to_do_hands_over(make: SimpleNamespace) -> None:
    answer = make.plan(make.family(), make.belief({"a": 1.0}))
    assert (answer.next.kind, answer.next.id, answer.alternatives) == ("refer", "hand_over", ())
