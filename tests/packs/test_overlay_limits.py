"""Limits and cures that a shop lays over a family, and what safety lets none of them do."""

from __future__ import annotations

from dataclasses import replace

import pytest

from probewright.figures import invented, shop
from probewright.packs.model import (
    Closing,
    Interlock,
    Limit,
    Option,
    OptionValue,
    Repair,
)
from probewright.packs.overlay import Effects
from support.families import chances
from support.laying import ANY, LARGE, SMALL, WARMER, S, lay, limited, named, refused


@pytest.mark.parametrize(
    ("when", "place"),
    [({"style": "small"}, 0), ({"style": ("small",)}, 0), ({"style": ("large", "small")}, 1)],
    ids=["as it is", "in a tuple", "in another order"],
)
def test_limits_replace_those_for_the_same_builds(when, place):
    family = limited(Limit(S, None, when=SMALL), Limit(S, None, when=ANY))
    laid = lay(family, limits={"heater_current": (Limit(None, shop(9.0), when=when),)})
    found = named(laid.tests, "heater_current").limits
    assert [limit.high for limit in found] == [9.0 if i == place else None for i in range(2)]


def test_new_limits_stand_where_the_more_particular_counts_first():
    family = limited(Limit(S, None, when=SMALL), Limit(S, None))
    for when, place in (({"style": "large"}, 0), ({"style": "large", "lamp": "no"}, 0)):
        laid = lay(family, limits={"heater_current": (Limit(None, shop(9.0), when=when),)})
        assert [x.high for x in named(laid.tests, "heater_current").limits].index(9.0) == place
    laid = lay(limited(Limit(S, None, when=SMALL)), limits={"heater_current": (Limit(None, shop(9.0)),)})
    assert [x.high for x in named(laid.tests, "heater_current").limits] == [None, 9.0]


SAFE = Closing("safe", "The current is right.", "heater_current", guarded=True)
HAZARD = Interlock("hot", "Too hot", "stop", "It burns.", above={"heater_current": invented(6.0)}, steps=("Unplug.",))


@pytest.mark.parametrize("more", [{"closings": (SAFE,)}, {"interlocks": (HAZARD,)}], ids=["a proof", "a hazard"])
def test_limits_on_which_safety_depends_are_only_drawn_tighter(more):
    family = replace(limited(Limit(invented(3.0), invented(5.0))), **more)
    tighter = Limit(shop(3.5), shop(5.0))
    assert named(lay(family, limits={"heater_current": (tighter,)}).tests, "heater_current").limits == (tighter,)
    wider = (Limit(shop(2.9), shop(5.0)), Limit(shop(3.5), shop(5.1)), Limit(shop(3.5)), Limit(None, shop(5.0)),
             Limit(shop(3.5), shop(4.0), scales_with_supply=True))  # fmt: skip
    for limit in wider:
        (told,) = refused(family, limits={"heater_current": (limit,)})
        assert told.endswith("rests on this test, so its limits may be drawn tighter and not wider")


def test_what_the_model_holds_for_sound_is_not_replaced_where_safety_depends_on_it():
    wide = Limit(shop(0.0), shop(1000.0))
    for below in ((), (Limit(invented(0.0), invented(1000.0), when=SMALL),)):
        family = replace(limited(*below), closings=(SAFE,))
        (told,) = refused(family, limits={"heater_current": (wide,)})
        assert told == (
            "limits of heater_current: closing check 'safe' rests on this test, and where it has no limits the model "
            "itself says what is sound; give limits only for builds that have some"
        )
    tighter = Limit(shop(3.5), shop(5.0), when=SMALL)
    beside = Limit(invented(4.0), invented(4.5), when=LARGE)
    family = replace(limited(beside, Limit(invented(3.0), invented(5.0))), closings=(SAFE,))
    assert tighter in named(lay(family, limits={"heater_current": (tighter,)}).tests, "heater_current").limits


def test_limits_on_which_safety_depends_are_weighed_where_they_count():
    family = replace(limited(Limit(invented(3.0), invented(5.0))), closings=(SAFE,))
    first = Limit(shop(3.5), shop(5.0), when=SMALL), Limit(shop(3.1), shop(5.0))
    laid = lay(family, limits={"heater_current": first})
    again = lay(laid, "shop_two", limits={"heater_current": (Limit(shop(3.2), shop(5.0)),)})
    assert [x.low for x in named(again.tests, "heater_current").limits] == [3.5, 3.2]
    (told,) = refused(laid, limits={"heater_current": (Limit(shop(3.4), shop(5.0), when=SMALL),)})
    assert "drawn tighter and not wider" in told


def test_a_build_that_lacks_an_option_is_weighed_too():
    """Every value of the option has limits; where the option is not there, the model says what is sound."""
    inner = Option("fan", "Fan", (OptionValue("yes", "Yes", invented(1.0)),), when={"style": "large"})
    family = limited(Limit(invented(3.0), invented(5.0), when={"fan": "yes"}))
    family = replace(family, options=(*family.options, inner), closings=(SAFE,))
    (told,) = refused(family, limits={"heater_current": (Limit(shop(3.5), shop(5.0)),)})
    assert "the model itself says what is sound" in told


CURED = {
    "a repair of its own": {"repairs": (Repair("tap_it", "Tap it", chances(heater_open=0.9), S, "isolated", ()),)},
    "a repair that is there": {"effects": (Effects("heater_open", cured_by={"overhaul": shop(0.9)}),)},
}


@pytest.mark.parametrize("how", CURED)
@pytest.mark.parametrize("safe", [SAFE, replace(SAFE, guarded=False)], ids=["guarded", "of a hazard"])
def test_a_new_cure_is_proven_safe_as_those_that_are_there(how, safe):
    hazard = replace(HAZARD, cleared_by={"heater_current": ("within",)})
    repairs = tuple(
        replace(repair, closing_checks=("safe",)) if "heater_open" in repair.cures and repair.id != "overhaul"
        else replace(repair, cures={f: c for f, c in repair.cures.items() if f != "heater_open"})
        for repair in WARMER.repairs
    )  # fmt: skip
    family = replace(WARMER, closings=(safe,), repairs=tuple(r for r in repairs if r.cures), interlocks=(hazard,))
    (told,) = refused(family, **CURED[how])
    assert "every repair of 'heater_open' that is there is proven safe by 'safe'" in told
    own = Repair("tap_it", "Tap it", chances(heater_open=0.9), S, "isolated", (), closing_checks=("safe",))
    assert named(lay(family, repairs=(own,)).repairs, "tap_it").closing_checks == ("safe",)
    free = Repair("tap_it", "Tap it", chances(fuse_open=0.9, heater_open=0.0), S, "isolated", ())
    assert named(lay(family, repairs=(free,)).repairs, "tap_it").closing_checks == ()


@pytest.mark.parametrize("how", CURED)
def test_a_new_cure_takes_a_skill_where_those_that_are_there_do(how):
    repairs = tuple(replace(r, skill="electrician") if "heater_open" in r.cures else r for r in WARMER.repairs)
    family = replace(WARMER, repairs=repairs)
    (told,) = refused(family, **CURED[how])
    assert "every repair of 'heater_open' that is there takes the skill 'electrician'" in told
    own = Repair("tap_it", "Tap it", chances(heater_open=0.9), S, "isolated", (), skill="fitter")
    assert named(lay(family, repairs=(own,)).repairs, "tap_it").skill == "fitter"
    free = replace(own, skill=None, cures=chances(fuse_open=0.9))
    assert named(lay(family, repairs=(free,)).repairs, "tap_it").skill is None
