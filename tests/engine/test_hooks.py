"""A pack's own validator and scorer."""

from __future__ import annotations

import copy
import pickle
from dataclasses import replace

import numpy as np
import pytest

from probewright.engine import check_readings, diagnose, score_readings
from probewright.errors import PackError, PackModelError
from probewright.packs.context import ReadingContext
from probewright.packs.hookspecs import hookimpl
from probewright.packs.loader import load_packs
from probewright.settings import Settings
from probewright_schemas.records import Conditions, Finding, Meter, Quantity, Reading
from support.families import SMALL, case, pack_of, supply, warmer

CURRENT = Reading("heater_current", 2.7, unit="A")
GLOW = Reading("glow", seen="bright")


def chances(diagnosis):
    return {fault.fault: fault.probability for fault in diagnosis.faults}


def asked(given, pack):
    return diagnose(given, pack, Settings())


class TestValidators:
    def test_called_once_for_each_reading_after_the_engines_own_checks(self):
        seen = []

        def remember(context):
            seen.append(context)
            return ()

        wrong = Reading("heater_ohms", 24.0, unit="ohm", state="live")
        given = case(Reading("heater_current", 2700.0, unit="mA"), GLOW, wrong, conditions=supply(95.0))
        asked(given, pack_of(validators=remember))
        assert [c.test.id for c in seen] == ["heater_current", "glow", "heater_ohms"]
        first, _, last = seen
        assert first.checked.value == pytest.approx(2.7)
        assert (first.checked.unit, first.checked.verdict) == ("A", "outside")
        assert first.case is given
        assert first.reading is given.readings[0]
        assert first.family.id == "warmer"
        assert (first.supply_voltage, first.ambient) == (95.0, None)
        assert {k: first.configuration[k] for k in SMALL} == SMALL
        assert last.checked.verdict == "rejected"

    def test_what_a_hook_is_given_can_be_copied_sent_and_changed(self):
        seen = []
        asked(case(CURRENT), pack_of(validators=lambda context: seen.append(context) or ()))
        [given] = seen
        for same in (copy.copy(given), pickle.loads(pickle.dumps(given)), replace(given)):
            assert isinstance(same, ReadingContext)
            assert (same.checked, same.reading, same.ambient) == (given.checked, given.reading, given.ambient)
        assert replace(given, ambient=20.0).checked == given.checked
        assert repr(given.checked) in repr(given)

    def test_conditions_of_the_reading(self):
        seen = []
        own = Conditions(Quantity(86.0, "degF"), Quantity(90.0, "V"))
        pack = pack_of(validators=lambda context: seen.append(context) or ())
        asked(case(Reading("heater_current", 2.7, unit="A", conditions=own), GLOW), pack)
        assert (seen[0].supply_voltage, seen[0].ambient) == (90.0, pytest.approx(30.0))
        assert (seen[1].supply_voltage, seen[1].ambient) == (100.0, None)

    @pytest.mark.parametrize("severity", ["note", "doubt"])
    def test_remarks_leave_the_evidence(self, severity):
        remark = Finding("odd", severity, "Odd.", "Look again.")
        found = asked(case(CURRENT), pack_of(validators=lambda context: (remark,)))
        assert found.readings[0].findings[-1] == remark
        assert found.readings[0].verdict == "outside"
        assert chances(found) == chances(asked(case(CURRENT), pack_of()))

    def test_rejection_takes_a_reading_out(self):
        def reject_currents(context):
            return [Finding("no", "reject", "No.")] if context.test.id == "heater_current" else []

        pack = pack_of(validators=reject_currents)
        found = asked(case(CURRENT, GLOW), pack)
        assert [r.verdict for r in found.readings] == ["rejected", "within"]
        assert chances(found) == pytest.approx(chances(asked(case(GLOW), pack_of())), rel=1e-12)
        report = score_readings(case(CURRENT, GLOW), pack, Settings())
        assert [r.test for r in report.readings] == ["glow"]
        assert [r.test for r in report.skipped] == ["heater_current"]

    def test_what_the_engine_rejected_stays_rejected(self):
        wrong = Reading("heater_ohms", 24.0, unit="ohm", state="live")
        pack = pack_of(validators=lambda context: [Finding("fine", "note", "Fine.")])
        found = check_readings(case(wrong), pack, Settings())
        assert found.readings[0].verdict == "rejected"
        assert [f.code for f in found.readings[0].findings] == ["wrong_state", "fine"]


def scored(scorer, *readings, **fields):
    return asked(case(*readings, **fields), pack_of(scorer=scorer))


