"""Rules of what the compiled model reveals, and of circuits: one change, and nothing else is found."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from probewright.circuit.laws import Resistance
from probewright.circuit.parts import Circuit, Drift, Leak, Open, Part, Stuck, Switch
from probewright.figures import invented
from probewright.packs.model import Between, Closing, Complaint, Fault, Option, OptionValue
from probewright.review.catalogue import RULES
from probewright.review.findings import review_family
from review import test_refusals, test_rules_of_records
from support.breaking import added, both, changed, changes, circuit, found, model, parts, seen, table, without
from support.lantern import TESTS, lantern, likely, near, wiring

BLACK = likely(clear=0.3, black=0.6, cracked=0.1)
CURRENT = next(test for test in TESTS if test.id == "lamp_current")
OHMS = next(test for test in TESTS if test.id == "filament_resistance")
*BEFORE, FUSE, PLAIN, FANCY = wiring().parts


def _volts(name: str, title: str, nodes: tuple[str, str], command: str, measures: str | None = None):
    """A voltage in the circuit of the bell."""
    return replace(
        CURRENT, id=name, title=title, models=(Between("bell", *nodes),), kind="voltage", unit="V", command=command,
        limits=(), measures=measures,
    )  # fmt: skip


BELL = Circuit(
    "bell", "neutral",
    (replace(BEFORE[0], id="battery"), Switch("button", "line", "ding", ("ring",), near(0.1)),
     Part("coil", "ding", "neutral", Resistance(near(10.0)))),
    {"fuse_open": (Open("coil"), Stuck("button", "open"))}, invented(60.0),
)  # fmt: skip

REVEALING = [
    ("hidden_fault", both(
        added("faults", Fault("base_rusty", "Base rusty", invented(0.01))), changes(base_rusty=(
            Drift("fuse", near(1.001)),)),
        changed("repairs", "replace_fuse", cures=likely(fuse_open=1.0, base_rusty=1.0))), "fault base_rusty",
     "no complaint and no test reveals it"),
    ("fault_no_test_shows", both(
        added("faults", Fault("hinge_loose", "Hinge loose", invented(0.01))),
        added("complaints", Complaint("rattles", "It rattles", invented(0.001), shown_by=likely(hinge_loose=0.8))),
        changed("repairs", "straighten_shade", cures=likely(shade_crooked=0.9, hinge_loose=0.9))), "fault hinge_loose",
     "complaints point to it, but no test shows it"),
    ("fault_no_complaint_shows", both(
        added("faults", Fault("glass_cracked", "Glass cracked", invented(0.01))),
        model("glass", by_fault={"filament_open": BLACK, "glass_cracked": likely(cracked=1.0)}),
        changed("repairs", "replace_bulb", cures=likely(filament_open=1.0, filament_weak=1.0, glass_cracked=1.0))),
     "fault glass_cracked", "tests show it, but no complaint is made for it"),
    ("fault_without_repair", changed("repairs", "replace_bulb", cures=likely(filament_open=1.0)), "fault filament_weak",
     "no repair cures it"),
    ("fault_without_repair", changed("repairs", "replace_bulb", when={"kind": "plain"}), "fault filament_open",
     "no repair cures it, where kind is fancy"),
    ("fault_handed_over", both(
        without("repairs", "straighten_shade"), changed("repairs", "replace_fuse", closing_checks=("lit", "cool"))),
     "fault shade_crooked", "no repair cures it"),
    ("complaint_nothing_explains", added("complaints", Complaint(
        "ugly", "It is ugly", invented(0.1), shown_by=likely(fuse_open=0.001))), "complaint ugly",
     "no fault explains it"),
    ("faults_alike", without("tests", "filament_resistance", "glass"), "faults fuse_open and filament_open",
     "no test tells the two apart"),
    ("faults_alike_in_rare_builds", both(
        lambda f: replace(f, options=(replace(f.options[0], values=(
            *f.options[0].values[:1], replace(f.options[0].values[1], share=invented(0.29)),
            OptionValue("sealed", "Sealed", invented(0.01)))),)),
        circuit(parts=(*BEFORE, FUSE, PLAIN, FANCY, replace(PLAIN, when={"kind": "sealed"}))),
        changed("tests", "filament_resistance", when={"kind": ("plain", "fancy")}),
        changed("tests", "glass", when={"kind": ("plain", "fancy")})), "faults fuse_open and filament_open",
     "no test tells the two apart, where kind is sealed"),
    ("test_decides_nothing", added("tests", seen("colour", title="Colour", models=(table(),))), "test colour",
     "it shows the same, within 5 %, whatever repair is needed"),
]  # fmt: skip

CIRCUITS = [
    ("part_in_no_loop", parts(Part("whisker", "fed", "nowhere", Resistance(near(5.0)))), "circuit lamp: part whisker",
     r"no loop leads through it \(fed to nowhere\) under any command, and no test reads across it"),
    ("part_in_no_loop", parts(Switch("timer", "line", "later", ("on",), near(0.1)),
                              Switch("delay", "later", "fed", ("off",), near(0.1))), "circuit lamp: switch timer", ""),
    ("nodes_not_connected", both(
        parts(*(Part(name, "east", "west", Resistance(near(5.0))) for name in ("ring", "band"))),
        added("tests", replace(OHMS, id="island", title="Island", models=(Between("lamp", "hot", "east"),),
                               closing=True)),
        added("closings", Closing("apart", "The ring is apart.", "island")),
        changed("repairs", "replace_fuse", closing_checks=("lit", "apart"))), "test island",
     "nothing joins hot and east of circuit lamp"),
    ("source_shorted", parts(Switch("bridge", "line", "neutral", ("on",), near(0.01))), "circuit lamp: source mains",
     r"with the control at on and nothing wrong it gives 1e\+04 A"),
    ("switch_never_closes", parts(Switch("spare", "line", "fed", (), near(0.1))), "circuit lamp: switch spare",
     "no command and no fault closes it"),
    ("change_of_nothing", both(
        circuit(parts=(*BEFORE, replace(FUSE, when={"kind": "fancy"}), replace(FUSE, id="link", when={"kind": "plain"}),
                       PLAIN, FANCY)),
        changed("faults", "fuse_open", when={"kind": "plain"}),
        changed("functions", "lights", fails_with=likely(fuse_open=1.0)),
        model("glass", by_fault={"filament_open": BLACK, "fuse_open": likely(clear=0.1, black=0.1, cracked=0.8)})),
     "circuit lamp: changes[fuse_open]", "open of fuse: no build with the fault has it"),
    ("change_nobody_reads", both(
        parts(Part("heater", "line", "neutral", Resistance(near(100.0)))), changes(shade_crooked=(Open("heater"),))),
     "circuit lamp: changes[shade_crooked]", "it changes nothing that a test or a function reads here"),
    ("command_no_switch_knows", both(
        added("circuits", BELL),
        added("tests", _volts("bell_volts", "Voltage at the bell", ("ding", "neutral"), "ring"),
              _volts("bell_supply", "Voltage of the battery", ("line", "neutral"), "on", "supply_voltage"))),
     "test bell_supply", "no switch of circuit bell knows its command 'on'"),
    ("nothing_at_off", both(
        added("circuits", replace(BELL, changes={
            "fuse_open": (Stuck("button", "closed"),), "filament_open": (Stuck("button", "open"),)})),
        added("tests", _volts("bell_volts", "Voltage at the bell", ("ding", "neutral"), "ring"),
              _volts("bell_feed", "Voltage at the coil", ("ding", "neutral"), "off"))), "test bell_feed",
     "a sound appliance shows nothing with the control at off"),
    ("circuit_unused", added("circuits", replace(wiring(), id="other", changes={})), "circuit other",
     "no test and no requirement reads it"),
]  # fmt: skip

CASES = [*REVEALING, *CIRCUITS]
#: Broken where laws and hooks fail, and where the command line plays jobs.
OF_HOSTILE_PACKS = {"cannot_be_compiled", "not_a_number", "hook_fails", "cannot_be_simulated"}


@pytest.mark.parametrize(("rule", "change", "record", "message"), CASES, ids=[f"{c[0]}-{c[2]}" for c in CASES])
def test_a_rule_is_found_where_it_is_broken_and_nothing_else_is(rule, change, record, message):
    found_ = found(change(lantern()))
    assert {of for of, _, _ in found_} == {rule}
    assert found_[0][1] == record
    assert re.search(message, found_[0][2]), found_[0][2]


def test_every_rule_is_broken_by_some_test():
    of_all = {case[0] for case in (*CASES, *test_rules_of_records.CASES)} | set(test_refusals.RULES_OF_LOADING)
    assert of_all | {"weak_basis", *OF_HOSTILE_PACKS} == set(RULES)


def test_a_node_with_a_slip_in_its_name_is_told_first_and_named():
    slipped = circuit(parts=tuple(
        replace(part, b="hott") if getattr(part, "b", None) == "hot" else part for part in wiring().parts
    ))  # fmt: skip
    first = review_family(slipped(lantern())).remarks[0]
    assert first.rule == "part_in_no_loop"
    assert first.hint == "Nothing else ends at hott: is it hot?"


def test_a_fault_that_joins_what_is_apart_joins_it_for_the_review_too():
    loose = parts(Part("shell", "case", "rim", Resistance(near(5.0))))
    assert [record for _, record, _ in found(loose(lantern()))] == ["circuit lamp: part shell"]
    leaking = circuit(
        parts=(*wiring().parts, Part("shell", "case", "rim", Resistance(near(5.0)))),
        changes={**wiring().changes, "shade_crooked": (Leak("fed", "case", near(1e3)), Leak("rim", "line", near(1e3)))},
    )  # fmt: skip
    assert {rule for rule, _, _ in found(leaking(lantern()))} == {"change_nobody_reads"}


def test_a_repair_that_cures_both_faults_needs_nothing_to_tell_them_apart():
    alike = without("tests", "filament_resistance", "glass")
    mended = changed("repairs", "replace_bulb", cures=likely(fuse_open=0.9, filament_open=1.0, filament_weak=1.0))
    assert [rule for rule, _, _ in found(alike(lantern()))] == ["faults_alike"]
    assert found(both(alike, mended)(lantern())) == []


def test_a_test_that_only_proves_work_tells_nothing_apart_in_time():
    alike = both(
        without("tests", "glass"), changed("tests", "filament_resistance", closing=True),
        added("closings", Closing("whole", "The filament is whole.", "filament_resistance")),
        changed("repairs", "replace_bulb", closing_checks=("lit", "whole")),
    )  # fmt: skip
    assert [rule for rule, _, _ in found(alike(lantern()))] == ["faults_alike"]


def test_a_build_that_is_too_rare_to_be_listed_is_looked_at_for_what_only_it_has():
    """Seven options of two values make 128 builds, of which 64 are listed; the fault is in the rarest of the others."""
    often = tuple(
        Option(f"extra_{i}", f"Extra {i}", (OptionValue("no", "No", invented(0.9)), OptionValue("yes", "Yes", invented(
            0.1)))) for i in range(7)
    )  # fmt: skip
    all_of_them = {option.id: "yes" for option in often}
    rusty = Fault("base_rusty", "Base rusty", invented(0.01), when=all_of_them)
    family = both(
        added("options", *often), added("faults", rusty),
        added("tests", *(seen(f"look_{o.id[-1]}", title=f"Look {o.id[-1]}", when={o.id: "yes"}) for o in often)),
        changed("repairs", "replace_fuse", cures=likely(fuse_open=1.0, base_rusty=1.0)), changes(base_rusty=(
            Drift("fuse", near(1.001)),)),
    )(lantern())  # fmt: skip
    assert found(family) == [("hidden_fault", "fault base_rusty", "no complaint and no test reveals it")]


def test_faults_that_nothing_cures_need_not_be_told_apart():
    alike = without("tests", "filament_resistance", "glass")
    uncured = both(alike, without("repairs", "replace_fuse"), changed(
        "repairs", "replace_bulb", cures=likely(filament_weak=1.0)))  # fmt: skip
    assert {rule for rule, _, _ in found(uncured(lantern()))} == {"fault_without_repair", "part_unused"}


def test_faults_that_a_complaint_tells_apart_are_told_apart():
    alike = without("tests", "filament_resistance", "glass")
    told = added("complaints", Complaint("pops", "It went out with a pop", invented(0.001),
                                         shown_by=likely(filament_open=0.7)))  # fmt: skip
    assert found(both(alike, told)(lantern())) == []


def test_three_faults_alike_are_one_finding():
    more = both(
        without("tests", "filament_resistance", "glass"),
        added("faults", Fault("knob_broken", "Knob broken", invented(0.01))), changes(knob_broken=(
            Stuck("knob", "open"),)),
        added("repairs", replace(lantern().repairs[0], id="mend_knob", title="Mend the knob", part=None,
                                 cures=likely(knob_broken=1.0), steps=("Push it home.",))),
    )  # fmt: skip
    (only,) = found(more(lantern()))
    assert only[:2] == ("faults_alike", "faults fuse_open, filament_open and knob_broken")
    assert only[2] == "no test tells any two of them apart"


def test_errors_come_first_and_notes_last():
    family = both(changed("tests", "supply", steps=()), changed("states", "live", steps=()))(lantern())
    assert [remark.severity for remark in review_family(family).remarks] == ["warning", "note", "note"]
