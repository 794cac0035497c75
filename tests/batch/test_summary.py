"""Tallies: counted against a count of everything, in any order, and small."""

from __future__ import annotations

import json
import random
from collections import Counter
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from probewright.batch.counts import Counts, Strongest
from probewright.batch.summary import Tally
from probewright_schemas import records
from probewright_schemas.batch import ReevaluationSummarySchema
from probewright_schemas.batch_records import Change, ChangeKind, CorrectedReading, Held, Reevaluation, Status
from probewright_schemas.records import PackIdentity

SOME = settings(max_examples=60, deadline=None, derandomize=True)

names = st.sampled_from(["a", "b", "c", "ä", "<d>"])
chances = st.floats(0.0, 1.0)
held = st.builds(Held, fault=names, probability=chances)
verdicts = st.sampled_from(get_args(records.Verdict))
packs = st.builds(PackIdentity, family=names, version=st.just("1"), digest=names)
changes = st.builds(
    Change, kind=st.sampled_from(get_args(ChangeKind)), of=st.none() | names, before=st.none() | verdicts,
    after=st.none() | verdicts, probability_before=st.none() | chances, probability_after=st.none() | chances,
)  # fmt: skip
corrected = st.builds(
    CorrectedReading, reading=st.integers(0, 9), test=names, meter=names, as_read=chances, value=chances,
    unit=st.just("A"),
)  # fmt: skip
results = st.builds(
    Reevaluation, family=names, status=st.sampled_from(get_args(Status)), why=st.text(max_size=9), pack=packs,
    after=held, computation=st.just("sha256:0"), reference=st.none() | names, before=st.none() | held,
    shift=st.none() | chances, changes=st.lists(changes, max_size=3).map(tuple),
    corrected=st.lists(corrected, max_size=3).map(tuple), notes=st.lists(names, max_size=2).map(tuple),
)  # fmt: skip
lines = st.lists(st.none() | st.tuples(results, st.none() | packs), max_size=30)


def tally_of(numbered):
    tally = Tally()
    for line, told in numbered:
        if told is None:
            tally.refuse("invalid_case")
        else:
            tally.add(told[0], line, told[1])
    return tally


def result(**different):
    """An invented result."""
    told = {
        "family": "warmer", "status": "changed", "why": "It is so.", "pack": PackIdentity("warmer", "1", "sha256:1"),
        "after": Held("open", 0.9), "computation": "sha256:2", "before": Held("shut", 0.8), "shift": 0.7,
    }  # fmt: skip
    return Reevaluation(**(told | different))


@SOME
@given(lines, st.randoms(use_true_random=False))
def test_blocks_come_to_the_same_in_any_order_and_grouping(told, chance):
    numbered = list(enumerate(told, 1))
    whole = tally_of(numbered).to_json()
    parts = [tally_of(numbered[start : start + 4]) for start in range(0, len(numbered), 4)] or [Tally()]
    while len(parts) > 1:
        one, other = chance.sample(parts, 2)
        parts = [part for part in parts if part is not one and part is not other]
        one.merge(other)
        parts.append(one)
    assert parts[0].to_json() == whole


@SOME
@given(lines)
def test_a_tally_is_written_and_read_again_without_a_difference(told):
    tally = tally_of(enumerate(told, 1))
    written = json.dumps(tally.to_json())
    again = Tally.from_json(json.loads(written))
    assert json.dumps(again.to_json()) == written
    assert again.document() == tally.document()
    # It goes on as if nothing had been: the same is added to both.
    for one in (tally, again):
        one.add(result(), 1000)
        one.merge(tally_of(enumerate(told, 2000)))
    assert again.to_json() == tally.to_json()


@SOME
@given(lines)
def test_a_summary_counts_what_there_is(told):
    answered = [one[0] for one in told if one is not None]
    document = tally_of(enumerate(told, 1)).document()
    kinds = Counter(kind for one in answered for kind in {change.kind for change in one.changes})
    assert document == {
        "lines": len(told),
        "answered": len(answered),
        "refused": len(told) - len(answered),
        "packs": [
            {"family": family, "version": version, "digest": digest}
            for family, version, digest in sorted({(r.pack.family, r.pack.version, r.pack.digest) for r in answered})
        ],
        "by_status": dict(Counter(one.status for one in answered)),
        "by_change": dict(kinds),
    }
    assert set(document) == {field.data_key or name for name, field in ReevaluationSummarySchema().fields.items()}


@SOME
@given(lines)
def test_tables_count_what_there_is(told):
    answered = [one[0] for one in told if one is not None]
    tables = tally_of(enumerate(told, 1)).to_json()

    def counted(name):
        return {(*key, sort): n for key, numbers in tables[name]["counts"] for sort, n in numbers.items()}

    compared = [one for one in answered if one.before is not None]
    assert Counter(counted("flows")) == Counter(
        (one.family, one.before.fault, one.after.fault, "stays" if one.before.fault == one.after.fault else "differs")
        for one in compared
    )
    assert sum(counted("probabilities").values()) == len(compared)
    assert sum(counted("shifts").values()) == sum(one.shift is not None for one in compared)
    meters = Counter((reading.meter, "readings") for one in answered for reading in one.corrected)
    for one in answered:
        for meter in {reading.meter for reading in one.corrected}:
            meters.update((meter, sort) for sort in ("cases", one.status, *{change.kind for change in one.changes}))
    assert Counter(counted("meters")) == meters
    tests = Counter((one.family, reading.test, "corrected") for one in answered for reading in one.corrected)
    tests.update(
        (one.family, change.of, f"{change.before}>{change.after}")
        for one in answered
        for change in one.changes
        if change.kind == "verdict" and change.of is not None
    )
    assert Counter(counted("tests")) == tests


