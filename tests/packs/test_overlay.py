"""What an overlay does to a family: each field in its place, layers over layers, and what is refused."""

from __future__ import annotations

import pickle
from collections.abc import Mapping
from dataclasses import fields, is_dataclass, replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from probewright.circuit.parts import Drift, Open, Source
from probewright.figures import Figure, exactly, invented, normal, published, shop
from probewright.packs.check import check_family
from probewright.packs.digest import digest
from probewright.packs.model import (
    Closing,
    Complaint,
    Family,
    Fault,
    Interlock,
    Limit,
    Option,
    OptionValue,
    Repair,
    ReplaceablePart,
    Stated,
    Table,
    Test,
)
from probewright.packs.overlay import (
    Effects,
    OutcomeRow,
    Overlay,
    OverlayError,
    ShopCautions,
    ShopCosts,
    ShopMinutes,
    ShopSupply,
    laid_over,
)
from support.families import chances, warmer

MANY = settings(max_examples=60, deadline=None, derandomize=True, database=None)
WARMER = warmer()


def lay(family: Family | None = None, layer: str = "shop_one", **what: Any) -> Family:
    return laid_over(family or WARMER, Overlay(layer, "warmer", **what))


def refused(family: Family | None = None, **what: Any) -> tuple[str, ...]:
    with pytest.raises(OverlayError) as caught:
        lay(family, **what)
    return caught.value.broken


def named(records: Any, name: str) -> Any:
    return next(record for record in records if record.id == name)


def layers(value: object, where: str = "") -> dict[str, tuple[str, float]]:
    """Every figure that a layer set: where it stands, the layer and the number."""
    if isinstance(value, Figure):
        return {where: (value.layer, float(value))} if value.layer else {}
    if is_dataclass(value):
        name = f"{where}.{value.id}" if where and hasattr(value, "id") else where
        inner = {f"{name}.{f.name}": getattr(value, f.name) for f in fields(value)}
    elif isinstance(value, Mapping):
        inner = {f"{where}.{key}": one for key, one in value.items()}
    elif isinstance(value, tuple):
        return {k: v for i, one in enumerate(value)
                for k, v in layers(one, where if hasattr(one, "id") else f"{where}.{i}").items()}  # fmt: skip
    else:
        return {}
    return {k: v for path, one in inner.items() for k, v in layers(one, path).items()}


# Each field in its place

