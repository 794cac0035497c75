"""Whether functions, complaints and tests of a family hold together."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from probewright.figures import exactly, invented
from probewright.packs.model import (
    Complaint,
    Function,
    Limit,
    Stated,
    Through,
)
from support.slips import (
    HALF,
    OHMS,
    change_named,
    model,
    requires,
    swap_first,
    test,
    told_of,
)

BROKEN = {
    # functions and complaints
    "requirement circuit": (lambda f: requires(f, circuit="lmp"), r"requirement: circuit 'lmp' does not exist"),
    "requirement part": (
        lambda f: requires(f, of="filment"),
        r"requirement: part of circuit 'lamp' 'filment' does not",
    ),
    "requirement command": (lambda f: requires(f, command="onn"), r"requirement: command 'onn' does not exist"),
    "requirement state": (lambda f: requires(f, state="lve"), r"requirement: state 'lve' does not exist"),
    "requirement without a limit": (lambda f: requires(f, at_least=None), r"needs either at_least or at_most"),
    "requirement of two limits": (lambda f: requires(f, at_most=OHMS), r"needs either at_least or at_most"),
    "requirement dead": (
        lambda f: requires(f, state="isolated"),
        r"state 'isolated' has no power, so it can never be met",
    ),
    "fails with": (
        lambda f: swap_first(f, "functions", fails_with={"x": HALF}), r"fails_with: fault 'x' does not exist",
    ),
    "fails anyway": (lambda f: swap_first(f, "functions", fails_anyway=invented(2)), r"fails_anyway is 2.0"),
    "function of nothing": (
        lambda f: replace(f, functions=(*f.functions, Function("spins", "Spins"))),
        r"function spins: needs a requirement or a fault that defeats it",
    ),
    "complaint function": (lambda f: swap_first(f, "complaints", function="light"), r"function 'light' does not exist"),
    "if_failed alone": (
        lambda f: swap_first(f, "complaints", function=None), r"function and if_failed are given together",
    ),
    "backwards": (
        lambda f: swap_first(f, "complaints", if_failed=invented(0.001)), r"if_failed must be greater than if_working",
    ),
    "says nothing": (
        lambda f: replace(f, complaints=(*f.complaints, Complaint("hums", "Hums", HALF))),
        r"complaint hums: says nothing",
    ),
    "shown_by": (
        lambda f: change_named(f, "complaints", "flickers", shown_by={"filament_weak": invented(-0.1)}),
        r"complaint flickers: shown_by\['filament_weak'\] is -0.1",
    ),
    # tests
    "kind": (lambda f: test(f, "glow", kind="smell"), r"test glow: kind 'smell' is none of"),
    "zone": (
        lambda f: test(f, "glow", zone="outsde"),
        r"test glow: zone 'outsde' does not exist; did you mean 'outside'",
    ),
    "command": (lambda f: test(f, "glow", command="onn"), r"test glow: command 'onn' does not exist"),
    "minutes": (lambda f: test(f, "glow", minutes=invented(-1)), r"test glow: minutes is negative"),
    "unit of seen": (lambda f: test(f, "glow", unit="A"), r"test glow: a test of kind seen has no unit"),
    "one outcome": (lambda f: test(f, "glow", outcomes=("bright",)), r"test glow: needs at least two outcomes"),
    "outcome twice": (
        lambda f: test(f, "glow", outcomes=("dim", "dim", "none", "bright")),
        r"outcome dim: the id is used 2",
    ),
    "outcomes of a number": (
        lambda f: test(f, "supply", outcomes=("a", "b")),
        r"a test of kind voltage has no outcomes",
    ),
    "no unit": (lambda f: test(f, "supply", unit=None), r"test supply: needs a unit, one of: .*\bV\b"),
    "unknown unit": (lambda f: test(f, "supply", unit="Vlt"), r"test supply: unit: unknown unit 'Vlt'"),
    "wrong unit": (lambda f: test(f, "supply", unit="A"), r"test supply: unit: 'A' is a unit of current"),
    "no state": (lambda f: test(f, "glow", states=()), r"test glow: needs at least one state"),
    "unknown state": (lambda f: test(f, "glow", states=("alive",)), r"test glow: state 'alive' does not exist"),
    "ohms under power": (
        lambda f: test(f, "lamp_resistance", states=("isolated", "live")),
        r"a resistance test is never done under power, as in 'live'",
    ),
    "live without caution": (
        lambda f: test(f, "supply", cautions=()), r"test supply: is done under power, so it needs cautions",
    ),
    "need": (
        lambda f: test(f, "supply", needs=("ambeint",)),
        r"condition 'ambeint' does not exist; did you mean 'ambient'",
    ),
    "measures": (
        lambda f: test(f, "lamp_current", measures="supply_voltage"),
        r"measures may only be 'supply_voltage'",
    ),
    "no limit": (lambda f: test(f, "supply", limits=(Limit(),)), r"test supply: limit: has neither low nor high"),
    "crossed limit": (
        lambda f: test(f, "supply", limits=(Limit(invented(2), invented(1)),)), r"low \(2.0\) is above high \(1.0\)",
    ),
    "limit of seen": (lambda f: test(f, "glow", limits=(Limit(invented(2)),)), r"a test of kind seen has no limits"),
    "no model": (lambda f: test(f, "glow", models=()), r"test glow: has no model"),
    "model of another kind": (
        lambda f: test(f, "glow", models=(Through("lamp", "filament"),)),
        r"Through models tests of kind current, not seen",
    ),
    # models
    "between circuit": (lambda f: model(f, "supply", circuit="lmp"), r"models\[0\]: circuit 'lmp' does not exist"),
    "between node": (lambda f: model(f, "supply", plus="lne"), r"node of circuit 'lamp' 'lne' does not exist; did"),
    "between one node": (lambda f: model(f, "supply", plus="neutral"), r"both probes are on one node"),
    "apart": (
        lambda f: model(f, "lamp_resistance", apart=("bnd",)),
        r"apart: part of circuit 'lamp' 'bnd' does not exist",
    ),
    "through": (lambda f: model(f, "lamp_current", part="filment"), r"part of circuit 'lamp' 'filment' does not exist"),
    "shows edges": (lambda f: model(f, "glow", edges=(OHMS,)), r"1 edges part 2 outcomes, not 3"),
    "shows not all": (
        lambda f: test(f, "glow", outcomes=("bright", "flickers", "dim", "none")), r"no band shows 'flickers'",
    ),
    "shows twice": (lambda f: model(f, "glow", outcomes=("none", "dim", "none")), r"one outcome has two bands"),
    "beeper outcomes": (
        lambda f: test(f, "lamp_resistance", kind="continuity", unit=None, outcomes=("beeps", "silent")),
        r"models\[0\]: a beeper between two nodes tells two outcomes, 'closed' and 'open', the healthy one first; not "
        r"'beeps', 'silent'",
    ),
    "beeper with a third outcome": (
        lambda f: test(f, "lamp_resistance", kind="continuity", unit=None, outcomes=("closed", "open", "wavers")),
        r"not 'closed', 'open', 'wavers'",
    ),
    "shows order": (
        lambda f: model(f, "glow", edges=(exactly(invented(2)), exactly(invented(1)))), r"edges must rise",
    ),
    "shows outcome": (lambda f: model(f, "glow", outcomes=("none", "dim", "brite")), r"outcome 'brite' does not exist"),
    "stated fault": (lambda f: model(f, "warmth", by_fault={"x": OHMS}), r"by_fault: fault 'x' does not exist"),
    "stated set point": (lambda f: test(f, "warmth", needs=()), r"is relative to set_point, so the test must need it"),
    "stated relative": (
        lambda f: test(f, "supply", models=(Stated(OHMS, relative_to="ambient"),)),
        r"relative_to 'ambient' is for temp",
    ),
    "table sum": (
        lambda f: model(f, "glass", healthy={"whole": HALF, "cracked": invented(0.4)}),
        r"healthy: the probabilities add up to 0.9, not 1",
    ),
    "table outcome": (
        lambda f: model(f, "glass", healthy={"whole": HALF, "craked": HALF}), r"outcome 'craked' does not exist",
    ),
    "table chance": (
        lambda f: model(f, "glass", healthy={"whole": invented(1.5), "cracked": invented(-0.5)}),
        r"healthy: whole is 1.5",
    ),
    "table fault": (
        lambda f: model(f, "glass", by_fault={"x": {"whole": invented(1)}}), r"by_fault: fault 'x' does not exist",
    ),
    "table without": (
        lambda f: model(f, "glass", without=((f.functions[0].requires[0], "gone"),)),
        r"without: outcome 'gone' does not",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", BROKEN)
def test_broken_families_are_named(family, name):
    break_it, message = BROKEN[name]
    told = told_of(break_it(family))
    assert re.search(message, told), told