@SOME
@given(lines)
def test_the_strongest_jobs_are_those_of_all(told):
    tally = tally_of(enumerate(told, 1))
    changed = sorted(
        (-(one[0].shift or 0.0), line) for line, one in enumerate(told, 1) if one is not None and one[0].changes
    )
    assert [(-strength, line) for strength, line, _ in tally.to_json()["strongest"]["all"]] == changed[:20]


def test_probabilities_fall_into_steps_and_one_into_the_last():
    tally = Tally()
    tally.add(result(before=Held("a", 0.0), after=Held("a", 1.0), shift=1.0))
    tally.add(result(before=Held("a", 0.05), after=Held("b", 0.0499), shift=0.0))
    told = tally.to_json()
    assert told["probabilities"]["counts"] == [[["00", "19"], {"stays": 1}], [["01", "00"], {"differs": 1}]]
    assert told["shifts"]["counts"] == [[["00"], {"changed": 1}], [["99"], {"changed": 1}]]


def test_equally_strong_jobs_are_told_in_the_order_of_their_lines():
    tally = Tally()
    change = (Change("hazard_shows", of="gas"),)
    for line in (30, *range(29, 0, -1)):
        tally.add(result(changes=change), line)
    assert [entry[1] for entry in tally.to_json()["strongest"]["hazard_shows"]] == list(range(1, 21))


def test_a_swapped_part_is_as_strong_as_its_own_probability_changed():
    tally = Tally()
    for line, (shift, after) in enumerate([(0.9, 0.8), (0.2, 0.1)], 1):
        swapped = Change("swapped_part_good", of="igniter", probability_before=0.95, probability_after=after)
        tally.add(result(shift=shift, changes=(swapped,)), line)
    assert [entry[1] for entry in tally.to_json()["strongest"]["swapped_part_good"]] == [2, 1]
    assert [entry[1] for entry in tally.to_json()["strongest"]["all"]] == [1, 2]


def test_a_case_counts_once_for_each_kind_of_change():
    tally = Tally()
    tally.add(result(changes=(Change("verdict", of="x", before="within", after="outside"),) * 3))
    assert tally.document()["by_change"] == {"verdict": 1}
    assert tally.to_json()["tests"]["counts"] == [[["warmer", "x"], {"within>outside": 3}]]


def test_a_tally_of_another_format_is_refused():
    told = Tally().to_json() | {"format": 0}
    with pytest.raises(ValueError, match="format 0"):
        Tally.from_json(told)


def test_a_tally_stays_small_whatever_callers_write():
    # Every name another one, as long as the contract lets them be; figures of the machine do not matter, only sizes.
    tally = Tally()
    for line in range(25_000):
        name = f"{line:06d}"
        tally.add(
            result(
                before=Held("f" + name, 0.5), why="w" * 5000, notes=("n" * 5000,),
                changes=(Change("verdict", of="t" + name, before="within", after="outside"),),
                corrected=(CorrectedReading(0, "t" + name, "m" + name, 1.0, 1.1, "A"),),
            ), line, PackIdentity("warmer", name, name),
        )  # fmt: skip
        tally.refuse(name)
    told = tally.to_json()
    assert len(json.dumps(told)) < 2_500_000
    assert [len(told[name]["counts"]) for name in ("flows", "meters", "packs", "tests")] == [10_000, 2000, 1000, 5000]
    assert told["flows"]["others"] == {"differs": 15_000}
    assert told["meters"]["others"] == {"cases": 23_000, "changed": 23_000, "readings": 23_000, "verdict": 23_000}
    assert [len(told["strongest"][name]) for name in ("all", "verdict", "noted", "hazard_gone")] == [20, 20, 20, 0]


@pytest.mark.parametrize("seed", range(5))
def test_of_too_many_keys_the_first_of_the_alphabet_are_kept(seed):
    chance = random.Random(seed)
    events = [((f"{chance.randrange(40):02d}",), chance.choice("xy"), chance.randrange(1, 4)) for _ in range(300)]
    kept = sorted({key for key, _, _ in events})[:7]
    expected, others = {key: Counter() for key in kept}, Counter()
    for key, sort, number in events:
        expected.get(key, others)[sort] += number
    halves = Counts(7), Counts(7)
    for event in events:
        halves[chance.randrange(2)].add(*event)
    halves[0].merge(halves[1])
    assert halves[0].by_key() == expected
    assert halves[0].others() == others
    assert halves[0].totals() == Counter(sum((Counter({sort: n}) for _, sort, n in events), Counter()))


@SOME
@given(st.lists(st.tuples(st.sampled_from([0.0, 0.1, 0.5, 1.0]), st.integers(0, 3), names), max_size=20))
def test_the_strongest_do_not_depend_on_the_order(told):
    expected = sorted(told, key=lambda entry: (-entry[0], entry[1], json.dumps(entry[2], ensure_ascii=False)))[:4]
    for order in (told, told[::-1]):
        found = Strongest(4)
        for strength, line, name in order:
            assert found.wants(strength, line) or (strength, line, name) not in expected
            found.add(strength, line, name)
        assert [tuple(entry) for entry in found.to_json()] == expected
