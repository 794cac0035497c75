"""What an overlay does to a family: each field in its place, layers over layers, and what is refused."""

from __future__ import annotations

import pickle
from collections.abc import Mapping
from dataclasses import fields, is_dataclass, replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from probewright.circuit.parts import Drift, Source
from probewright.figures import Figure, exactly, invented, normal, published, shop
from probewright.packs.check import check_family
from probewright.packs.digest import digest
from probewright.packs.model import (
    Closing,
    Complaint,
    Family,
    Fault,
    Limit,
    Repair,
    ReplaceablePart,
    Stated,
    Table,
    Tap,
    Test,
)
from probewright.packs.overlay import (
    Effects,
    OutcomeRow,
    Overlay,
    ShopCautions,
    ShopCosts,
    ShopMinutes,
    ShopSupply,
    laid_over,
)
from support.families import warmer
from support.laying import LARGE, SMALL, WARMER, S, lay, limited, named, refused

MANY = settings(max_examples=60, deadline=None, derandomize=True, database=None)


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


def test_taps_move_with_the_nominal_supply():
    half = Tap(invented(50.0), {"style": "large"})
    family = replace(WARMER, supply=replace(WARMER.supply, taps=(half,)))
    laid = lay(family, supply=ShopSupply(nominal=shop(120.0), usual=normal(shop(120.0), shop(1.0))))
    (tap,) = laid.supply.taps
    assert (tap.nominal, tap.when) == (pytest.approx(60.0), {"style": "large"})
    assert float(laid.supply.nominal_in({"style": "small"})) == 120.0


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
