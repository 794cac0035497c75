"""A pack's own hooks, as the service calls them."""

from __future__ import annotations

import numpy as np
import pytest

from probewright.errors import PackError, PackModelError
from probewright.packs import ScoringBatch, hookspecs
from probewright.packs.loader import load_packs
from probewright_schemas.records import Finding


def load(*extra, **more):
    return load_packs(entry_points=(), extra=extra, **more)


def test_hooks_are_those_of_the_own_pack(make_pack, make_family):
    told = []

    def validate(context):
        told.append(context)
        return (Finding("odd", "note", "Odd."),)

    with_hook, without = make_pack(probewright_validate=validate), make_pack(make_family(id="other"))
    registry = load(("a", with_hook), ("b", without))
    assert registry.get("lamp").validators("context") == (Finding("odd", "note", "Odd."),)
    assert told == ["context"]
    assert registry.get("other").validators is None


def test_a_validator_may_find_nothing(make_pack):
    for nothing in ((), [], None):
        pack = load(("a", make_pack(probewright_validate=lambda context, n=nothing: n))).get("lamp")
        assert pack.validators(None) == ()


@pytest.mark.parametrize("result", ["text", 3, ["text"], {"a": 1}])
def test_a_validator_must_return_findings(make_pack, result):
    pack = load(("a", make_pack(probewright_validate=lambda context: result))).get("lamp")
    with pytest.raises(PackError, match=r"pack 'a' of \(given\) \(given\): probewright_validate must return"):
        pack.validators(None)


@pytest.mark.parametrize(
    ("finding", "told"),
    [
        (Finding("odd", "fatal", "Odd."), "of severity note, doubt, reject, not of severity 'fatal'"),
        (Finding("odd", ["note"], "Odd."), "of severity note, doubt, reject, not of severity \\['note'\\]"),
        (Finding(3, "note", "Odd."), "whose code is text, not 3"),
        (Finding("odd", "note", None), "whose message is text, not None"),
        (Finding("odd", "note", "Odd.", 4), "whose remedy is text, not 4"),
    ],
)
def test_a_finding_that_clients_could_not_read_is_the_packs_fault(make_pack, finding, told):
    pack = load(("a", make_pack(probewright_validate=lambda context: [finding]))).get("lamp")
    with pytest.raises(PackError, match=f"probewright_validate must return findings {told}"):
        pack.validators(None)


class MuteError(Exception):
    def __str__(self):
        raise RuntimeError("nothing to say")


class Unreadable:
    def __array__(self, *arguments, **more):
        raise RuntimeError("no array")


def test_what_cannot_even_be_told_is_the_packs_fault(make_pack):
    pack = load(("a", make_pack(probewright_validate=failing(MuteError(), "context")))).get("lamp")
    with pytest.raises(PackError, match=r"raised MuteError: \(it has no message that can be read\)"):
        pack.validators(None)
    pack = load(("a", make_pack(probewright_score_batch=lambda batch: Unreadable()))).get("lamp")
    with pytest.raises(PackModelError, match="probewright_score_batch returned no numbers: RuntimeError: no array"):
        pack.scorer(BATCH)


#: Two readings under three hypotheses.
BATCH = ScoringBatch(("first", "second"), ((), ("a",), ("b",)), np.array([[-1.0, -2.0, -3.0], [-4.0, -5.0, -6.0]]))


def test_a_validator_may_not_flood_an_answer(make_pack):
    many = [Finding("odd", "note", "Odd.")] * 33
    for count in (32, 33):
        pack = load(("a", make_pack(probewright_validate=lambda context, n=count: many[:n]))).get("lamp")
        if count == 32:
            assert len(pack.validators(None)) == 32
        else:
            with pytest.raises(PackError, match="returned 33 findings; 32 on a reading is most"):
                pack.validators(None)


def failing(error, argument):
    def of_one(context):
        raise error

    def of_many(batch):
        raise error

    return of_many if argument == "batch" else of_one


@pytest.mark.parametrize("error", [ZeroDivisionError("no\nway"), SystemExit("no\nway")])
@pytest.mark.parametrize(
    ("hook", "called", "given"),
    [
        ("probewright_validate", "validators", None),
        ("probewright_score", "scorer", BATCH),
        ("probewright_score_batch", "scorer", BATCH),
    ],
)
def test_a_failing_hook_names_its_pack(make_pack, hook, called, given, error):
    fail = failing(error, "batch" if hook.endswith("batch") else "context")
    pack = load(("a", make_pack(**{hook: fail}))).get("lamp")
    with pytest.raises(PackError, match=f"pack 'a' of .*{hook} raised {type(error).__name__}: no way"):
        getattr(pack, called)(given)


def test_a_failing_wrapper_names_its_pack(make_pack):
    plugin = make_pack()

    def wrapper(context):
        yield
        raise SystemExit("late")

    plugin.probewright_validate = hookspecs.hookimpl(wrapper=True)(wrapper)
    pack = load(("a", plugin)).get("lamp")
    with pytest.raises(PackError, match=r"pack 'a' of .*probewright_validate raised SystemExit: late"):
        pack.validators(None)


@pytest.mark.parametrize("result", [np.array([-1.0, -np.inf]), [-1.0], "text", None], ids=repr)
def test_what_a_scorer_gives_is_passed_on(make_pack, result):
    """Whether it is one score for each hypothesis is checked where it is used."""
    pack = load(("a", make_pack(probewright_score=lambda context: result))).get("lamp")
    first, second = pack.scorer(BATCH)
    assert first is result
    assert second is result


def test_a_scorer_is_asked_for_each_reading(make_pack):
    pack = load(("a", make_pack(probewright_score=lambda context: (context.reading, context.declared[0])))).get("lamp")
    assert pack.scorer(BATCH) == [("first", -1.0), ("second", -4.0)]


def test_a_scorer_of_batches_is_asked_once(make_pack):
    asked = []

    def score(batch):
        asked.append(batch)
        return 2 * batch.declared

    one = make_pack(probewright_score_batch=score, probewright_score=lambda context: "never asked")
    rows = load(("a", one)).get("lamp").scorer(BATCH)
    assert asked == [BATCH]
    assert np.array_equal(np.stack(rows), 2 * BATCH.declared)


def test_a_scorer_of_batches_may_keep_the_declared_scores(make_pack):
    pack = load(("a", make_pack(probewright_score_batch=lambda batch: None))).get("lamp")
    assert pack.scorer(BATCH) == [None, None]


@pytest.mark.parametrize("result", [np.zeros(3), np.zeros((3, 2)), np.zeros((1, 3)), 0.0, "text", [[1.0], 2.0],
                                    np.zeros((2, 3), dtype=complex), [["1"] * 3] * 2, np.ones((2, 3), dtype=bool)])
def test_a_scorer_of_batches_must_give_a_row_for_each_reading(make_pack, result):
    pack = load(("a", make_pack(probewright_score_batch=lambda batch: result))).get("lamp")
    with pytest.raises(PackModelError, match=r"pack 'a' of .*probewright_score_batch returned (shape|no numbers)"):
        pack.scorer(BATCH)
