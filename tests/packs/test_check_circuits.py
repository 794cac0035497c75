"""Whether the circuits of a family hold together."""

from __future__ import annotations

import re
from dataclasses import dataclass

import pytest

from probewright.circuit.laws import Resistance, Winding
from probewright.circuit.parts import Contact, Drift, Leak, Level, Open, Part, Short, Source, Stuck, Swap, Switch
from probewright.errors import PackModelError
from probewright.figures import exactly, invented, log_normal, normal, uniform
from probewright.packs.check import check_family
from support.slips import (
    OHMS,
    changed_by,
    circuit,
    parts,
    told_of,
)

BROKEN = {
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
    "like no part": (
        lambda f: parts(f, Part("x", "hot", "earth", Resistance(OHMS), like="filment")),
        r"part x: like: part 'filment' does not exist; did you mean 'filament'",
    ),
    "like a part that is like another": (
        lambda f: parts(f, Part("x", "hot", "earth", Resistance(OHMS), like="x")),
        r"part x: is like 'x', which is like another part itself",
    ),
    "like a part of another law": (
        lambda f: parts(f, Part("x", "hot", "earth", Winding(OHMS, OHMS), like="bond")),
        r"part x: is like 'bond', whose law is a Resistance",
    ),
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
}  # fmt: skip


@pytest.mark.parametrize("name", BROKEN)
def test_broken_families_are_named(family, name):
    break_it, message = BROKEN[name]
    told = told_of(break_it(family))
    assert re.search(message, told), told


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
