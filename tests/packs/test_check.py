from __future__ import annotations

import re
from dataclasses import dataclass, replace

import pytest

from probewright.circuit.laws import Resistance
from probewright.circuit.parts import Contact, Drift, Leak, Level, Open, Part, Short, Source, Stuck, Swap, Switch
from probewright.errors import PackModelError
from probewright.figures import exactly, invented, log_normal, normal, uniform
from probewright.packs.check import check_family
from probewright.packs.loader import load_packs
from probewright.packs.model import (
    Between,
    Complaint,
    Fault,
    Function,
    Interlock,
    Limit,
    Option,
    OptionValue,
    Shows,
    Stated,
    Table,
    Test,
    Through,
)

HALF = invented(0.5)
OHMS = uniform(invented(1), invented(2))


def swap_first(family, field, **changes):
    """The family with its first record of a kind changed."""
    first, *rest = getattr(family, field)
    return replace(family, **{field: (replace(first, **changes), *rest)})


def change_named(family, field, name, **changes):
    records = tuple(replace(r, **changes) if r.id == name else r for r in getattr(family, field))
    return replace(family, **{field: records})


def shares(family, plain, fancy):
    values = (OptionValue("plain", "P", invented(plain)), OptionValue("fancy", "F", invented(fancy)))
    return swap_first(family, "options", values=values)


def circuit(family, **changes):
    return swap_first(family, "circuits", **changes)


def parts(family, *more):
    return circuit(family, parts=(*family.circuits[0].parts, *more))


def changed_by(family, change):
    return circuit(family, changes={**family.circuits[0].changes, "filament_open": (change,)})


def test(family, name, **changes):
    return change_named(family, "tests", name, **changes)


test.__test__ = False


def model(family, name, **changes):
    (old,) = next(t for t in family.tests if t.id == name).models
    return test(family, name, models=(replace(old, **changes),))


def requires(family, **changes):
    (old,) = family.functions[0].requires
    return swap_first(family, "functions", requires=(replace(old, **changes),))