S = shop(3.0)
FIELDS: dict[str, tuple[dict[str, Any], dict[str, float]]] = {
    "fault_rates": ({"fault_rates": {"fuse_open": shop(0.2)}}, {".faults.fuse_open.rate": 0.2}),
    "unknown_rate": ({"unknown_rate": shop(0.02)}, {".unknown_rate": 0.02}),
    "option_shares": (
        {"option_shares": {"style": {"small": shop(0.4), "large": shop(0.6)}}},
        {".options.style.values.small.share": 0.4, ".options.style.values.large.share": 0.6},
    ),
    "minutes": (
        {"minutes": ShopMinutes({"door": S}, {"overhaul": S}, {"outside": S}, {"live": S})},
        {".tests.door.minutes": 3, ".repairs.overhaul.minutes": 3, ".zones.outside.minutes": 3,
         ".states.live.minutes": 3},
    ),
    "part_prices": ({"part_prices": {"heater": S}}, {".parts.heater.price": 3}),
    "costs": (
        {"costs": ShopCosts(labour_per_hour=S, return_visit=S)}, {".costs.labour_per_hour": 3, ".costs.return_visit": 3}
    ),
    "supply": (
        {"supply": ShopSupply(usual=normal(shop(101.0), S), least=shop(20.0), most=shop(130.0))},
        {".supply.unmeasured.first": 101, ".supply.unmeasured.second": 3, ".supply.least": 20, ".supply.most": 130},
    ),
    "limits": (
        {"limits": {"heater_current": (Limit(S, shop(5.0)),)}},
        {".tests.heater_current.limits.0.low": 3, ".tests.heater_current.limits.0.high": 5},
    ),
    "outcomes": (
        {"outcomes": (OutcomeRow("door", {"shut": shop(0.5), "ajar": shop(0.5)}, "door_loose"),
                      OutcomeRow("lamp", {"lit": shop(1.0)}))},
        {".tests.door.models.0.by_fault.door_loose.shut": 0.5, ".tests.door.models.0.by_fault.door_loose.ajar": 0.5,
         ".tests.lamp.models.0.healthy.lit": 1},
    ),
    "effects": (
        {"effects": (Effects("fuse_open", {"heats": shop(0.1)}, {"rattles": shop(0.2)}, {"door": {"shut": shop(1.0)}},
                             {"chamber": exactly(shop(-40.0))}, {"overhaul": shop(0.7)},
                             {"linked": (Drift("link", exactly(S)),)}),)},
        {".functions.heats.fails_with.fuse_open": 0.1, ".complaints.rattles.shown_by.fuse_open": 0.2,
         ".tests.door.models.0.by_fault.fuse_open.shut": 1, ".tests.chamber.models.0.by_fault.fuse_open.first": -40,
         ".tests.chamber.models.0.by_fault.fuse_open.second": -40, ".repairs.overhaul.cures.fuse_open": 0.7,
         ".circuits.linked.changes.fuse_open.0.factor.first": 3,
         ".circuits.linked.changes.fuse_open.0.factor.second": 3},
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", FIELDS)
def test_a_field_sets_its_numbers_and_no_others(name):
    what, expected = FIELDS[name]
    laid = lay(**what)
    assert layers(laid) == {where: ("shop_one", value) for where, value in expected.items()}
    check_family(laid)
    assert digest(laid) != digest(WARMER)


def test_lists_and_cautions_carry_no_numbers():
    cautions = ShopCautions(("Mind the cat.",), {"door": ("Mind the hinge.",)}, {"overhaul": ("Slowly.",)},
                            {"live": ("Twice.",)}, {"outside": ("Ladder.",)}, {"cold": ("Gloves.",)})  # fmt: skip
    laid = lay(van=("heater",), checklist=("door", "supply_volts"), cautions=cautions)
    assert layers(laid) == {}
    assert (laid.van, laid.checklist, laid.cautions) == (("heater",), ("door", "supply_volts"), ("Mind the cat.",))
    assert named(laid.tests, "door").cautions == ("Mains.", "Mind the hinge.")
    assert named(laid.repairs, "overhaul").cautions == ("Slowly.",)
    assert named(laid.states, "live").cautions == ("Mains.", "Twice.")
    assert named(laid.zones, "outside").cautions == ("Ladder.",)
    assert named(laid.complaints, "cold").cautions == ("Gloves.",)


def test_a_caution_that_is_there_is_not_said_twice():
    laid = lay(cautions=ShopCautions(tests={"door": ("Mains.", "New.", "New.")}))
    assert named(laid.tests, "door").cautions == ("Mains.", "New.")


OWN: dict[str, Any] = {
    "faults": (Fault("mouse", "A mouse", shop(0.02)),),
    "parts": (ReplaceablePart("trap", "Trap", shop(5.0)),),
    "closings": (Closing("no_mouse", "No mouse is seen.", "peek"),),
    "complaints": (Complaint("squeaks", "It squeaks", shop(0.001), shown_by={"mouse": shop(0.8)}),),
    "repairs": (Repair("catch", "Catch it", {"mouse": shop(0.9)}, shop(15.0), "isolated", ("outside",), "trap",
                       closing_checks=("no_mouse",)),),
    "tests": (Test("peek", "Look for a mouse", "seen", ("isolated",), "outside", shop(2.0),
                   (Table({"none": shop(0.99), "mouse": shop(0.01)}, {"mouse": {"none": shop(0.2),
                                                                               "mouse": shop(0.8)}}),),
                   outcomes=("none", "mouse")),),
    "effects": (Effects("mouse", shown_by={"rattles": shop(0.5)}, cured_by={"overhaul": shop(0.3)}),),
}  # fmt: skip


def test_records_of_its_own_come_after_those_of_the_family():
    laid = lay(**OWN)
    for kind, record in {"faults": "mouse", "parts": "trap", "closings": "no_mouse", "complaints": "squeaks",
                         "repairs": "catch", "tests": "peek"}.items():  # fmt: skip
        ids = [one.id for one in getattr(laid, kind)]
        assert ids == [*(one.id for one in getattr(WARMER, kind)), record]
    assert named(laid.faults, "mouse").rate.layer == "shop_one"
    assert named(laid.tests, "peek").models[0].by_fault["mouse"]["mouse"].layer == "shop_one"
    assert named(laid.repairs, "overhaul").cures["mouse"] == 0.3


def test_an_overlay_may_refer_to_its_own_records():
    laid = lay(van=("trap",), checklist=("peek",), fault_rates={"mouse": shop(0.05)}, **OWN)
    assert (laid.van, laid.checklist, named(laid.faults, "mouse").rate) == (("trap",), ("peek",), 0.05)


def test_a_layer_may_refer_to_the_records_of_one_below():
    laid = lay(lay(**OWN), "shop_two", fault_rates={"mouse": shop(0.07)}, minutes=ShopMinutes({"peek": shop(9.0)}))
    assert (named(laid.faults, "mouse").rate.layer, named(laid.tests, "peek").minutes.layer) == ("shop_two", "shop_two")
    assert named(laid.repairs, "catch").minutes.layer == "shop_one"


def test_the_family_below_is_not_touched():
    before = digest(WARMER)
    for what, _ in FIELDS.values():
        lay(**what)
    assert digest(WARMER) == before
    assert layers(WARMER) == {}


def test_a_laid_family_can_be_pickled_with_its_layers():
    laid = lay(**FIELDS["fault_rates"][0])
    assert layers(pickle.loads(pickle.dumps(laid))) == layers(laid)


# Limits


def limited(*below: Limit) -> Family:
    current = replace(named(WARMER.tests, "heater_current"), limits=below)
    return warmer(tests=tuple(current if t.id == current.id else t for t in WARMER.tests))


SMALL, LARGE, ANY = {"style": "small"}, {"style": "large"}, {"style": ("small", "large")}


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


# The supply


def test_a_nominal_supply_of_another_value_takes_along_what_is_given_at_it():
    scaled = Limit(invented(3.0), invented(5.0), scales_with_supply=True)
    plate = Limit(published(3.0, "a plate"), published(5.0, "a plate"), scales_with_supply=True)
    fed = Closing("fed", "Fed.", "heater_current", (plate,))
    family = replace(limited(scaled, Limit(invented(1.0))), closings=(fed,))
    laid = lay(family, supply=ShopSupply(nominal=shop(120.0), usual=normal(shop(120.0), shop(1.0))))
    sources = [p.volts for c in laid.circuits for p in c.parts if isinstance(p, Source)]
    assert [(v, v.layer, v.basis) for v in sources] == [(pytest.approx(120.0), "shop_one", "invented")] * 2
    assert sources[0].source == "100 at a nominal 100 V, taken to 120 V"
    first, second = named(laid.tests, "heater_current").limits
    assert (first.low, first.high, second.low) == (pytest.approx(3.6), pytest.approx(6.0), 1.0)
    (proof,) = laid.closings[0].limits
    assert (proof.low, proof.high) == (pytest.approx(3.6), pytest.approx(6.0))
    assert (proof.low.basis, proof.low.source) == ("derived", "a plate; 3 at a nominal 100 V, taken to 120 V")
    same = lay(family, supply=ShopSupply(nominal=shop(100.0)))
    assert set(layers(same)) == {".supply.nominal"}


def test_a_nominal_supply_of_another_value_needs_the_usual_one():
    assert refused(supply=ShopSupply(nominal=shop(120.0))) == (
        "supply: usual is missing: how the supply spreads about 120 V",
    )


def test_limits_of_its_own_records_are_for_its_own_nominal_supply():
    limit = Limit(shop(230.0), scales_with_supply=True)
    test = replace(named(WARMER.tests, "wire_volts"), id="own_volts", limits=(limit,))
    closing = Closing("own_proof", "It is fed.", "own_volts", limits=(limit,))
    supply = ShopSupply(nominal=shop(240.0), usual=normal(shop(240.0), shop(1.0)))
    laid = lay(tests=(test,), closings=(closing,), supply=supply)
    assert named(laid.tests, "own_volts").limits == named(laid.closings, "own_proof").limits == (limit,)


# Layers over layers


def test_nothing_laid_over_changes_nothing():
    laid = lay()
    assert laid == WARMER
    assert (digest(laid), layers(laid)) == (digest(WARMER), {})


def restated(family: Family) -> Overlay:
    """An overlay that says of a family's numbers what the family says."""
    return Overlay(
        "same", family.id, unknown_rate=family.unknown_rate, fault_rates={f.id: f.rate for f in family.faults},
        option_shares={o.id: {v.id: v.share for v in o.values} for o in family.options},
        minutes=ShopMinutes(*({r.id: r.minutes for r in records}
                              for records in (family.tests, family.repairs, family.zones, family.states))),
        part_prices={p.id: p.price for p in family.parts},
        costs=ShopCosts(family.costs.labour_per_hour, family.costs.callback, family.costs.return_visit,
                        family.costs.verification_minutes),
        supply=ShopSupply(family.supply.nominal, family.supply.unmeasured, family.supply.least, family.supply.most),
        limits={t.id: t.limits for t in family.tests if t.limits},
        outcomes=tuple(OutcomeRow(t.id, row, fault, m.when) for t in family.tests for m in t.models
                       if isinstance(m, Table) for fault, row in ((None, m.healthy), *m.by_fault.items())),
    )  # fmt: skip


def test_the_same_numbers_with_the_same_bases_keep_the_digest(gas_range_family):
    for family in (WARMER, gas_range_family):
        laid = laid_over(family, restated(family))
        assert digest(laid) == digest(family)
        assert len(layers(laid)) > 40
        assert {layer for layer, _ in layers(laid).values()} == {"same"}


@pytest.fixture(scope="module")
def gas_range_family():
    from probewright.packs.loader import load_packs  # noqa: PLC0415  for these tests alone

    return load_packs().get("gas_range").family


numbers = st.floats(0.01, 0.3).map(lambda x: shop(round(x, 3)))


def some(ids):
    return st.dictionaries(st.sampled_from(sorted(ids)), numbers)


@st.composite
def overlays(draw, layer):
    shares = draw(st.sampled_from([{}, {"style": {"small": shop(0.3), "large": shop(0.7)}},
                                   {"lamp": {"yes": shop(0.9), "no": shop(0.1)}}]))  # fmt: skip
    return Overlay(
        layer, "warmer", unknown_rate=draw(st.none() | numbers), option_shares=shares,
        fault_rates=draw(some(f.id for f in WARMER.faults)), part_prices=draw(some(["heater"])),
        minutes=ShopMinutes(draw(some(t.id for t in WARMER.tests)), draw(some(r.id for r in WARMER.repairs))),
        costs=ShopCosts(draw(st.none() | numbers), draw(st.none() | numbers)),
    )  # fmt: skip


@MANY
@given(overlays("low"), overlays("high"))
def test_of_two_layers_the_later_counts_where_both_speak_and_each_where_it_alone_does(low, high):
    alone_low, alone_high = layers(laid_over(WARMER, low)), layers(laid_over(WARMER, high))
    both = layers(laid_over(laid_over(WARMER, low), high))
    assert both == alone_low | alone_high
    other_way = layers(laid_over(laid_over(WARMER, high), low))
    assert other_way == alone_high | alone_low
    # The order matters where, and only where, both set the same number to different values.
    differ = {where for where in alone_low.keys() & alone_high.keys() if alone_low[where][1] != alone_high[where][1]}
    same = digest(laid_over(laid_over(WARMER, low), high)) == digest(laid_over(laid_over(WARMER, high), low))
    assert same == (not differ)


@MANY
@given(overlays("low"))
def test_laying_twice_is_laying_once(low):
    once = laid_over(WARMER, low)
    assert digest(laid_over(once, low)) == digest(once)


# What is refused

UNKNOWN: dict[str, tuple[dict[str, Any], str]] = {
    "fault": ({"fault_rates": {"fuse_opn": S}}, "fault_rates: fault 'fuse_opn' does not exist; "
                                                 "did you mean 'fuse_open'?"),
    "option": ({"option_shares": {"stile": {}}}, "option_shares: option 'stile' does not exist; "
                                                  "did you mean 'style'?"),
    "value": ({"option_shares": {"style": {"smal": shop(0.5), "small": shop(0.3), "large": shop(0.7)}}},
              "option_shares.style: value of option 'style' 'smal' does not exist; did you mean 'small'?"),
    "test": ({"minutes": ShopMinutes(tests={"dor": S})}, "minutes.tests: test 'dor' does not exist; "
                                                          "did you mean 'door'?"),
    "repair": ({"minutes": ShopMinutes(repairs={"overhal": S})}, "minutes.repairs: repair 'overhal' does not exist; "
                                                                  "did you mean 'overhaul'?"),
    "zone": ({"minutes": ShopMinutes(zones={"outsid": S})}, "minutes.zones: zone 'outsid' does not exist; "
                                                             "did you mean 'outside'?"),
    "state": ({"minutes": ShopMinutes(states={"lives": S})}, "minutes.states: state 'lives' does not exist; "
                                                              "did you mean 'live'?"),
    "part": ({"part_prices": {"heeter": S}}, "part_prices: part 'heeter' does not exist; did you mean 'heater'?"),
    "part on the van": ({"van": ("heeter",)}, "van: part 'heeter' does not exist; did you mean 'heater'?"),
    "test of the checklist": ({"checklist": ("dor",)}, "checklist: test 'dor' does not exist; did you mean 'door'?"),
    "complaint": ({"cautions": ShopCautions(complaints={"cald": ("x",)})},
                  "cautions.complaints: complaint 'cald' does not exist; did you mean 'cold'?"),
    "test of limits": ({"limits": {"heater_curent": (Limit(S),)}}, "limits: test 'heater_curent' does not exist; "
                                                                   "did you mean 'heater_current'?"),
    "option of limits": ({"limits": {"heater_current": (Limit(S, when={"stile": "small"}),)}},
                         "limits of heater_current: when: option 'stile' does not exist; did you mean 'style'?"),
    "fault of a row": ({"outcomes": (OutcomeRow("door", {}, "door_lose"),)},
                       "outcomes[0]: fault 'door_lose' does not exist; did you mean 'door_loose'?"),
    "outcome of a row": ({"outcomes": (OutcomeRow("door", chances(shut=0.5, ajr=0.5)),)},
                         "outcomes[0]: outcome of test 'door' 'ajr' does not exist; did you mean 'ajar'?"),
    "fault of effects": ({"effects": (Effects("fuse_opn"),)}, "effects[0]: fault 'fuse_opn' does not exist; "
                                                               "did you mean 'fuse_open'?"),
    "function": ({"effects": (Effects("fuse_open", {"heat": S}),)},
                 "effects[0].fails_with: function 'heat' does not exist; did you mean 'heats'?"),
    "circuit": ({"effects": (Effects("fuse_open", changes={"heatin": (Open("fuse"),)}),)},
                "effects[0].changes: circuit 'heatin' does not exist; did you mean 'heating'?"),
}  # fmt: skip


@pytest.mark.parametrize("kind", UNKNOWN)
def test_what_is_unknown_is_refused_by_name(kind):
    what, told = UNKNOWN[kind]
    assert told in refused(**what)


RULES: dict[str, tuple[dict[str, Any], str]] = {
    "a rate of 1": ({"fault_rates": {"fuse_open": shop(1.0)}}, "fault fuse_open: rate is 1.0; it must lie strictly"),
    "shares": ({"option_shares": {"style": chances(small=0.5, large=0.4)}}, "add up to 0.9, not 1"),
    "one share": ({"option_shares": {"style": chances(small=0.5)}},
                  "option_shares.style: lacks 'large': the shares of an option's values are replaced together"),
    "no share": ({"option_shares": {"style": chances(small=1.0, large=0.0)}},
                 "option_shares.style: 'large' has a share of 0: a case of such an appliance would be refused"),
    "chances": ({"outcomes": (OutcomeRow("door", chances(shut=0.5)),)}, "the probabilities add up to 0.5, not 1"),
    "limits": ({"limits": {"heater_current": (Limit(shop(5.0), shop(4.0)),)}}, "low (5.0) is above high (4.0)"),
    "no limits": ({"limits": {"heater_current": (Limit(),)}}, "has neither low nor high"),
    "limits twice": ({"limits": {"heater_current": (Limit(S), Limit(S))}}, "two have the same when"),
    "limits of what is seen": ({"limits": {"door": (Limit(S),)}}, "a test of kind seen has no limits"),
    "minutes": ({"minutes": ShopMinutes(tests={"door": shop(-1.0)})}, "test door: minutes is negative (-1.0)"),
    "a price": ({"part_prices": {"heater": shop(-1.0)}}, "part heater: price is negative (-1.0)"),
    "labour": ({"costs": ShopCosts(labour_per_hour=shop(-1.0))}, "costs: labour_per_hour is negative (-1.0)"),
    "something unknown": ({"unknown_rate": shop(0.0)}, "unknown_rate is 0.0; it must lie strictly"),
    "nominal": ({"supply": ShopSupply(nominal=shop(-1.0))}, "the nominal voltage must be positive"),
    "least": ({"supply": ShopSupply(least=shop(110.0))}, "least (110.0) must lie from 0 to the nominal 100.0"),
    "most": ({"supply": ShopSupply(most=shop(90.0))}, "most (90.0) lies under the nominal 100.0"),
    "usual": ({"supply": ShopSupply(usual=normal(shop(10.0), shop(1.0)))}, "would not work under the usual 10"),
    "van twice": ({"van": ("heater", "heater")}, "van: names part 'heater' 2 times"),
    "checklist twice": ({"checklist": ("door", "door")}, "checklist: names test 'door' 2 times"),
    "a caution": ({"cautions": ShopCautions(family=(" ",))}, "cautions.family: a caution is empty"),
    "a table": ({"outcomes": (OutcomeRow("chamber", chances(hot=1.0)),)},
                "outcomes[0]: test 'chamber' has no table of outcomes"),
    "a row": ({"outcomes": (OutcomeRow("door", chances(shut=1.0), "fuse_open"),)},
              "has no row for fault 'fuse_open' (it has door_loose, lamp_dirty); a row is added in effects"),
    "a row twice": ({"outcomes": (OutcomeRow("door", chances(shut=1.0), "door_loose"),
                                  OutcomeRow("door", chances(ajar=1.0), "door_loose"))},
                    "outcomes: two are of test 'door' and fault 'door_loose'"),
    "a sound row twice": ({"outcomes": (OutcomeRow("door", chances(shut=1.0)),) * 2},
                          "outcomes: two are of test 'door' and a sound appliance"),
    "an effect twice": ({"effects": (Effects("fuse_open", cured_by=chances(overhaul=0.1)),
                                     Effects("fuse_open", cured_by=chances(overhaul=0.9)))},
                        "effects: two are of fault 'fuse_open' and 'overhaul'"),
    "a table for others": ({"outcomes": (OutcomeRow("door", chances(shut=1.0), when={"style": "small"}),)},
                           "no table of test 'door' is for {style = small}; give when = {}"),
    "no table to add to": ({"effects": (Effects("fuse_open", outcomes={"chamber": chances(hot=1.0)}),)},
                           "effects[0].outcomes: test 'chamber' has no table model"),
    "nothing stated": ({"effects": (Effects("fuse_open", stated={"door": exactly(S)}),)},
                       "effects[0].stated: test 'door' has no stated model"),
    "a fault that shows nowhere": ({"faults": (Fault("mouse", "A mouse", shop(0.1)),)}, "fault mouse: changes nothing"),
    "an id that is taken": ({"faults": (Fault("fuse_open", "Fuse", shop(0.1)),)},
                            "faults: fault 'fuse_open' is there already"),
    "an id that is reserved": ({"faults": (Fault("unknown", "?", shop(0.1)),)}, "fault unknown: the id is reserved"),
    "an id": ({"faults": (Fault("Mouse-1", "?", shop(0.1)),)}, "an id is written in snake_case"),
    "a change": ({"effects": (Effects("fuse_open", changes={"heating": (Open("fuze"),)}),)},
                 "part 'fuze' does not exist; did you mean 'fuse'?"),
    "own records": ({"repairs": (Repair("catch", "Catch", chances(fuse_opn=1.0), S, "isolatd", ()),)},
                    "repair catch: state 'isolatd' does not exist; did you mean 'isolated'?"),
}  # fmt: skip


@pytest.mark.parametrize("rule", RULES)
def test_a_shop_cannot_break_a_family(rule):
    what, told = RULES[rule]
    assert [one for one in refused(**what) if told in one]


def test_everything_that_is_broken_is_told_at_once():
    broken = refused(fault_rates={"fuse_opn": S, "fuse_open": shop(2.0)}, part_prices={"heeter": S}, van=("x",))
    assert len(broken) == 4
    assert str(OverlayError(Overlay("a", "warmer"), broken)) == f"layer 'a' over family 'warmer': {'; '.join(broken)}"


@pytest.mark.parametrize(
    ("layer", "told"),
    [("North-Street", "an id is written in snake_case"), ("", "snake_case"), ("pack", "the name is reserved"),
     ("case", "the name is reserved")],
)  # fmt: skip
def test_the_name_of_a_layer(layer, told):
    with pytest.raises(OverlayError, match=told):
        lay(layer=layer)


def test_an_overlay_lies_over_its_own_family_alone():
    with pytest.raises(OverlayError, match="it is for family 'kettle', not for 'warmer'"):
        laid_over(WARMER, Overlay("shop_one", "kettle"))


@pytest.mark.parametrize(
    ("what", "told"),
    [
        ({"fault_rates": {"fuse_open": 0.2}}, "fault_rates['fuse_open']: 0.2 carries no basis"),
        ({"unknown_rate": 0.2}, "unknown_rate: 0.2 carries no basis"),
        ({"van": "heater"}, "van: must be a tuple, not str; a tuple of one ends in a comma"),
        ({"fault_rates": [1]}, "fault_rates: must be a mapping, not list"),
        ({"supply": ShopSupply(usual=120.0)}, "usual: must be a spread, not float"),
    ],
)
def test_records_are_made_of_what_their_fields_ask_for(what, told):
    assert [one for one in refused(**what) if told in one]


def test_a_published_number_keeps_its_source():
    rate = named(lay(fault_rates={"fuse_open": published(0.2, "A table")}).faults, "fuse_open").rate
    assert (rate.basis, rate.source, rate.layer) == ("published", "A table", "shop_one")


def test_a_stated_reading_is_added_to_every_stated_model():
    chamber = named(WARMER.tests, "chamber")
    both = (replace(chamber.models[0], when=SMALL), replace(chamber.models[0], when=LARGE))
    family = warmer(tests=tuple(replace(t, models=both) if t.id == "chamber" else t for t in WARMER.tests))
    laid = lay(family, effects=(Effects("fuse_open", stated={"chamber": exactly(shop(-40.0))}),))
    models = named(laid.tests, "chamber").models
    assert all(isinstance(m, Stated) and m.by_fault["fuse_open"].first == -40.0 for m in models)
