"""Whether a family holds together: its ids, builds, faults, repairs, hazards, and slips that Python lets pass."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from probewright.circuit.parts import Open
from probewright.errors import PackModelError
from probewright.figures import invented
from probewright.packs.check import check_family
from probewright.packs.loader import load_packs
from probewright.packs.model import (
    Between,
    Fault,
    Interlock,
    Limit,
    Option,
    OptionValue,
    Shows,
    Stated,
    Table,
    Tap,
    Test,
    Through,
)
from support.slips import (
    HALF,
    change_named,
    circuit,
    shares,
    swap_first,
    test,
    told_of,
)


def tapped(family, tap):
    return replace(family, supply=replace(family.supply, taps=(tap,)))


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
    "nominal of a tap": (lambda f: tapped(f, Tap(invented(0), {"kind": "plain"})), r"taps\[0\]: the nominal voltage"),
    "condition of a tap": (
        lambda f: tapped(f, Tap(HALF, {"knd": "plain"})), r"taps\[0\]: when: option 'knd' does not exist; did you mean",
    ),
    "a tap for all": (lambda f: tapped(f, Tap(HALF, {})), r"taps\[0\]: needs a condition \(when\)"),
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


@pytest.mark.parametrize("name", BROKEN)
def test_broken_families_are_named(family, name):
    break_it, message = BROKEN[name]
    told = told_of(break_it(family))
    assert re.search(message, told), told


def test_sound_families_pass(family):
    check_family(family)


def test_every_broken_place_is_named_at_once(family):
    broken = swap_first(swap_first(family, "zones", id="BAD"), "faults", part="blub")
    with pytest.raises(PackModelError, match=r"zone 'BAD'.*part 'blub'"):
        check_family(broken)


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