BROKEN = {
    # ids
    "family id": (lambda f: replace(f, id="Lamp 1"), r"family 'Lamp 1': an id is written in snake_case"),
    "snake case": (lambda f: swap_first(f, "zones", id="Out-side"), r"zone 'Out-side': an id is written in snake_case"),
    "twice": (lambda f: replace(f, zones=(*f.zones, f.zones[0])), r"zone outside: the id is used 2 times"),
    "value twice": (
        lambda f: swap_first(f, "options", values=(OptionValue("a", "A", HALF), OptionValue("a", "A", HALF))),
        r"option kind: value a: the id is used 2 times",
    ),
    "no tests": (lambda f: replace(f, tests=()), r"family: needs at least one test"),
    "empty notice": (lambda f: replace(f, notice=" "), r"family: notice is empty"),
    "nominal": (lambda f: replace(f, supply=replace(f.supply, nominal=invented(0))), r"supply: the nominal voltage"),
    "unknown rate": (lambda f: replace(f, unknown_rate=invented(0)), r"unknown_rate is 0.0; it must lie strictly"),
    "costs": (lambda f: replace(f, costs=replace(f.costs, callback=invented(-1))), r"costs: callback is negative"),
    "price": (lambda f: swap_first(f, "parts", price=invented(-1)), r"part bulb: price is negative"),
    # closing checks
    "test of a closing check": (
        lambda f: swap_first(f, "closings", test="glw"),
        r"closing check lit: test 'glw' does not exist; did you mean 'glow'\?",
    ),
    "what passes without a test": (
        lambda f: swap_first(f, "closings", test=None, passes=("bright",)),
        r"closing check lit: has limits or outcomes that pass, but no test",
    ),
    "what passes": (
        lambda f: swap_first(f, "closings", passes=("brite",)),
        r"closing check lit: passes: outcome of test 'glow' 'brite' does not exist; did you mean 'bright'\?",
    ),
    "a check that cannot fail": (
        lambda f: swap_first(f, "closings", passes=("bright", "dim", "none")),
        r"closing check lit: passes whatever test 'glow' shows",
    ),
    "limits of what is seen": (
        lambda f: swap_first(f, "closings", limits=(Limit(HALF),)),
        r"closing check lit: limit: a test of kind seen has no limits",
    ),
    "crossed limits of a closing check": (
        lambda f: swap_first(f, "closings", test="lamp_current", limits=(Limit(invented(2), HALF),)),
        r"closing check lit: limit: low \(2.0\) is above high \(0.5\)",
    ),
    "a closing test that closes nothing": (
        lambda f: test(f, "lamp_current", closing=True),
        r"test lamp_current: only proves repairs, but no closing check names it",
    ),
    # options and conditions
    "no values": (lambda f: swap_first(f, "options", values=()), r"option kind: has no values"),
    "shares": (
        lambda f: shares(f, 0.5, 0.4),
        r"option kind: the shares of its values add up to 0.9, not 1",
    ),
    "share": (
        lambda f: shares(f, 1.5, -0.5),
        r"value plain: share is 1.5; a probability lies from 0 to 1",
    ),
    "later option": (
        lambda f: replace(f, options=f.options[::-1]),
        r"option shade: its condition names option 'kind', which must come earlier",
    ),
    "unknown option": (
        lambda f: swap_first(f, "faults", when={"knd": "plain"}),
        r"fault filament_open: when: option 'knd' does not exist; did you mean 'kind'\?",
    ),
    "unknown value": (
        lambda f: swap_first(f, "faults", when={"kind": ("plain", "fanci")}),
        r"value of option 'kind' 'fanci' does not exist; did you mean 'fancy'\?",
    ),
    # states and zones
    "live without cautions": (
        lambda f: change_named(f, "states", "live", cautions=()),
        r"state live: is powered or has gas on, so it needs cautions",
    ),
    "no safe state": (
        lambda f: swap_first(f, "states", powered=True, cautions=("!",)),
        r"family: needs a state without power and gas",
    ),
    "risk": (lambda f: swap_first(f, "states", risk=-1), r"state isolated: risk is negative"),
    "state minutes": (lambda f: swap_first(f, "states", minutes=invented(-1)), r"state isolated: minutes is negative"),
    "zone minutes": (lambda f: swap_first(f, "zones", minutes=invented(-1)), r"zone outside: minutes is negative"),
    # circuits
    "reference": (
        lambda f: circuit(f, reference="erth"),
        r"circuit lamp: reference node 'erth' does not exist; did you",
    ),
    "frequency": (lambda f: circuit(f, frequency=invented(-1)), r"circuit lamp: frequency is negative"),
    "same id": (
        lambda f: parts(f, Part("bond", "hot", "earth", Resistance(OHMS), {"kind": "plain"})),
        r"circuit lamp: bond: two records share the id, and a configuration may have both",
    ),
    "same id, other kind": (
        lambda f: parts(f, Switch("bond", "hot", "earth", (), OHMS)),
        r"circuit lamp: bond: two records of different kinds share the id",
    ),
    "one node": (lambda f: parts(f, Part("x", "hot", "hot", Resistance(OHMS))), r"part x: both ends are on node 'hot'"),
    "no law": (lambda f: parts(f, Part("x", "hot", "earth", 3)), r"part x: a int is no law"),
    "negative contact": (
        lambda f: parts(f, Switch("x", "hot", "earth", ("on",), exactly(invented(-1)))),
        r"switch x: contact may be -1; it must be positive",
    ),
    "unused command": (
        lambda f: parts(f, Switch("x", "hot", "earth", ("onn",), OHMS)),
        r"closed_in: a test or requirement with command 'onn' does not exist; did you mean 'on'\?",
    ),
    "volts": (lambda f: parts(f, Source("x", "hot", "earth", invented(-5))), r"source x: volts must be positive"),
    "part id": (
        lambda f: parts(f, Part("X-1", "hot", "earth", Resistance(OHMS))),
        r"'X-1'.*: an id is written in snake",
    ),
    "change of unknown fault": (
        lambda f: circuit(f, changes={**f.circuits[0].changes, "filament_opn": (Open("filament"),)}),
        r"changes: fault 'filament_opn' does not exist",
    ),
    "no change": (lambda f: circuit(f, changes={"filament_open": ()}), r"changes\['filament_open'\]: is empty"),
    "open": (lambda f: changed_by(f, Open("mains")), r"open: part 'mains' does not exist"),
    "short": (
        lambda f: changed_by(f, Short("filament", exactly(invented(-1)))),
        r"short: ohms may be -1; it must be positive",
    ),
    "short of nothing": (
        lambda f: changed_by(f, Short("filament", exactly(invented(0)))),
        r"short: ohms may be 0; it must be positive",
    ),
    "short that is negative far out": (
        lambda f: changed_by(f, Short("filament", normal(invented(10), invented(4)))),
        r"short: ohms may be -9.01; it must be positive",
    ),
    "drift": (lambda f: changed_by(f, Drift("knob", OHMS)), r"drift: part 'knob' does not exist"),
    "drift by nothing": (
        lambda f: changed_by(f, Drift("filament", exactly(invented(0)))),
        r"drift: factor may be 0; it must be positive",
    ),
    "negative drift": (
        lambda f: changed_by(f, Drift("filament", normal(invented(1), invented(1)))),
        r"drift: factor may be -3.75; it must be positive",
    ),
    "contact of nothing": (
        lambda f: changed_by(f, Contact("knob", uniform(invented(-1), invented(2)))),
        r"contact: ohms may be -1; it must be positive",
    ),
    "contact": (
        lambda f: changed_by(f, Contact("nob", OHMS)),
        r"contact: part 'nob' does not exist; did you mean 'knob'",
    ),
    "leak": (lambda f: changed_by(f, Leak("hot", "erth", OHMS)), r"leak: node 'erth' does not exist"),
    "leak of nothing": (
        lambda f: changed_by(f, Leak("hot", "earth", exactly(invented(0)))),
        r"leak: ohms may be 0; it must be positive",
    ),
    "leak to itself": (lambda f: changed_by(f, Leak("hot", "hot", OHMS)), r"leak: leads from a node to itself"),
    "stuck": (lambda f: changed_by(f, Stuck("filament", "open")), r"stuck: switch 'filament' does not exist"),
    "swap": (lambda f: changed_by(f, Swap("bond", "bnd")), r"swap: part or switch 'bnd' does not exist"),
    "swap of a source": (
        lambda f: changed_by(f, Swap("mains", "bond")), r"swap: part or switch 'mains' does not exist",
    ),
    "swap with itself": (lambda f: changed_by(f, Swap("bond", "bond")), r"swap: swaps a part with itself"),
    "level": (lambda f: changed_by(f, Level("knob", OHMS)), r"level: source 'knob' does not exist"),
    "negative level": (
        lambda f: changed_by(f, Level("mains", exactly(invented(-0.1)))),
        r"level: factor may be -0.1; it cannot be negative",
    ),
    # functions and complaints
    "requirement circuit": (lambda f: requires(f, circuit="lmp"), r"requirement: circuit 'lmp' does not exist"),
    "requirement part": (
        lambda f: requires(f, of="filment"),
        r"requirement: part of circuit 'lamp' 'filment' does not",
    ),
    "requirement command": (lambda f: requires(f, command="onn"), r"requirement: command 'onn' does not exist"),
    "requirement state": (lambda f: requires(f, state="lve"), r"requirement: state 'lve' does not exist"),
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
    # faults, repairs, interlocks, closings
    "rate": (
        lambda f: swap_first(f, "faults", rate=invented(1)),
        r"fault filament_open: rate is 1.0; it must lie strictly",
    ),
    "reserved": (
        lambda f: replace(f, faults=(*f.faults, Fault("no_fault", "None", HALF))),
        r"fault no_fault: the id is reserved",
    ),
    "fault part": (lambda f: swap_first(f, "faults", part="blub"), r"part 'blub' does not exist; did you mean 'bulb'"),
    "excludes": (lambda f: swap_first(f, "faults", excludes=("x",)), r"excludes: fault 'x' does not exist"),
    "excludes itself": (lambda f: swap_first(f, "faults", excludes=("filament_open",)), r"excludes itself"),
    "changes nothing": (
        lambda f: replace(f, faults=(*f.faults, Fault("bored", "Bored", HALF))), r"fault bored: changes nothing",
    ),
    "cures nothing": (lambda f: swap_first(f, "repairs", cures={}), r"repair replace_bulb: cures nothing"),
    "cures": (lambda f: swap_first(f, "repairs", cures={"x": HALF}), r"cures: fault 'x' does not exist"),
    "repair minutes": (
        lambda f: swap_first(f, "repairs", minutes=invented(-1)),
        r"repair replace_bulb: minutes is neg",
    ),
    "repair state": (lambda f: swap_first(f, "repairs", state="x"), r"repair replace_bulb: state 'x' does not exist"),
    "repair zone": (lambda f: swap_first(f, "repairs", zones=("x",)), r"repair replace_bulb: zone 'x' does not exist"),
    "repair part": (lambda f: swap_first(f, "repairs", part="x"), r"repair replace_bulb: part 'x' does not exist"),
    "closing check": (
        lambda f: swap_first(f, "repairs", closing_checks=("x",)), r"replace_bulb: closing check 'x' does not exist",
    ),
    "interlock complaint": (
        lambda f: swap_first(f, "interlocks", complaints=("x",)), r"interlock burning: complaint 'x' does not exist",
    ),
    "interlock seen": (
        lambda f: swap_first(f, "interlocks", seen={"x": ("a",)}), r"interlock burning: seen: test 'x' does not exist",
    ),
    "interlock outcome": (
        lambda f: swap_first(f, "interlocks", cleared_by={"glass": ("hole",)}),
        r"outcome of test 'glass' 'hole' does not",
    ),
    "interlock no outcome": (
        lambda f: swap_first(f, "interlocks", cleared_by={"glass": ()}), r"test 'glass' has no outcomes listed",
    ),
    "interlock above": (
        lambda f: swap_first(f, "interlocks", above={"glow": HALF}), r"above: test 'glow' reads no number",
    ),
    "interlock above unknown": (
        lambda f: swap_first(f, "interlocks", above={"glo": HALF}),
        r"above: test 'glo' does not exist; did you mean 'glow'",
    ),
    "interlock of nothing": (
        lambda f: replace(f, interlocks=(*f.interlocks, Interlock("idle", "Idle", "stop", "No.", steps=("Go.",)))),
        r"interlock idle: nothing raises it",
    ),
    "interlock why": (lambda f: swap_first(f, "interlocks", why=""), r"interlock burning: why is empty"),
    "interlock without advice": (
        lambda f: swap_first(f, "interlocks", steps=(), cautions=()), r"interlock burning: needs steps or cautions",
    ),
    "closing test": (lambda f: swap_first(f, "closings", test="glw"), r"closing check lit: test 'glw' does not exist"),
    # forms: slips that Python lets pass
    "bare number": (lambda f: swap_first(f, "zones", minutes=3), r"zone outside: minutes: 3 carries no basis"),
    "bare number inside": (
        lambda f: swap_first(f, "repairs", cures={"filament_open": 1.0}),
        r"cures\['filament_open'\]: 1.0 carries no basis",
    ),
    "text for a tuple": (
        lambda f: replace(f, cautions="Hot."),
        r"family: cautions: must be a tuple, not str; a tuple of one ends in a comma",
    ),
    "record for a tuple": (
        lambda f: swap_first(f, "tests", models=Through("lamp", "filament")),
        r"test lamp_current: models: must be a tuple, not Through; a tuple of one ends in a comma",
    ),
    "change for a tuple": (
        lambda f: circuit(f, changes={"filament_open": Open("filament")}),
        r"circuit lamp: changes\['filament_open'\]: must be a tuple, not Open; a tuple of one ends in a comma",
    ),
    "outcome for a tuple": (
        lambda f: swap_first(f, "interlocks", seen={"glass": "cracked"}),
        r"interlock burning: seen\['glass'\]: must be a tuple, not str; a tuple of one ends in a comma",
    ),
    "whole number inside": (
        lambda f: swap_first(f, "repairs", cures={"filament_open": 1}),
        r"cures\['filament_open'\]: 1 carries no basis",
    ),
    "text for a figure": (
        lambda f: swap_first(f, "zones", minutes="outside"), r"zone outside: minutes: must be a figure, not str",
    ),
    "list for a tuple": (lambda f: replace(f, zones=[*f.zones]), r"family: zones: must be a tuple, not list"),
    "tuple for a mapping": (lambda f: swap_first(f, "faults", when=("kind",)), r"when: must be a mapping, not tuple"),
    "number for a text inside": (
        lambda f: replace(f, cautions=("Hot.", 3)), r"family: cautions\[1\]: holds a int; expected str",
    ),
    "nothing for a record": (
        lambda f: replace(f, faults=(*f.faults, None)), r"family: faults\[\d\]: holds a NoneType; expected Fault",
    ),
    "another record": (
        lambda f: replace(f, faults=(*f.faults, f.zones[0])), r"family: faults\[\d\]: holds a Zone; expected Fault",
    ),
    "text for a model": (
        lambda f: swap_first(f, "tests", models=("lamp",)),
        r"models\[0\]: holds a str; expected Between or Shows or Stated or Table or Through",
    ),
    "text for a change": (
        lambda f: circuit(f, changes={"filament_open": ("filament",)}),
        r"changes\['filament_open'\]\[0\]: holds a str; expected Contact or Drift or",
    ),
    "text for a part": (
        lambda f: circuit(f, parts=("filament",)), r"parts\[0\]: holds a str; expected Part or Source or Switch",
    ),
    "number for a title": (lambda f: replace(f, title=3), r"family: title: must be a str, not int"),
    "figure for a spread": (
        lambda f: replace(f, ambient=invented(20)),
        r"family: ambient: must be a spread, not Figure",
    ),
    "number for a key": (
        lambda f: swap_first(f, "repairs", cures={3: HALF}), r"cures: its keys are strings, not int",
    ),
    "no supply": (lambda f: replace(f, supply=None), r"family: supply: must be a supply, not NoneType"),
}  # fmt: skip


