"""Overlays that do not fit their family are refused, with every place named."""

from __future__ import annotations

from typing import Any

import pytest

from probewright.circuit.parts import Open
from probewright.figures import exactly, normal, shop
from probewright.packs.model import (
    Fault,
    Limit,
    Repair,
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
from support.families import chances
from support.laying import WARMER, S, lay, refused

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
