"""The extra test that is advised, held against circuits that are solved by hand."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from probewright.circuit.parts import Contact, Open
from probewright.figures import invented
from probewright.packs.model import Between
from probewright.review.apart import groups
from probewright.review.extra_tests import extra_test
from probewright.review.findings import review_family
from probewright.review.subject import Subject
from support.breaking import both, changed, found, without
from support.lantern import TESTS, lantern, near, wiring

ALIKE = both(without("tests", "filament_resistance", "glass"))
MINUTES = re.compile(r"some (\d+) minutes")


def advice(family) -> str:
    """What the only finding advises."""
    (only,) = (r for r in review_family(family).remarks if r.rule == "faults_alike")
    return only.hint


def test_the_cheapest_reading_in_the_circuit_is_advised():
    """Fuse or filament open: both read no current, and no glow.

    One minute to unplug it, four to lift the lid, and what the tests that are left usually take, of 1, 1, 2 and 3
    minutes 1.5: 6.5 minutes.  Without power the open fuse leaves 49.8 ohm from fed to neutral and nothing from hot to
    fed; the open filament the other way round.  Any reading across one of them tells.  The pack's voltage takes a
    minute, so one of these would be done half a minute sooner, and under power.
    """
    told = advice(ALIKE(lantern()))
    assert re.search(r"a resistance test (across \w+ \()?(fed|hot) to (fed|neutral)", told), told
    assert "in the state isolated" in told
    assert MINUTES.search(told).group(1) == f"{1.0 + 4.0 + 1.5:.0f}"


def test_what_is_advised_does_tell_them_apart():
    advised = replace(
        next(t for t in TESTS if t.id == "filament_resistance"), id="fuse_resistance", title="Resistance of the fuse",
        models=(Between("lamp", "hot", "fed"),),
    )  # fmt: skip
    family = ALIKE(lantern())
    assert found(replace(family, tests=(*family.tests, advised))) == []


def test_a_reading_in_a_place_that_is_open_anyway_is_cheaper():
    """The pack reads the current of the lamp under the lid; outside, at the plug, it takes four minutes less."""
    outside = changed("tests", "lamp_current", zone="outside")(ALIKE(lantern()))
    assert MINUTES.search(advice(outside)).group(1) == f"{1.0 + 1.5:.0f}"


def test_what_no_reading_could_tell_is_not_advised_as_one():
    """Two breaks in one part: no meter sees which, so a look at the cheaper part is advised instead."""
    same = replace(wiring(), changes={
        "fuse_open": (Open("filament"),), "filament_open": (Open("filament"),),
        "filament_weak": wiring().changes["filament_weak"]})  # fmt: skip
    told = advice(replace(ALIKE(lantern()), circuits=(same,)))
    assert "a look at bulb (kind seen), in the state isolated, with an outcome for filament_open" in told or (
        "a look at fuse (kind seen), in the state isolated, with an outcome for fuse_open" in told
    )
    assert MINUTES.search(told).group(1) == "6"  # 1 to unplug, 4 to lift the lid, 1 as a look takes


def test_without_circuits_a_look_at_the_part_is_advised():
    family = ALIKE(lantern())
    functions = (replace(family.functions[0], requires=(), fails_with={
        fault: invented(1.0) for fault in ("fuse_open", "filament_open", "filament_weak")}),)  # fmt: skip
    tests = tuple(t for t in family.tests if t.id in ("warmth", "glow"))
    glow = replace(next(t for t in tests if t.id == "glow"), models=(_shown(),))
    family = replace(family, circuits=(), functions=functions, tests=(glow, tests[-1]))
    assert advice(family).startswith("The cheapest test that would: a look at ")


def _shown():
    """What is seen of the lamp, where no circuit says it."""
    from probewright.packs.model import Table  # noqa: PLC0415
    from support.lantern import likely  # noqa: PLC0415

    dark = likely(bright=0.01, dim=0.01, none=0.98)
    return Table(likely(bright=0.98, dim=0.01, none=0.01), {
        "fuse_open": dark, "filament_open": dark, "filament_weak": likely(bright=0.1, dim=0.9)})  # fmt: skip


def test_only_what_tells_the_faults_apart_with_the_meters_error_counts():
    """A contact of 3 milliohm and one of 4 are below what a meter with leads can tell; of 3 and of 40 ohm are not."""
    def asked(first: float, second: float) -> str | None:
        changes = {"fuse_open": (Contact("fuse", near(first)),), "filament_open": (Contact("fuse", near(second)),),
                   "filament_weak": wiring().changes["filament_weak"]}  # fmt: skip
        subject = Subject(replace(lantern(), circuits=(replace(wiring(), changes=changes),)))
        return extra_test(subject, subject.builds[0], ("fuse_open", "filament_open"))

    assert "a look at" in (asked(0.003, 0.004) or "")
    assert "a resistance test" in (asked(3.0, 40.0) or "")


def test_the_groups_are_those_that_no_test_tells_apart():
    (group,) = groups(Subject(ALIKE(lantern())))
    assert group.faults == ("fuse_open", "filament_open")
    assert group.best == pytest.approx(0.0, abs=1e-3)
    assert len(group.builds) == 2


def test_a_weak_test_does_not_tell_them_apart_and_is_named():
    """The glass is black in 60 % of the lamps that have blown, and in 4 % of the others: 0.65 of the looks differ."""
    family = without("tests", "filament_resistance")(lantern())
    assert found(family) == []
    row = {"filament_open": {"clear": invented(0.65), "black": invented(0.34), "cracked": invented(0.01)}}
    glass = next(t for t in family.tests if t.id == "glass")
    weak = replace(glass, models=(replace(glass.models[0], by_fault=row),))
    (only,) = found(replace(family, tests=tuple(weak if t.id == "glass" else t for t in family.tests)))
    assert only[2] == "no test tells the two apart (the best of them does so in 30% of the readings)"