def test_sound_families_pass(family):
    check_family(family)


@pytest.mark.parametrize("name", BROKEN)
def test_broken_families_are_named(family, name):
    break_it, message = BROKEN[name]
    with pytest.raises(PackModelError) as caught:
        check_family(break_it(family))
    text = str(caught.value)
    assert re.search(message, text), text
    assert text.startswith("family ")


def test_every_broken_place_is_named_at_once(family):
    broken = swap_first(swap_first(family, "zones", id="BAD"), "faults", part="blub")
    with pytest.raises(PackModelError, match=r"zone 'BAD'.*part 'blub'"):
        check_family(broken)


@pytest.mark.parametrize(
    "change",
    [
        Level("mains", exactly(invented(0))),  # a dead supply
        Swap("filament", "knob"),
        Short("filament", uniform(invented(0), invented(5))),  # no sample lies on the bound itself
        Drift("filament", log_normal(invented(1), invented(3))),
        Drift("filament", normal(invented(1), invented(0.2))),
        Contact("mains", OHMS),
    ],
    ids=repr,
)
def test_sound_changes_pass(family, change):
    check_family(changed_by(family, change))


def test_two_records_may_share_an_id_in_different_builds(family):
    more = (Part("trim", "hot", "earth", Resistance(OHMS), {"kind": "plain"}),
            Part("trim", "hot", "earth", Resistance(OHMS), {"kind": ("fancy",)}))  # fmt: skip
    check_family(parts(family, *more))


