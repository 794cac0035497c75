"""The benchmarks ask what they say they ask: representative cases, no two alike, all of them usable."""

from __future__ import annotations

import random
from collections import Counter
from typing import Any

import cases
import pytest

from probewright.packs.loader import load_packs
from probewright.settings import Settings
from probewright.web import create_app

MADE = cases.cases("quick")


def key(case: dict[str, Any]) -> tuple[object, ...]:
    """What a case shares with others of its combination."""
    tests = sorted(reading["test"] for reading in case["readings"])
    return (*sorted(case["options"].items()), *case["complaints"], *case["working"], *tests)


def test_few_combinations_and_many_cases() -> None:
    counts = Counter(key(case) for case in MADE)
    assert len(counts) == cases.N_COMBINATIONS
    assert sum(counts.values()) == cases.N_CASES
    # None is rare, so what is compiled for it is used again; none is most of them.
    assert min(counts.values()) > 10
    assert max(counts.values()) < 0.1 * cases.N_CASES


def test_eight_readings_of_different_tests() -> None:
    assert {len({reading["test"] for reading in case["readings"]}) for case in MADE} == {cases.N_READINGS}


def test_cases_of_one_combination_differ_in_all_that_a_visit_finds() -> None:
    [(first, _)] = Counter(key(case) for case in MADE).most_common(1)
    alike = [case for case in MADE if key(case) == first]
    supplies = {case["conditions"]["supply_voltage"]["value"] for case in alike}
    temperatures = {case["conditions"]["ambient"]["value"] for case in alike}
    assert len(supplies) > 0.3 * len(alike)
    assert len(temperatures) > 20
    assert len({str(case["readings"]) for case in alike}) > 0.9 * len(alike)


def test_equal_cases_are_noticed() -> None:
    with pytest.raises(ValueError, match="of 2 cases only 1 differ"):
        cases.insist_on_difference([{"reference": "a", "x": 1}, {"reference": "b", "x": 1}])


def test_new_combinations_are_new() -> None:
    asked = {key(case) for case in MADE}
    chance = random.Random(1)
    new = {key(cases.case(chance, 0, combination)) for combination in cases.combinations(60, cases.SEED + 1)}
    assert len(new) == 60
    assert len(new - asked) > 50


def test_unknown_options_are_left_out() -> None:
    assert {len(case["options"]) for case in cases.cases("none", options_known=False)} == {0}


def test_the_service_can_use_every_reading() -> None:
    """One case of each combination; the answers are ordinary ones: no reading refused, seldom a clash, no hazard."""
    client = create_app(load_packs(), Settings()).test_client()
    replies = [client.post("/v1/diagnoses", json=case) for case in {key(case): case for case in MADE}.values()]
    assert {reply.status_code for reply in replies} == {200}
    answers = [reply.get_json() for reply in replies]
    verdicts = Counter(reading["verdict"] for answer in answers for reading in answer["readings"])
    assert verdicts["rejected"] == 0
    assert verdicts["outside"] >= len(answers)
    assert sum(bool(answer["clashes"]) for answer in answers) < 0.25 * len(answers)
    assert "stop" not in {answer["next"]["kind"] for answer in answers}
