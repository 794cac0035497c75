"""A pack that cannot be loaded is reviewed all the same: each broken rule is an error of its own."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import pytest

from probewright.circuit.parts import Part, Switch
from probewright.errors import PackModelError
from probewright.figures import exactly, invented
from probewright.packs import CONTRACT_VERSION, hookimpl
from probewright.packs.check import broken_rules, check_family
from probewright.packs.loader import survey
from probewright.review.catalogue import RULES
from probewright.review.document import review_document
from probewright.review.findings import review_refusal
from probewright.review.page_findings import findings
from probewright.review.text import review_text
from support.breaking import added, both, changed, model
from support.lantern import lantern, likely, near, wiring

#: Rule to a change that breaks it, its record and the start of its message.
RULES_OF_LOADING = {
    "cannot_be_loaded": (None, "pack lantern", "incompatible: made for contract 9"),
    "broken_reference": (changed("tests", "glow", zone="outsde"), "test glow",
                         "zone 'outsde' does not exist; did you mean 'outside'?"),
    "bad_id": (added("parts", replace(lantern().parts[0], id="Fuse-2")), "part 'Fuse-2'",
               "an id is written in snake_case"),
    "duplicate_id": (lambda f: replace(f, zones=(*f.zones, f.zones[0])), "zone outside", "the id is used 2 times"),
    "wrong_type": (changed("tests", "supply", steps="Read."), "test supply: steps",
                   "must be a tuple, not str; a tuple of one ends in a comma"),
    "no_basis": (changed("tests", "supply", minutes=2.0), "test supply: minutes", "2.0 carries no basis"),
    "not_a_probability": (changed("faults", "fuse_open", rate=invented(1.5)), "fault fuse_open", "rate is 1.5"),
    "does_not_add_up": (model("glass", healthy=likely(clear=0.5, black=0.4)), "test glass: models[0]: healthy",
                        "the probabilities add up to 0.9, not 1"),
    "number_out_of_range": (changed("repairs", "replace_bulb", minutes=invented(-1.0)), "repair replace_bulb",
                            "minutes is negative (-1.0)"),
    "wrong_unit": (changed("tests", "warmth", unit="ohm"), "test warmth", "unit: 'ohm' is a unit of resistance"),
    "live_without_cautions": (changed("states", "live", cautions=()), "state live",
                              "is powered or has gas on, so it needs cautions"),
    "does_not_hold": (changed("tests", "glow", models=()), "test glow", "has no model"),
}  # fmt: skip


def pack(family, contract: str = CONTRACT_VERSION):
    """A pack that is not installed."""
    return SimpleNamespace(CONTRACT=contract, probewright_family=hookimpl(lambda: family))


def refused(*packs):
    """The only refusal."""
    (refusal,) = survey(entry_points=(), extra=[("lantern", one) for one in packs]).refused
    return refusal


@pytest.mark.parametrize("rule", RULES_OF_LOADING)
def test_each_rule_of_loading_is_an_error_of_its_own(rule):
    change, record, message = RULES_OF_LOADING[rule]
    refusal = refused(pack(lantern(), "9.0") if change is None else pack(change(lantern())))
    review = review_refusal(refusal)
    assert review.verdict == "errors"
    (only,) = review.remarks
    assert (only.severity, only.rule, only.record) == ("error", rule, record)
    assert only.message.startswith(message)


def test_all_broken_references_are_told_at_once_and_apart():
    family = both(
        changed("tests", "glow", zone="outsde", states=("alive",)), changed("faults", "fuse_open", part="fus"),
        changed("repairs", "replace_fuse", closing_checks=("litt",)),
    )(lantern())  # fmt: skip
    remarks = review_refusal(refused(pack(family))).remarks
    assert [(r.rule, r.record) for r in remarks] == [("broken_reference", record) for record in (
        "test glow", "test glow", "fault fuse_open", "repair replace_fuse")]  # fmt: skip


def test_the_error_carries_its_parts_and_keeps_its_text():
    family = changed("tests", "glow", zone="outsde")(lantern())
    with pytest.raises(PackModelError) as caught:
        check_family(family)
    (broken,) = caught.value.broken
    assert str(caught.value) == f"family 'lantern': {broken}"
    assert broken == f"{broken.record}: {broken.message}"


def test_every_rule_that_the_loader_tells_is_in_the_catalogue():
    """One family with a slip of many kinds, so that a rule without an entry would show."""
    shapes = (
        Part("Lead", "hot", "hot", near(3.0)), Switch("knob", "line", "hot", ("onn",), exactly(invented(-1.0))),
        Part("knob", "line", "hot", wiring().parts[2].law),
    )  # fmt: skip
    family = both(
        changed("circuits", "lamp", parts=(*wiring().parts, *shapes), frequency=invented(-1.0), reference="nowhere"),
        *(change for change, _, _ in list(RULES_OF_LOADING.values())[1:] if change is not None and change not in (
            RULES_OF_LOADING["wrong_type"][0], RULES_OF_LOADING["no_basis"][0])),
    )(lantern())  # fmt: skip
    rules = {broken.rule for broken in broken_rules(family)}
    assert len(rules) >= 8
    assert rules <= set(RULES)


def test_a_pack_that_cannot_be_imported_is_one_error():
    refusal = refused(SimpleNamespace(CONTRACT=CONTRACT_VERSION))
    (only,) = review_refusal(refusal).remarks
    assert (only.rule, only.record) == ("cannot_be_loaded", "pack lantern")
    assert "it lacks the required hook probewright_family" in only.message


def test_a_message_that_asks_ends_in_its_question_mark():
    review = review_refusal(refused(pack(changed("tests", "glow", zone="outsde")(lantern()))))
    told = review_document("lantern", None, review)
    assert "did you mean 'outside'?\n" in review_text(told)
    assert "?." not in findings(told)
