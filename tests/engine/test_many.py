"""Many cases at once get the answers, to the last bit, that each gets alone."""

from __future__ import annotations

import random
from dataclasses import replace

import orjson
import pytest

import ice_maker
import range_hood
from probewright import engine
from probewright.engine.machine import machine_of
from probewright.errors import ProbewrightError
from probewright.inference.evaluate import Evaluation, evaluate, evaluate_many
from probewright.packs.loader import load_packs
from probewright.packs.registry import LoadedPack
from probewright.settings import Settings
from probewright_schemas.dump import to_document
from probewright_schemas.records import Case
from support.any_cases import any_case

SEED = 20_261
SETTINGS = Settings()
PACKS = load_packs(extra=[("ice_maker", ice_maker), ("range_hood", range_hood)]).packs


def bits(found: Evaluation | ProbewrightError) -> tuple[object, ...]:
    """Everything that was worked out, floats as their bytes."""
    if isinstance(found, ProbewrightError):
        return type(found), str(found)
    readings = found.readings
    return (
        readings.checked, readings.supply, found.faults, found.present.tobytes(), found.none, found.unknown,
        found.shares.tobytes(), found.together.tobytes(), found.sources, found.decibans.tobytes(), found.clashes,
        found.log_evidence,
    )  # fmt: skip


def alone(case: Case, pack: LoadedPack) -> Evaluation | ProbewrightError:
    machine = machine_of(pack)
    try:
        return evaluate(case, machine.store, machine.rules(SETTINGS))
    except ProbewrightError as error:
        return error


@pytest.mark.parametrize("family", sorted(PACKS))
def test_a_batch_gives_the_same_bits_as_one_case_at_a_time(family):
    pack, chance = PACKS[family], random.Random(SEED)
    machine, cases = machine_of(pack), [any_case(pack.family, chance) for _ in range(2000)]
    rules = machine.rules(SETTINGS)
    singly = [bits(alone(case, pack)) for case in cases]
    together = [bits(found) for found in evaluate_many(cases, machine.store, rules)]
    assert together == singly
    order = chance.sample(range(len(cases)), len(cases))  # and whatever stands beside it
    for start in range(0, len(order), 97):
        some = order[start : start + 97]
        found = evaluate_many([cases[i] for i in some], machine.store, rules)
        assert [bits(one) for one in found] == [singly[i] for i in some]


@pytest.mark.parametrize("family", sorted(PACKS))
def test_whole_answers_are_the_same_too(family):
    pack, chance = PACKS[family], random.Random(SEED + 1)
    cases = [any_case(pack.family, chance) for _ in range(25)]
    for case, answer in zip(cases, engine.diagnose_many(cases, pack, SETTINGS), strict=True):
        if isinstance(answer, ProbewrightError):
            with pytest.raises(type(answer)):
                engine.diagnose(case, pack, SETTINGS)
        else:
            expected = orjson.dumps(to_document(engine.diagnose(case, pack, SETTINGS)))
            assert orjson.dumps(to_document(answer)) == expected


def comes_to(answer):
    """What a diagnosis comes to, floats to the last digit; what is read in units of the test is left out."""
    if isinstance(answer, ProbewrightError):
        return type(answer), str(answer)
    return (
        [(r.test, r.verdict, r.probability_within, r.seen, r.over_range, r.under_range) for r in answer.readings],
        [(fault.fault, fault.probability) for fault in answer.faults], answer.unexplained, answer.no_fault, answer.next,
    )  # fmt: skip


@pytest.mark.parametrize("family", sorted(PACKS))
def test_in_brief_an_answer_comes_to_the_same(family):
    pack, chance = PACKS[family], random.Random(SEED + 2)
    cases = [replace(any_case(pack.family, chance), effort="none") for _ in range(400)]
    whole = engine.diagnose_many(cases, pack, SETTINGS)
    in_brief = engine.brief_many(cases, pack, SETTINGS)
    assert [comes_to(answer) for answer in in_brief] == [comes_to(answer) for answer in whole]
    found = [answer for answer in whole if not isinstance(answer, ProbewrightError)]
    assert len(found) > 200
    # At effort none only a hazard has a next step.
    assert any(answer.next is not None for answer in found) == bool(pack.family.interlocks)
    for one, other in zip(in_brief, whole, strict=True):
        if isinstance(one, engine.Brief):
            checked = [one.checked(place, pack.family) for place in range(len(one.readings))]
            assert checked == list(other.readings)
