"""What a technician is told: nothing live on a dead dryer, no gas where it is shut, and nothing ever bridged."""

from __future__ import annotations

import re

import pytest

from support.family_texts import badly_written, sentences, steps_without

#: What only a dryer with power can do, or what puts power on it.
NEEDS_POWER = re.compile(
    r"\bswitch(ed)? (it |them |the \w+ )?(back )?on\b|\brestore (the )?power\b|\bplug (it |the \w+ )?(back )?in\b"
    r"|\bstart (a|the) (heat )?cycle\b|\blet it run\b|\bset a (heat )?cycle\b|\bwhile it (heats|runs|burns)\b"
    r"|\bglow(s|ing)?\b|(?<!watts and )\bvolts?\b|\bpress start\b|\bcalls? for heat\b",
    re.IGNORECASE,
)
#: What needs gas, or lets it in.
NEEDS_GAS = re.compile(
    r"\bopen the gas\b|\bopen (it|the (appliance |gas |meter )*valve)\b|\bgas (is )?(back )?on\b|\bleak solution\b"
    r"|\bsmell again\b|\b(blue|yellow|steady) flames?\b|\bthe burner burns\b|\bmanifold pressure\b",
    re.IGNORECASE,
)
BAD_WITHOUT_POWER = [
    "Switch it on and read the current.", "Restore power and start a heat cycle.", "See that the igniter glows.",
    "Let it run for a minute.", "Read the voltage while it heats.", "Watch three calls for heat.",
]  # fmt: skip
BAD_WITHOUT_GAS = [
    "Open the gas and check every joint.", "Set the shutter for a blue flame.", "Check the joints with leak solution.",
    "Read once the burner burns.",
]  # fmt: skip
#: Steps of dead work that name what has to be seen once it is put back into use.
AFTERWARDS = {"replace_valve_coils", "clean_burner_air", "open_gas_supply", "valve_secondary_resistance_hot"}


@pytest.mark.parametrize("text", BAD_WITHOUT_POWER)
def test_the_word_list_finds_what_needs_power(text):
    assert NEEDS_POWER.search(text)


@pytest.mark.parametrize("text", BAD_WITHOUT_GAS)
def test_the_word_list_finds_what_needs_gas(text):
    assert NEEDS_GAS.search(text)


def test_no_step_on_a_dead_dryer_needs_power(family):
    steps = [(name, step) for name, step in steps_without(family, "powered") if name not in AFTERWARDS]
    dead = {state.id for state in family.states if not state.powered}
    live = {t.id for t in family.tests if not dead >= set(t.states)}
    assert len(steps) > 150
    assert [(name, step) for name, step in steps if name not in live and NEEDS_POWER.search(step)] == []


def test_no_step_with_the_gas_shut_needs_gas(family):
    steps = [(name, step) for name, step in steps_without(family, "gas_on") if name not in AFTERWARDS]
    assert len(steps) > 200
    assert [(name, step) for name, step in steps if NEEDS_GAS.search(step)] == []


def test_the_way_to_a_state_without_gas_shuts_it_and_the_way_to_gas_smells_first(family):
    for state in family.states:
        assert ("shut the gas" in " ".join(state.steps)) is not state.gas_on, state.id
    (running,) = (state for state in family.states if state.gas_on)
    text = " ".join(running.steps)
    order = ("Put back every panel", "smell for gas", "open the gas", "leak solution", "Restore power")
    assert [text.index(words) for words in order] == sorted(text.index(words) for words in order)


def test_live_readings_are_clipped_on_dead_and_end_at_off(family):
    (powered,) = (state for state in family.states if state.powered and not state.gas_on)
    text = " ".join(powered.steps)
    assert text.index("shut the gas") < text.index("clip the probes") < text.index("Switch on")
    assert "hands clear" in text
    assert "drum is empty" in text


def test_every_live_reading_warns_of_mains_and_of_what_moves(family):
    for test in (t for t in family.tests if t.kind in ("voltage", "current")):
        assert test.states == ("powered",), test.id
        cautions = " ".join(test.cautions)
        assert "Mains" in cautions, test.id
        if test.command != "off":
            assert "Drum" in cautions or test.id == "block_voltage_under_load", test.id


def test_every_state_with_power_warns_of_the_leg_that_stays_live_or_of_heat_without_turning(family):
    cautions = {state.id: " ".join(state.cautions) for state in family.states}
    assert "leg stays live" in cautions["isolated"]
    assert "leg stays live" in cautions["powered"]
    assert "drum stands" in cautions["running"]


def test_nothing_is_ever_bridged(family):
    """Every sentence that speaks of bridging a switch or a cut-off forbids it, or takes the bridge off."""
    spoken = [text for _, text in sentences(family) if re.search(r"\bbridg", text, re.IGNORECASE)]
    assert len(spoken) >= 10
    for text in spoken:
        assert re.search(r"\b[Nn]ever\b|[Tt]ake (the|any) bridge|bridge that somebody|any bridge|bridge between bars"
                         r"|break or the bridge|bridged switch is taken off", text), text  # fmt: skip


def test_a_new_cutoff_or_fuse_is_never_fitted_without_the_cause(family):
    for repair in family.repairs:
        if repair.part in ("thermal_cutoff", "thermal_fuse"):
            assert "blows by heat" in " ".join(repair.steps), repair.id
            assert "vent_free" in repair.closing_checks, repair.id


def test_plastic_and_crushed_ducts_are_replaced(family):
    vents = [r for r in family.repairs if "vent" in r.zones]
    assert len(vents) == 5
    for repair in vents:
        assert re.search(r"plastic or (of )?thin foil", " ".join(repair.steps)), repair.id
        assert "smooth metal duct" in " ".join(repair.steps)


def test_leaks_are_never_looked_for_with_a_flame(family):
    (check,) = (test for test in family.tests if test.id == "leak_check_solution")
    assert any("flame" in caution and "Never" in caution for caution in check.cautions)
    (tight,) = (closing for closing in family.closings if closing.id == "joints_tight")
    assert "flame is never" in tight.text


def test_no_repair_sends_back_to_testing(family):
    for repair in family.repairs:
        assert not re.search(r"\border(ing|ed)?\b|\bbefore (buying|fitting)\b", " ".join(repair.steps)), repair.id


def test_every_text_is_filled_in_and_closed(family):
    for record in (*family.tests, *family.repairs):
        assert record.steps, record.id
    assert badly_written(family) == []
