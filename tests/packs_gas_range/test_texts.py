"""What a technician is told: nothing live on a dead appliance, no gas where it is shut, no flame at a leak."""

from __future__ import annotations

import re

import pytest

from support.family_texts import badly_written, steps_without

#: What only an appliance with power can do, or what puts power on it.
NEEDS_POWER = re.compile(
    r"\bswitch(ed)? (it |them |the \w+ )?(back )?on\b|\bpower(ed)? (is |it )?(back )?(on|up|restored)\b"
    r"|\brestore (the )?power\b|\bplug (it |the \w+ )?(back )?in(to)?\b|\bplugged in\b|\benergi[sz]e"
    r"|\b(with|hold|have) (a|the|one|every|each) knob\b.*\bat light\b|\bknobs? (turned to|at) light\b"
    r"|\bset the oven to\b|\bset to (bake|broil)\b|\bcall(ed|s|ing)? for (bake|broil|heat)|\bwhile .* called for\b"
    r"|\bglow(s|ing)?\b|\bsparks\b|\bvolts?\b|\bvoltage stands\b|\bline voltage\b|\bmains reaches\b"
    r"|\b(prove|read|measure|check) (its |the )?(supply|voltage|current)\b|\bpress (a|the|each) key\b",
    re.IGNORECASE,
)
#: What needs gas, or lets it in.
NEEDS_GAS = re.compile(
    r"\bopen(s|ed|ing)? (up )?the gas\b|\bopen (it|the (appliance |gas |meter )*valve)\b|\bgas (is )?(back )?on\b"
    r"|\bturn(s|ed)? (the |on the )?gas (back )?on\b|\brestore (the )?gas\b|\blet (the )?(gas|air) (in|out)\b"
    r"|\b(lit|relit|relight|ignite)\b|\b(blue|yellow|steady|small) flames?\b"
    r"|\blight(s|ed|ing)? (up )?(a|an|the|one|each|every|all|another|it)\b"
    r"|\bleak solution\b|\bsmell again\b|\bmanifold pressure\b|\bgas pressure\b",
    re.IGNORECASE,
)

BAD_WITHOUT_POWER = [
    "Before ordering: prove its supply with a knob at light.",
    "Prove that line voltage reaches the module while the oven is called for.",
    "Switch it on and read the current.",
    "Hold one knob at light and look.",
    "Plug it in again and watch the display.",
    "Restore power and set the oven to bake.",
    "See that the igniter glows.",
    "Turn every knob and see that it sparks.",
    "Check the voltage at the board.",
    "Power it up once more.",
]
BAD_WITHOUT_GAS = [
    "Open the gas and check every joint that was touched.",
    "With every knob off, open the valve, and let air out at a burner.",
    "Set and prove the manifold pressure.",
    "Check every joint with leak solution, then smell again.",
    "Light one surface burner and read.",
    "Set the air shutters for a blue flame.",
    "Turn the gas on and watch.",
    "See that the burner is lit in time.",
]
GOOD_EITHER_WAY = [
    "Turn the knob of the burner in question to light, and read across its switch.",
    "Find the switch that is closed with its knob at off: read across one after the other.",
    "Set the hinges so that the door closes evenly.",
    "With the oven off, turn the lever in line with the pipe.",
    "Fit a valve for the same fuel, with sealant made for gas, and leave its joints bare until they have been checked.",
    "Look at tip, insulator and lead in good light.",
    "Compare the sizes stamped on the orifices with the rating plate.",
]


@pytest.mark.parametrize("text", BAD_WITHOUT_POWER)
def test_the_word_list_finds_what_needs_power(text):
    assert NEEDS_POWER.search(text)


@pytest.mark.parametrize("text", BAD_WITHOUT_GAS)
def test_the_word_list_finds_what_needs_gas(text):
    assert NEEDS_GAS.search(text)


@pytest.mark.parametrize("text", GOOD_EITHER_WAY)
def test_the_word_lists_leave_dead_work_alone(text):
    assert not NEEDS_POWER.search(text)
    assert not NEEDS_GAS.search(text)


def test_no_step_on_a_dead_appliance_needs_power(family):
    steps = list(steps_without(family, "powered"))
    assert len(steps) > 100
    assert [(name, step) for name, step in steps if NEEDS_POWER.search(step)] == []


def test_no_step_with_the_gas_shut_needs_gas(family):
    steps = list(steps_without(family, "gas_on"))
    assert len(steps) > 120
    assert [(name, step) for name, step in steps if NEEDS_GAS.search(step)] == []


def test_the_way_to_a_state_without_gas_never_lets_any_in(family):
    for state in family.states:
        text = " ".join(state.steps)
        assert ("Shut the gas" in text) is not state.gas_on
        assert bool(NEEDS_GAS.search(text)) is state.gas_on, state.id


def test_the_way_to_gas_smells_for_it_first_and_opens_it_before_the_power_is_on(family):
    (live,) = (state for state in family.states if state.gas_on)
    text = " ".join(live.steps)
    order = ("every knob to off", "Smell for gas", "open the gas", "leak solution", "Restore power")
    assert [text.index(words) for words in order] == sorted(text.index(words) for words in order)


def test_nothing_that_lights_a_burner_is_left_out_of_the_states_with_gas(family):
    """The counterpart: words that need gas do occur where there is gas, so that the lists are not blind."""
    with_gas = [t for t in family.tests if all(s.gas_on for s in family.states if s.id in t.states)]
    assert {t.id for t in with_gas if NEEDS_GAS.search(" ".join(t.steps))} >= {
        "manifold_pressure", "leak_check_solution", "bake_burner_lighting", "cooktop_pilot_flame",
    }  # fmt: skip


def test_no_repair_sends_back_to_testing(family):
    """What is proven before a part is bought is the planner's business; what is proven after, the closing checks'."""
    for repair in family.repairs:
        assert not re.search(r"\border(ing|ed)?\b|\bbefore (buying|fitting)\b", " ".join(repair.steps)), repair.id


def test_leaks_are_never_looked_for_with_a_flame(family):
    (check,) = (test for test in family.tests if test.id == "leak_check_solution")
    assert any("flame" in caution and "Never" in caution for caution in check.cautions)
    steps = " ".join(check.steps)
    assert steps.index("burner off") < steps.index("first bubble") < steps.index("light a burner")
    (tight,) = (closing for closing in family.closings if closing.id == "joints_tight")
    assert "leak solution" in tight.text
    assert "flame is never" in tight.text
    for record in (*family.tests, *family.repairs):
        words = " ".join(record.steps)
        assert not re.search(r"\b(match|lighter|candle|flame)\b.*\bleak", words), record.id


def test_covers_come_back_before_an_oven_is_fired(family):
    """Tests that fire an oven whose cavity may be open say what goes back first."""
    for test in family.tests:
        fires = test.command == "bake" and test.kind in ("temperature", "concentration")
        if fires or test.id.endswith("_burner_lighting"):
            assert re.match(r"Put (back|the oven together)", test.steps[0]), test.id


def test_what_was_seen_on_arrival_is_not_asked_for_after_it_was_moved(family):
    zones = {zone.id: " ".join(zone.steps) for zone in family.zones}
    assert "note how each burner's head and cap sits" in zones["cooktop"]
    shut = [state for state in family.states if not state.gas_on]
    assert all("noting how it stood" in " ".join(state.steps) for state in shut)


def test_every_text_is_filled_in_and_closed(family):
    for record in (*family.tests, *family.repairs):
        assert record.steps, record.id
    assert badly_written(family) == []
