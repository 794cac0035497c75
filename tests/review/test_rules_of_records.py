"""Rules of numbers, safety, words and use: one change to a family that breaks none, and nothing else is found."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from probewright.circuit.laws import Winding
from probewright.circuit.parts import Part
from probewright.figures import invented, published
from probewright.packs.model import (
    Accepted,
    Answer,
    Closing,
    Limit,
    Option,
    OptionValue,
    Question,
    ReplaceablePart,
    Zone,
)
from probewright.review.findings import review_family
from support.breaking import Change, added, both, changed, circuit, found, model, parts, real, seen
from support.lantern import between, lantern, likely, near, wiring

BLACK = likely(clear=0.3, black=0.6, cracked=0.1)
HUM = Option("hum", "Hum", (OptionValue("low", "Low", invented(0.5)), OptionValue("high", "High", invented(0.5))))


def _one_invented(family):
    made = real(family)
    return replace(made, zones=(made.zones[0], replace(made.zones[1], minutes=invented(4.0))))


def _three_kinds(family):
    """A third kind, wired and limited as the first."""
    (kind,) = family.options
    values = (*(replace(v, share=invented(float(v.share) - 0.1)) for v in kind.values),
              OptionValue("odd", "Odd", invented(0.2)))  # fmt: skip
    *others, plain, fancy = wiring().parts
    wired = replace(wiring(), parts=(*others, replace(plain, when={"kind": ("plain", "odd")}), fancy))
    tests = tuple(replace(test, limits=()) for test in family.tests)
    return replace(family, options=(replace(kind, values=values),), circuits=(wired,), tests=tests)


def _asked(name: str, text: str) -> Question:
    answers = (Answer("yes", "Yes.", complaints=("dark",)), Answer("no", "No."))
    return Question(name, text, answers, "It tells much.")


def _accepting(rule: str, record: str, reason: str = "It comes.") -> Change:
    return lambda family: replace(family, accepted=(Accepted(rule, record, reason),))


NUMBERS = [
    ("invented_figure", _one_invented, "zone inside", "minutes is an invented figure, and the family is no demo"),
    ("source_says_nothing", changed("faults", "fuse_open", rate=published(0.06, "TBD")), "fault fuse_open",
     r"rate \(published: 'TBD'\) names no source"),
    ("source_says_nothing", changed("faults", "fuse_open", rate=published(0.06, "?")), "fault fuse_open",
     "names no source"),
    ("implausible_number", parts(Part("choke", "line", "neutral", Winding(near(50.0), near(2e4)))),
     "circuit lamp: part choke", r"henries is 1.962e\+04 to 2.038e\+04 H, which no appliance has"),
    ("implausible_number", model("warmth", by_fault={"shade_crooked": between(333.0, 2400.0)}), "test warmth",
     "shade_crooked is 374.3 to 2359 degC"),
    ("implausible_number", changed("zones", "inside", minutes=invented(4000.0)), "zone inside", "minutes is 4000"),
    ("implausible_number", lambda f: replace(f, ambient=between(300.0, 900.0)), "family", "ambient is 312 to 888"),
    ("limits_miss_the_model", changed("tests", "warmth", limits=(Limit(high=invented(10.0)),)), "test warmth",
     "only 0% of sound readings, about 35 degC, lie within at most 10 degC"),
    ("hazard_always_raised", changed("interlocks", "burning", above={"warmth": invented(20.0)}), "interlock burning",
     "a sound appliance raises it in 100% of the readings of test warmth"),
    ("hazard_always_raised", changed("interlocks", "burning", seen={"glass": ("clear",)}), "interlock burning",
     "in 95% of the readings of test glass"),
    ("closing_check_never_passes", changed("closings", "lit", passes=("dim",)), "closing check lit",
     "a sound appliance passes it in 0% of the readings of test glow"),
    ("closing_check_never_passes", changed("closings", "cool", limits=(Limit(high=invented(5.0)),)),
     "closing check cool", "passes it in 0% of the readings of test warmth"),
    ("rates_add_up", changed("faults", "fuse_open", rate=invented(0.95)), "fault rates",
     "with unknown_rate they add up to 1.05"),
    ("zero_chance", changed("complaints", "dim", shown_by=likely(filament_weak=0.7, fuse_open=0.0)), "complaint dim",
     "shown_by is 0 for fuse_open"),
    ("zero_chance", changed("repairs", "replace_fuse", cures=likely(fuse_open=1.0, shade_crooked=0.0)),
     "repair replace_fuse", "cures is 0 for shade_crooked"),
    ("same_as_healthy", model("glass", by_fault={
        "filament_open": BLACK, "fuse_open": likely(clear=0.95, black=0.04, cracked=0.01)}), "test glass",
     "by_fault repeats the healthy row for fuse_open"),
    ("same_as_healthy", model("warmth", by_fault={
        "shade_crooked": between(60.0, 80.0), "fuse_open": between(30.0, 40.0)}), "test warmth",
     "by_fault repeats the healthy row for fuse_open"),
    ("healthy_outcome_unlikely", model("glass", healthy=BLACK, by_fault={
        "filament_open": likely(clear=0.9, cracked=0.1)}), "test glass",
     r"healthy shows black more often \(60%\) than the first outcome, clear \(30%\)"),
    ("healthy_outcome_unlikely", both(changed("tests", "glow", outcomes=("none", "dim", "bright")), changed(
        "closings", "lit", passes=("bright",))), "test glow",
     r"a sound appliance shows bright more often \(100%\) than the first outcome, none \(0%\)"),
    ("outcome_never_shown", changed("tests", "glass", outcomes=("clear", "black", "cracked", "gone")), "test glass",
     "nothing shows gone"),
]  # fmt: skip

SAFETY = [
    ("work_without_cautions", changed("tests", "warmth", cautions=()), "test warmth", "while it is powered"),
    ("work_without_cautions", changed("repairs", "replace_fuse", state="live"), "repair replace_fuse",
     r"it is done while it is powered \(state live\)"),
    ("state_without_steps", changed("states", "live", steps=()), "state live", "has no steps to get there"),
    ("work_without_steps", changed("tests", "supply", steps=()), "test supply", "a voltage test without steps"),
    ("work_without_steps", changed("repairs", "replace_fuse", steps=()), "repair replace_fuse", "it has no steps"),
    ("opening_without_steps", changed("zones", "inside", steps=()), "zone inside", "takes 4 minutes to open"),
    ("hazardous_repair_without_closing_checks", both(
        changed("repairs", "straighten_shade", closing_checks=()),
        changed("repairs", "replace_fuse", closing_checks=("lit", "cool"))), "repair straighten_shade",
     "it cures shade_crooked, which raises a hazard, and names no closing checks"),
    ("hazardous_repair_without_closing_checks", changed(
        "repairs", "replace_bulb", closing_checks=(), skill="electrician"), "repair replace_bulb",
     "it takes the skill electrician"),
    ("hazard_never_clears", changed("interlocks", "burning", cleared_by={}), "interlock burning",
     "the complaint smells_burnt raises it, and nothing clears it"),
    ("family_without_cautions", lambda f: replace(f, cautions=()), "family", "it has no cautions"),
    ("blank_text", changed("tests", "supply", steps=(" ",)), "test supply", "steps holds a blank text"),
]  # fmt: skip

WORDS = [
    ("same_title", changed("faults", "filament_weak", title="Filament open"), "fault filament_weak",
     "'Filament open' is also the title of filament_open"),
    ("same_question", added("questions", _asked("first", "Is it dark?"), _asked("second", "Is it dark ?")),
     "question second", "asks the same as question first"),
    ("nearly_same_wording", changed("repairs", "replace_bulb", steps=("Fit one of the same ratings.",)),
     "repair replace_bulb", "'Fit one of the same ratings.' is nearly 'Fit one of the same rating.' of repair"),
    ("nearly_same_wording", changed("tests", "lamp_current", cautions=(
        "Mains voltage is on bare terminals, one hand, insulated probes.",)), "test lamp_current", "is nearly"),
    ("nearly_same_wording", changed("repairs", "replace_bulb", steps=("Fit one of same rating.",)),
     "repair replace_bulb", "is nearly 'Fit one of the same rating.'"),
    ("nearly_same_id", added("tests", seen("stain_inside", title="Stain"), seen("stein_inside", title="Dust")),
     "test stein_inside", "its id differs from stain_inside by one letter"),
    ("title_style", changed("faults", "fuse_open", title="fuse open"), "fault fuse_open",
     "its title begins with a small letter"),
    ("title_style", changed("faults", "fuse_open", title="Fuse open."), "fault fuse_open",
     "its title ends in a full stop"),
]  # fmt: skip

USE = [
    ("option_unused", added("options", HUM), "option hum", "no fault, test, circuit part or repair depends on it"),
    ("values_alike", _three_kinds, "option kind", "nothing differs between its values plain and odd"),
    ("in_no_build", both(
        added("options", replace(HUM, when={"kind": "fancy"})),
        added("tests", seen("howl", title="Howl", when={"hum": "high"}),
              seen("growl", title="Growl", when={"hum": "low", "kind": "plain"}))), "test growl",
     "no build has what its condition asks for: hum is low and kind is plain"),
    ("state_unused", lambda f: replace(f, states=(*f.states, replace(f.states[0], id="upside", title="Turned over"))),
     "state upside", "nothing is done in it"),
    ("zone_unused", added("zones", Zone("cellar", "Cellar", invented(0.0))), "zone cellar", "nothing is done in it"),
    ("part_unused", added("parts", ReplaceablePart("cord", "Cord", invented(9.0))), "part cord", "no repair takes it"),
    ("closing_check_unused", added("closings", Closing("clean", "It is clean.")), "closing check clean",
     "no repair names it"),
    ("accepted_matches_nothing", _accepting("zone_unused", "zone cellar"), "accepted zone_unused of zone cellar",
     "the review finds nothing of that rule and record"),
    ("accepted_matches_nothing", _accepting("zone_unusd", "zone cellar"), "accepted zone_unusd of zone cellar",
     r"there is no rule 'zone_unusd'; did you mean 'zone_unused'\?"),
    ("accepted_matches_nothing", _accepting("no_basis", "zone inside"), "accepted no_basis of zone inside",
     "an error cannot be accepted"),
    ("accepted_without_reason", both(
        added("zones", Zone("cellar", "Cellar", invented(0.0))), _accepting("zone_unused", "zone cellar", " ")),
     "accepted zone_unused of zone cellar", "it gives no reason"),
]  # fmt: skip

CASES = [*NUMBERS, *SAFETY, *WORDS, *USE]


def test_a_sound_family_is_clean():
    assert found(lantern()) == []
    assert review_family(lantern()).verdict == "clean"


@pytest.mark.parametrize(("rule", "change", "record", "message"), CASES, ids=[f"{c[0]}-{c[2]}" for c in CASES])
def test_a_rule_is_found_where_it_is_broken_and_nothing_else_is(rule, change, record, message):
    (only,) = found(change(lantern()))
    assert only[:2] == (rule, record)
    assert re.search(message, only[2]), only[2]


def test_what_differs_on_purpose_is_no_slip():
    """Two sides, numbers, plurals and other words are other things."""
    twins = [("stain_left", "Stain left of the lamp"), ("stain_right", "Stain right of the lamp"),
             ("leg_1", "Leg 1 of the lamp"), ("leg_2", "Leg 2 of the lamp"),
             ("shade_edge", "Edge of the shade of paper"), ("shade_edges", "Rims of that shade of glass")]  # fmt: skip
    tests = [seen(name, title=title) for name, title in twins]
    assert found(added("tests", *tests)(lantern())) == []


def test_one_title_may_stand_on_records_that_no_build_has_both_of():
    plain, fancy = (seen(f"shade_of_{kind}", title="Shade", when={"kind": kind}) for kind in ("plain", "fancy"))
    assert found(added("tests", plain, fancy)(lantern())) == []
    both_have_it = added("tests", replace(plain, when={}), fancy)(lantern())
    assert [rule for rule, _, _ in found(both_have_it)] == ["same_title"]


def test_a_look_from_outside_has_the_cautions_of_its_state():
    assert found(changed("tests", "glow", cautions=(), zone="outside")(lantern())) == []
    inside = both(changed("tests", "glow", zone="inside"), changed("zones", "inside", cautions=()))(lantern())
    assert [rule for rule, _, _ in found(inside)] == ["work_without_cautions"]


def test_a_reported_test_needs_no_cautions_and_no_steps():
    told = seen("told", title="What the customer tells", reported=True, states=("live",))
    question = Question("told", "Was it dark?", (
        Answer("yes", "Yes.", seen={"told": "black"}), Answer("no", "No.", seen={"told": "clear"})), "It tells.")
    assert found(both(added("tests", told), added("questions", question))(lantern())) == []


def test_an_option_that_only_an_unused_option_depends_on_is_unused():
    inner = replace(HUM, id="pitch", title="Pitch", when={"hum": "low"})
    assert found(added("options", HUM, inner)(lantern())) == [
        ("option_unused", f"option {name}", "no fault, test, circuit part or repair depends on it")
        for name in ("hum", "pitch")
    ]


def test_the_numbers_are_told_by_kind_of_record_and_leave_a_pack_clean():
    review = review_family(lantern())
    (only,) = review.remarks
    assert (only.severity, only.rule, only.record) == ("note", "weak_basis", "family")
    assert only.message.startswith("76 of 76 figures are from memory or invented: 25 of tests, 12 of circuits")
    assert review_family(real(lantern())).remarks == ()


def test_circuits_unlike_the_lanterns_need_no_more_than_they_have():
    """A bond to the reference carries nothing and says where 0 V is."""
    bond = Part("bond", "neutral", "earth", wiring().parts[2].law)
    bonded = circuit(reference="earth", parts=(*wiring().parts, bond))
    assert found(bonded(lantern())) == []


@pytest.mark.parametrize(
    ("raised", "repair"),
    [({"seen": {"glass": ("black",)}}, "replace_bulb"), ({"above": {"warmth": invented(65.0)}}, "straighten_shade")],
    ids=["seen", "read"],
)  # fmt: skip
def test_a_repair_of_what_a_look_or_a_reading_raises_a_hazard_for_needs_closing_checks(raised, repair):
    def told(**fields):
        change = both(changed("repairs", repair, closing_checks=()), changed("interlocks", "burning", **fields))
        rule = "hazardous_repair_without_closing_checks"
        return [record for of, record, _ in found(change(lantern())) if of == rule]

    assert told(complaints=(), above={"warmth": invented(90.0)}) == []
    assert told(**({"complaints": (), "above": {}} | raised)) == [f"repair {repair}"]
