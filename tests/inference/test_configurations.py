"""The builds that the given options leave open."""

from __future__ import annotations

import math

import pytest

from probewright.errors import InvalidCase
from probewright.figures import invented
from probewright.inference.configurations import MOST_CONFIGURATIONS, configurations
from probewright.packs.model import Option, OptionValue
from probewright_schemas.records import Reading
from support.families import beliefs, case, evaluated, warmer


def option(id_, when=None, **shares):
    values = tuple(OptionValue(value, value, invented(share)) for value, share in shares.items())
    return Option(id_, id_, values, when or {})


def builds(options, given=None, **more):
    found = configurations(warmer(options=tuple(options)), given or {}, **more)
    return {tuple(sorted(c.options.items())): c.share for c in found}


FUEL = option("fuel", gas=0.8, electric=0.2)
PILOT = option("pilot", {"fuel": "gas"}, spark=0.7, standing=0.3)


def test_every_combination_with_its_share():
    assert builds([FUEL, option("size", big=0.5, small=0.5)]) == {
        (("fuel", "gas"), ("size", "big")): pytest.approx(0.4),
        (("fuel", "gas"), ("size", "small")): pytest.approx(0.4),
        (("fuel", "electric"), ("size", "big")): pytest.approx(0.1),
        (("fuel", "electric"), ("size", "small")): pytest.approx(0.1),
    }


def test_an_option_that_does_not_apply_is_absent():
    assert builds([FUEL, PILOT]) == {
        (("fuel", "gas"), ("pilot", "spark")): pytest.approx(0.56),
        (("fuel", "gas"), ("pilot", "standing")): pytest.approx(0.24),
        (("fuel", "electric"),): pytest.approx(0.2),
    }


def test_given_options_narrow_and_shares_add_up_again():
    assert builds([FUEL, PILOT], {"fuel": "gas"}) == {
        (("fuel", "gas"), ("pilot", "spark")): pytest.approx(0.7),
        (("fuel", "gas"), ("pilot", "standing")): pytest.approx(0.3),
    }


def test_an_option_that_only_some_builds_have_selects_them():
    found = builds([FUEL, PILOT], {"pilot": "standing"})
    assert found == {(("fuel", "gas"), ("pilot", "standing")): pytest.approx(1.0)}


def test_contradiction():
    assert builds([FUEL, PILOT], {"fuel": "electric", "pilot": "spark"}) == {}
    family = warmer(options=(FUEL, PILOT, *warmer().options))
    with pytest.raises(InvalidCase) as refused:
        evaluated(case(options={"fuel": "electric", "pilot": "spark"}), family)
    assert [(f.pointer, f.code) for f in refused.value.faults] == [("/options", "options_contradict")]
    assert "fuel electric, pilot spark" in refused.value.faults[0].message


def test_likeliest_first_and_bounded():
    many = [option(f"o{i}", a=0.6, b=0.4) for i in range(7)]
    found = configurations(warmer(options=tuple(many)), {})
    shares = [c.share for c in found]
    assert len(found) == MOST_CONFIGURATIONS < 2**7
    assert shares == sorted(shares, reverse=True)
    assert math.fsum(shares) == pytest.approx(1.0)
    assert set(found[0].options.values()) == {"a"}


def test_options_that_make_no_difference_are_not_multiplied():
    assert builds([FUEL, option("colour", white=0.6, black=0.4)], weighed={"fuel"}) == {
        (("colour", "white"), ("fuel", "gas")): pytest.approx(0.8),
        (("colour", "white"), ("fuel", "electric")): pytest.approx(0.2),
    }


def test_a_given_option_decides_those_that_it_depends_on_though_they_make_no_difference():
    drive = option("drive", belt=0.7, direct=0.3)
    motor = option("motor", {"drive": "direct"}, inverter=0.4, brushless=0.6)
    board = option("board", {"motor": "inverter"}, old=0.5, new=0.5)
    build = (("board", "new"), ("drive", "direct"), ("motor", "inverter"))
    assert builds([drive, motor, board], {"board": "new"}, weighed=()) == {build: pytest.approx(1.0)}
    assert builds([drive, motor, board], {"board": "new", "drive": "belt"}, weighed=()) == {}


def test_a_value_that_nobody_has_takes_no_share():
    style, lamp = option("style", small=1.0, large=0.0), option("lamp", yes=1.0)
    reading, family = Reading("heater_current", 4.0, unit="A"), warmer(options=(style, lamp))
    open_, given = (evaluated(case(reading, options=o), family) for o in ({}, {"style": "small"}))
    assert beliefs(open_) == pytest.approx(beliefs(given), rel=1e-9)