def test_a_law_of_the_packs_own_is_checked(family):
    @dataclass(frozen=True)
    class Odd:
        heats_above: float = invented(-1)
        spreads = (3,)
        feels_temperature = False

        def impedance(self, parameters, at):
            return parameters[0]

    with pytest.raises(PackModelError, match=r"spreads\[0\] of its law is not a Spread; .*heats_above must be pos"):
        check_family(parts(family, Part("odd", "hot", "earth", Odd())))


def test_a_law_must_be_a_dataclass(family):
    class Odd:
        spreads = ()
        heats_above = None
        feels_temperature = False

        def impedance(self, parameters, at):
            return parameters[0]

    with pytest.raises(PackModelError, match="part odd: law Odd must be a dataclass, for its numbers are part of the"):
        check_family(parts(family, Part("odd", "hot", "earth", Odd())))


def test_records_of_every_kind_are_in_the_sample(family):
    """So that the table above leaves no kind of model out."""
    kinds = {type(m) for t in family.tests for m in t.models}
    assert kinds == {Between, Through, Shows, Stated, Table}
    assert {type(o) for o in family.options} == {Option}
    assert all(isinstance(t, Test) for t in family.tests)


def test_installed_packs_pass():
    registry = load_packs(strict=True)
    for pack in registry.packs.values():
        check_family(pack.family)