class TestScorers:
    def test_declared_scores_change_nothing(self):
        plain = asked(case(CURRENT, GLOW), pack_of())
        for scorer in (lambda context: None, lambda context: context.declared, lambda context: context.declared.copy()):
            found = scored(scorer, CURRENT, GLOW)
            assert chances(found) == pytest.approx(chances(plain), rel=1e-9)
            assert found.unexplained == pytest.approx(plain.unexplained, rel=1e-9)

    def test_what_a_scorer_is_given(self):
        seen = []
        scored(seen.append, CURRENT)
        (context,) = seen
        assert context.reading.test.id == "heater_current"
        assert context.hypotheses[0] == ()
        assert all(len(s) <= 2 for s in context.hypotheses)
        assert context.declared.shape == (len(context.hypotheses),)
        weak = context.hypotheses.index(("heater_weak",))
        assert context.declared[weak] > context.declared[0]

    def test_scores_replace_the_declared_ones(self):
        def only_a_loose_door(context):
            return np.array([0.0 if "door_loose" in faults else -20.0 for faults in context.hypotheses])

        assert chances(scored(only_a_loose_door, CURRENT))["door_loose"] > 0.99

    def test_for_some_tests_only(self):
        def scorer(context):
            return np.zeros(len(context.hypotheses)) if context.reading.test.id == "glow" else None

        muted = scored(scorer, CURRENT, GLOW)
        alone = asked(case(CURRENT), pack_of())
        assert chances(muted)["heater_weak"] == pytest.approx(chances(alone)["heater_weak"], rel=1e-3)

    def test_impossible_is_allowed(self):
        def never_weak(context):
            return np.where(["heater_weak" in faults for faults in context.hypotheses], -np.inf, 0.0)

        found = scored(never_weak, CURRENT)
        assert "heater_weak" not in chances(found)
        assert np.isfinite(list(chances(found).values())).all()

    def test_all_impossible_leaves_something_unknown(self):
        found = scored(lambda context: np.full(len(context.hypotheses), -np.inf), CURRENT)
        assert found.unexplained == pytest.approx(1.0)
        assert found.faults == ()

    def test_every_open_build_is_offered(self):
        seen = []
        scored(lambda context: seen.append(dict(context.reading.configuration)), CURRENT, options={})
        offered = {(c["style"], c["lamp"]) for c in seen}
        assert offered == {("small", "yes"), ("small", "no"), ("large", "yes"), ("large", "no")}

    def test_scores_are_told(self):
        report = score_readings(case(CURRENT), pack_of(scorer=lambda c: np.full(len(c.hypotheses), -3.0)), Settings())
        assert report.readings[0].log_likelihoods[:-1] == (-3.0,) * (len(report.hypotheses) - 1)

    @pytest.mark.parametrize(
        "scores",
        [np.zeros(3), np.zeros((1, 1)), np.array(0.0), lambda n: np.full(n, np.nan), lambda n: np.full(n, np.inf),
         lambda n: np.append(np.zeros(n - 1), np.nan), "text", {"a": 1.0}, [[1.0], 2.0],
         lambda n: np.full(n, 1e308), lambda n: np.zeros(n, dtype=complex), lambda n: ["-1.0"] * n],
        ids=["too short", "two axes", "no axis", "NaN", "infinite", "one NaN", "text", "mapping", "ragged", "huge",
             "complex", "digits"],
    )  # fmt: skip
    @pytest.mark.parametrize("ask", [diagnose, score_readings])
    def test_what_is_no_score_is_the_packs_fault(self, scores, ask):
        def scorer(context):
            return scores(len(context.hypotheses)) if callable(scores) else scores

        with pytest.raises(PackModelError, match=r"'warmer'.*heater_current"):
            ask(case(CURRENT), pack_of(scorer=scorer), Settings())


def test_a_batch_scores_as_each_reading_does_alone():
    """A pack that doubles every log-likelihood, in both ways of writing it."""

    class Single(Plain):
        @hookimpl
        def probewright_score(self, context):
            return None if context.reading.test.id == "glow" else 2 * context.declared

    class Batch(Plain):
        @hookimpl
        def probewright_score_batch(self, batch):
            kept = np.array([reading.test.id == "glow" for reading in batch.readings])
            return np.where(kept[:, None], batch.declared, 2 * batch.declared)

    given = case(CURRENT, GLOW, Reading("heater_ohms", 24.0, unit="ohm"), options={})
    one, many, declared = (
        asked(given, load_packs(entry_points=(), extra=(("warmer", pack()),)).get("warmer"))
        for pack in (Single, Batch, Plain)
    )
    assert many == one
    assert chances(many) != chances(declared)


class Plain:
    """A pack without hooks of its own."""

    CONTRACT = "1.1"

    @hookimpl
    def probewright_family(self):
        return warmer()


class Plugin:
    """A pack as its author writes it, with a validator and a scorer that fail."""

    CONTRACT = "1.0"

    @hookimpl
    def probewright_family(self):
        return warmer()

    @hookimpl
    def probewright_validate(self, context):
        if context.test.id == "door":
            raise ZeroDivisionError("no door")
        return (Finding("looked", "note", "Looked."),)

    @hookimpl
    def probewright_score(self, context):
        return np.zeros(1) if context.reading.test.id == "glow" else None


@pytest.fixture(scope="module")
def plugged_in():
    """The same by the loader, which wraps a pack's hooks."""
    return load_packs(entry_points=(), extra=[("warmer", Plugin())]).get("warmer")


def test_hooks_of_a_loaded_pack(plugged_in):
    assert [f.code for f in asked(case(CURRENT), plugged_in).readings[0].findings] == ["looked"]


@pytest.mark.parametrize(
    ("reading", "told"), [(Reading("door", seen="shut"), "no door"), (GLOW, "probewright_score.*shape")]
)
def test_failures_of_hooks_name_the_pack(plugged_in, reading, told):
    with pytest.raises(PackError, match=f"pack 'warmer'.*{told}"):
        asked(case(reading), plugged_in)


def test_a_meter_of_the_case_reaches_the_hooks():
    seen = []
    zeroed = Meter("multimeter", leads_zeroed=True)
    given = case(Reading("heater_ohms", 24.0, unit="ohm", meter="it"), meters={"it": zeroed})
    asked(given, pack_of(validators=lambda context: seen.append(context.case.meters) or ()))
    assert seen == [given.meters]
