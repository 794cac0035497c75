"""What a technician is told: nothing live on a dead range, no knob for a breaker, every sentence closed."""

from __future__ import annotations

import re

import pytest

from support.family_texts import badly_written, sentences, steps_without

#: What only an appliance with power can do, or what puts power on it.
NEEDS_POWER = re.compile(
    r"\bpower(ed)? (is |it )?(back )?(on|up|restored)\b|\brestore (the )?power\b"
    r"|\bplug (it |the \w+ )?(back )?in(to)?\b|\benergi[sz]e|\bset the oven\b"
    r"|\bset (it|them|the \w+|one after the other) to (bake|broil|high)\b"
    r"|\bcall(ed|s|ing)? for (bake|broil|heat)|\bglow(s|ing)?\b|\bgoes off and on\b"
    r"|\b(prove|read|measure|check) (its |the )?(voltage|current)\b|\bclip (across|from|behind|on)\b"
    r"|\bclamp around\b|\bpress (a|the|each) key\b|\bcleaning cycle\b",
    re.IGNORECASE,
)
BAD_WITHOUT_POWER = [
    "Restore power and set the oven to bake.",
    "Clip across the two ends of the element, and read.",
    "With the clamp around the wire, read.",
    "See that all of it glows.",
    "Plug it in again and watch the display.",
    "Set the unit to high and read.",
    "Start the cleaning cycle.",
    "Measure the voltage at the block.",
    "Call for bake, and look.",
    "Power it up once more.",
]
GOOD_DEAD = [
    "Pull one lead off the part, so that nothing else reads in parallel.",
    "Turn the latch's cam by hand through its whole way.",
    "With the range unplugged, read from the ground pin of its plug to bare metal of the chassis.",
    "Prove both its ends dead against the chassis and against each other before they are touched.",
]


@pytest.mark.parametrize("text", BAD_WITHOUT_POWER)
def test_the_word_list_finds_what_needs_power(text):
    assert NEEDS_POWER.search(text)


@pytest.mark.parametrize("text", GOOD_DEAD)
def test_the_word_list_leaves_dead_work_alone(text):
    assert not NEEDS_POWER.search(text)


#: Done in whatever state the range is in.
ANYWHERE = {"covers_and_anti_tip"}


def test_no_step_on_a_dead_range_needs_power(family):
    steps = [(name, step) for name, step in steps_without(family, "powered") if name not in ANYWHERE]
    assert len(steps) > 90
    assert [(name, step) for name, step in steps if NEEDS_POWER.search(step)] == []


def test_words_that_need_power_do_occur_where_there_is_power(family):
    """The counterpart, so that the list is not blind."""
    powered = {state.id for state in family.states if state.powered}
    live = [test for test in family.tests if set(test.states) <= powered]
    found = {test.id for test in live if NEEDS_POWER.search(" ".join(test.steps))}
    assert found >= {"bake_element_voltage", "bake_glow", "surface_unit_glow", "bake_element_current",
                     "latch_motor_voltage", "leg_one_to_chassis_under_load", "display_error"}  # fmt: skip


def test_a_command_is_undone_where_nothing_else_is_said(family):
    """Whoever looks at heat switches it off again; live readings end with the power off."""
    (live,) = (state for state in family.states if state.id == "powered")
    assert any("switch off before moving" in step for step in live.steps)
    for test in family.tests:
        if test.command != "off" and "in_use" in test.states and test.kind == "seen" and not test.closing:
            words = " ".join(test.steps).lower()
            assert re.search(r"\bto off\b|\bswitch|\bbreaker off\b|until it says|power", words), test.id


def test_currents_and_voltages_say_that_a_closed_panel_is_left_with_clips(family):
    for test in (t for t in family.tests if t.kind in ("voltage", "current")):
        words = " ".join(test.steps)
        assert re.search(r"\b[Cc]lip|\bclamp\b|\bRead between\b", words), test.id


def test_never_on_a_hot_or_cracked_top(family):
    locks = {c.id: c for c in family.complaints}
    assert any("Do not switch" in caution for caution in locks["glass_cracked"].cautions)
    for test in (t for t in family.tests if t.zone == "unit_well"):
        assert any("burn" in caution.lower() or "Mains" in caution for caution in (*test.cautions, *zone(family, test)))


def zone(family, test):
    return next(z.cautions for z in family.zones if z.id == test.zone)


def test_a_range_that_was_pulled_out_is_hooked_in_again(family):
    (rear,) = (z for z in family.zones if z.id == "rear_panel")
    assert any("anti-tip" in caution for caution in rear.cautions)
    (covers,) = (c for c in family.closings if c.id == "covers_on")
    assert "anti-tip" in covers.text


def test_no_repair_sends_back_to_testing(family):
    """What is proven before a part is bought is the planner's business; what is proven after, the closing checks'."""
    for repair in family.repairs:
        assert not re.search(r"\border(ing|ed)?\b|\bbefore (buying|fitting)\b", " ".join(repair.steps)), repair.id


def test_every_text_is_filled_in_and_closed(family):
    for record in (*family.tests, *family.repairs):
        assert record.steps, record.id
    assert badly_written(family) == []
    assert max(len(text) for _, text in sentences(family)) < 230
