"""Laws and hooks are foreign code: whatever they do is a finding, and nothing else fails."""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from functools import cache
from types import SimpleNamespace

import numpy as np
import pytest

from probewright.circuit.parts import Source
from probewright.cli import main
from probewright.cli.common import Exit
from probewright.errors import PackError
from probewright.figures import Spread, invented
from probewright.packs import CONTRACT_VERSION, hookimpl
from probewright.packs.loader import survey
from probewright.review.findings import review_family, review_pack
from probewright.review.quality import measure
from probewright.settings import Settings
from probewright_schemas.records import Finding
from support.breaking import both, parts, without
from support.lantern import lantern, near, wiring


@dataclass(frozen=True)
class Law:
    """A law of an author's own; ``does`` says what it gives."""

    ohms: Spread
    does: str
    heats_above = None
    feels_temperature = False

    @property
    def spreads(self):
        return (self.ohms,)

    def impedance(self, parameters, at):
        if self.does == "raise":
            raise ZeroDivisionError("no such temperature")
        if self.does == "raise_at_direct_current" and at.omega == 0:
            raise ZeroDivisionError("no such frequency")
        if self.does == "raise_at_direct_current":
            return parameters[0]
        if self.does == "shape":
            return parameters[0][:3]
        return np.full_like(parameters[0], {"nan": np.nan, "negative": -49.8}[self.does])


def with_law(does: str):
    """The lantern whose fuse follows a law of the author's own."""
    *before, fuse, plain, fancy = wiring().parts
    wired = replace(wiring(), parts=(*before, replace(fuse, law=Law(near(0.1), does)), plain, fancy))
    return replace(lantern(), circuits=(wired,))


def rules(family) -> dict[str, list[str]]:
    """The records of each rule that is found."""
    found: dict[str, list[str]] = {}
    for remark in review_family(family).remarks:
        found.setdefault(remark.rule, []).append(remark.record)
    return found


@pytest.mark.parametrize("does", ["raise", "shape"])
def test_a_law_that_fails_is_an_error_of_every_record_that_rests_on_it(does):
    found = rules(with_law(does))
    assert found["cannot_be_compiled"] == [
        "test supply", "test glow", "test lamp_current", "test filament_resistance", "complaint dark"]  # fmt: skip
    assert set(found) == {"cannot_be_compiled", "weak_basis"}


def test_a_law_that_gives_no_number_is_an_error_of_every_test_that_reads_it():
    found = rules(with_law("nan"))
    assert set(found) == {"not_a_number", "weak_basis"}
    assert "test lamp_current" in found["not_a_number"]
    assert "test filament_resistance" not in found["not_a_number"]  # for which the fuse is taken out


def test_a_law_that_gives_nonsense_is_told_by_what_follows_from_it():
    """A fuse of minus 49.8 ohm cancels the filament: the current knows no bounds."""
    assert "error" not in {remark.severity for remark in review_family(with_law("negative")).remarks}
    assert "limits_miss_the_model" in rules(with_law("negative"))


def test_a_law_that_fails_where_no_test_of_the_pack_reads_spoils_no_advice():
    """The pack's own tests of the fuse are under power; an ohmmeter's reading of it is tried for advice, and fails."""
    alike = without("tests", "filament_resistance", "glass")(with_law("raise_at_direct_current"))
    (only,) = (remark for remark in review_family(alike).remarks if remark.rule != "weak_basis")
    assert only.rule == "faults_alike"
    assert "a voltage test" in only.hint


def test_a_law_that_fails_in_simulated_jobs_is_an_error_beside_the_findings(monkeypatch, capsys):
    def fails(*_, **__):
        raise FloatingPointError("no such oven")

    monkeypatch.setattr("probewright.review.quality.measure", fails)
    assert main(["pack", "check", "gas_range", "--jobs", "1", "--json"]) == Exit.NO_PACK
    told = json.loads(capsys.readouterr().out)
    assert told["findings"][0]["rule"] == "cannot_be_simulated"
    assert told["findings"][0]["message"] == "FloatingPointError: no such oven (--traceback shows where)"
    assert told["counts"]["accepted"] > 0


def test_two_sources_across_each_other_have_no_solution_and_are_told():
    twice = parts(Source("other", "line", "neutral", invented(90.0)))
    found = rules(twice(lantern()))
    assert "test supply" in found["cannot_be_compiled"]


def loaded(family=None, **hooks):
    """A family, the lantern unless another is given, as a pack with hooks of its own."""
    marked = {name: hookimpl(hook) for name, hook in hooks.items()}
    given = hookimpl(lambda: lantern() if family is None else family)
    pack = SimpleNamespace(CONTRACT=CONTRACT_VERSION, probewright_family=given, **marked)
    return survey(entry_points=(), extra=[("lantern", pack)]).packs["lantern"]


def raises(context):
    raise KeyError(context.test.id)


def _no_findings(context):
    return ["too hot"]


def _counts(context):
    return (Finding("seen", "note", "It was read."),)


def _too_short(context):
    return np.zeros(2)


def _nan(context):
    return np.full(len(context.hypotheses), np.nan)


@pytest.mark.parametrize(("hook", "function", "told"), [
    ("probewright_validate", raises, "KeyError: 'supply'"),
    ("probewright_validate", _no_findings, "must return findings, not 'too hot'"),
    ("probewright_score", raises, "raised"),
    ("probewright_score", _too_short, "shape"),
    ("probewright_score", _nan, "NaN"),
])  # fmt: skip
def test_a_hook_that_fails_is_one_error_with_the_reading_on_which_it_does(hook, function, told):
    review = review_pack(loaded(**{hook: function}), Settings())
    (only,) = (remark for remark in review.remarks if remark.severity == "error")
    assert (only.rule, only.record) == ("hook_fails", f"hook {hook}")
    assert only.message.startswith("on a sound reading of test supply: ")
    assert told in only.message


def test_hooks_that_keep_their_contract_are_no_finding():
    asked: set[str] = set()

    def counts(context):
        asked.add(context.test.id)
        return _counts(context)

    review = review_pack(loaded(probewright_validate=counts), Settings())
    assert {remark.rule for remark in review.remarks} == {"weak_basis"}
    assert asked == {test.id for test in lantern().tests}  # each of them was asked about


@cache
def mute():
    """What is found of a pack that hardly anybody would complain of, once its jobs are played."""
    tiny = tuple(
        replace(c, if_working=invented(1e-12), if_failed=None if c.if_failed is None else invented(2e-12),
                shown_by=dict.fromkeys(c.shown_by, invented(1e-12)))
        for c in lantern().complaints
    )  # fmt: skip
    pack = loaded(family=replace(lantern(), complaints=tiny))
    with pytest.raises(PackError) as caught:
        measure(pack, Settings(), jobs=1)
    return review_pack(pack, Settings()).with_error("cannot_be_simulated", "pack lantern", str(caught.value)).remarks[0]


def test_a_failing_law_does_not_hide_what_the_records_say():
    family = both(lambda f: replace(f, cautions=()))(with_law("raise"))
    assert {"cannot_be_compiled", "family_without_cautions"} <= set(rules(family))
