"""Shop files: what they may hold, and one clear error for whatever else is in one."""

from __future__ import annotations

import tomllib
from dataclasses import fields
from pathlib import Path
from typing import get_args, get_type_hints

import pytest

from probewright.circuit.parts import Contact, Drift, Leak, Level, Open, Short, Stuck, Swap
from probewright.figures import Figure, Spread, normal, shop
from probewright.packs.loader import load_packs
from probewright.packs.model import (
    Between,
    Closing,
    Complaint,
    Fault,
    Limit,
    Repair,
    ReplaceablePart,
    Requirement,
    Shows,
    Stated,
    Table,
    Test,
    TestKind,
    Through,
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
from probewright.packs.shopfile import _MADE_BY, read_shop_file
from probewright_schemas.figure_fields import KINDS_OF_SPREAD, KINDS_OF_TEST
from probewright_schemas.shop_fields import GivenSchema

DEMO = Path(__file__).parents[2] / "demo" / "shop.toml"


# What a file may hold

NUMBERS = """
layer = "quay"
contract = "1.1"
[families.kettle]
van = ["lid", "cord"]
unknown_rate = 0.004
checklist = ["look"]
fault_rates.open = 0.06
fault_rates.weak = { value = 0.031, source = "14 of 452 closed jobs" }
fault_rates.dead = { value = 0.01, basis = "published", source = "A table" }
option_shares.style = { small = 0.8, large = 0.2 }
minutes.tests.look = 4
minutes.repairs.mend = 5
minutes.zones.inside = 6
minutes.states.live = 7.5
part_prices.lid = 52
costs = { labour_per_hour = 95, callback = 120, return_visit = 110, verification_minutes = 5 }
supply = { nominal = 230, usual = { kind = "normal", first = 231, second = 1.5 }, least = 190, most = 260 }
cautions.family = ["Hot."]
cautions.tests.look = ["Steam."]
cautions.repairs.mend = ["Sharp."]
cautions.states.live = ["Mains."]
cautions.zones.inside = ["Edges."]
cautions.complaints.cold = ["Old wiring."]
[[families.kettle.limits]]
test = "current"
low = 3.2
high = { value = 3.6, basis = "from_memory" }
scales_with_supply = true
when = { style = "small", colour = ["red", "blue"] }
[[families.kettle.limits]]
test = "current"
high = 9
[[families.kettle.outcomes]]
test = "look"
fault = "open"
chances = { fine = 0.1, bad = { value = 0.9, source = "9 of 10" } }
when = { style = "small" }
"""


def test_numbers_of_every_kind(read):
    (overlay,) = read(NUMBERS)
    limits = (Limit(shop(3.2), Figure(3.6, "from_memory"), True, {"style": ("small",), "colour": ("red", "blue")}),
              Limit(None, shop(9.0)))  # fmt: skip
    assert overlay == Overlay(
        "quay", "kettle", ("lid", "cord"), shop(0.004), ("look",),
        {"open": shop(0.06), "weak": shop(0.031), "dead": shop(0.01)},
        {"style": {"small": shop(0.8), "large": shop(0.2)}},
        ShopMinutes({"look": shop(4)}, {"mend": shop(5)}, {"inside": shop(6)}, {"live": shop(7.5)}),
        {"lid": shop(52)}, ShopCosts(shop(95), shop(120), shop(110), shop(5)),
        ShopSupply(shop(230), normal(shop(231), shop(1.5)), shop(190), shop(260)),
        ShopCautions(("Hot.",), {"look": ("Steam.",)}, {"mend": ("Sharp.",)}, {"live": ("Mains.",)},
                     {"inside": ("Edges.",)}, {"cold": ("Old wiring.",)}),
        {"current": limits},
        (OutcomeRow("look", {"fine": shop(0.1), "bad": shop(0.9)}, "open", {"style": ("small",)}),),
    )  # fmt: skip
    told = {name: (rate.basis, rate.source) for name, rate in overlay.fault_rates.items()}
    assert told == {"open": ("shop", ""), "weak": ("shop", "14 of 452 closed jobs"), "dead": ("published", "A table")}
    assert overlay.outcomes[0].chances["bad"].source == "9 of 10"
    assert overlay.limits["current"][0].high.basis == "from_memory"


RECORDS = """
[[families.kettle.faults]]
id = "mouse"
title = "A mouse"
rate = 0.01
part = "lid"
excludes = ["open"]
when = { style = "small" }
[[families.kettle.parts]]
id = "trap"
title = "Trap"
price = 5
[[families.kettle.closings]]
id = "gone"
text = "It is gone."
test = "peek"
passes = ["none"]
limits = [{ low = 1 }]
guarded = true
[[families.kettle.complaints]]
id = "squeaks"
title = "It squeaks"
if_working = 0.001
function = "boils"
if_failed = 0.5
shown_by.mouse = 0.8
cautions = ["Teeth."]
when = { style = "small" }
[[families.kettle.repairs]]
id = "catch"
title = "Catch it"
cures.mouse = 0.9
minutes = 15
state = "off"
zones = ["inside"]
part = "trap"
skill = "patience"
steps = ["Wait."]
cautions = ["Teeth."]
closing_checks = ["gone"]
when = { style = "small" }
[[families.kettle.tests]]
id = "peek"
title = "Peek"
kind = "seen"
states = ["off"]
zone = "inside"
minutes = 2
unit = "V"
command = "boil"
outcomes = ["none", "mouse"]
limits = [{ high = 3 }]
needs = ["ambient"]
measures = "supply_voltage"
instrument = "lamp"
skill = "patience"
steps = ["Look."]
cautions = ["Teeth."]
closing = true
reported = false
when = { style = "small" }
[[families.kettle.tests.models]]
kind = "table"
healthy = { none = 1 }
by_fault.mouse = { none = 0.2, mouse = 0.8 }
without = [{ requirement = { circuit = "main", of = "coil", quantity = "current", command = "boil", state = "live", \
at_least = { kind = "uniform", first = 1, second = 2 } }, outcome = "none" }]
when = { style = "small" }
[[families.kettle.tests.models]]
kind = "stated"
healthy = { kind = "uniform", first = 1, second = 2 }
by_fault.mouse = { kind = "log_normal", first = 1, second = 2 }
relative_to = "ambient"
[[families.kettle.tests.models]]
kind = "between"
circuit = "main"
plus = "a"
minus = "b"
apart = ["coil"]
[[families.kettle.tests.models]]
kind = "through"
circuit = "main"
part = "coil"
[[families.kettle.tests.models]]
kind = "shows"
circuit = "main"
of = "coil"
quantity = "voltage"
edges = [{ kind = "uniform", first = 1, second = 2 }]
outcomes = ["none", "mouse"]
[[families.kettle.effects]]
fault = "mouse"
fails_with.boils = 0.2
shown_by.cold = 0.6
outcomes.look = { fine = 0.2, bad = 0.8 }
stated.warmth = { kind = "normal", first = -40, second = 10 }
cured_by.mend = 0.9
[families.kettle.effects.changes]
main = [
  { kind = "open", part = "coil" },
  { kind = "short", part = "coil", ohms = { kind = "uniform", first = 1, second = 2 } },
  { kind = "drift", part = "coil", factor = { kind = "uniform", first = 1, second = 2 } },
  { kind = "contact", part = "coil", ohms = { kind = "uniform", first = 1, second = 2 } },
  { kind = "leak", a = "a", b = "b", ohms = { kind = "uniform", first = 1, second = 2 } },
  { kind = "stuck", switch = "knob", position = "open" },
  { kind = "swap", first = "coil", second = "knob" },
  { kind = "level", source = "mains", factor = { kind = "uniform", first = 1, second = 2 } },
]
"""


def test_records_of_every_kind(read):
    (overlay,) = read(RECORDS)
    small, wide = {"style": ("small",)}, Spread("uniform", shop(1), shop(2))
    needs = Requirement("main", "coil", "current", "boil", "live", wide)
    models = (
        Table({"none": shop(1)}, {"mouse": {"none": shop(0.2), "mouse": shop(0.8)}}, ((needs, "none"),), small),
        Stated(wide, {"mouse": Spread("log_normal", shop(1), shop(2))}, "ambient"),
        Between("main", "a", "b", ("coil",)), Through("main", "coil"),
        Shows("main", "coil", "voltage", (wide,), ("none", "mouse")),
    )  # fmt: skip
    changes = (Open("coil"), Short("coil", wide), Drift("coil", wide), Contact("coil", wide), Leak("a", "b", wide),
               Stuck("knob", "open"), Swap("coil", "knob"), Level("mains", wide))  # fmt: skip
    assert overlay == Overlay(
        "north_street", "kettle",
        faults=(Fault("mouse", "A mouse", shop(0.01), "lid", ("open",), small),),
        parts=(ReplaceablePart("trap", "Trap", shop(5)),),
        closings=(Closing("gone", "It is gone.", "peek", (Limit(shop(1)),), ("none",), True),),
        complaints=(Complaint("squeaks", "It squeaks", shop(0.001), "boils", shop(0.5), {"mouse": shop(0.8)},
                              ("Teeth.",), small),),
        repairs=(Repair("catch", "Catch it", {"mouse": shop(0.9)}, shop(15), "off", ("inside",), "trap", "patience",
                        ("Wait.",), ("Teeth.",), ("gone",), small),),
        tests=(Test("peek", "Peek", "seen", ("off",), "inside", shop(2), models, "V", "boil", ("none", "mouse"),
                    (Limit(None, shop(3)),), ("ambient",), "supply_voltage", "lamp", "patience", ("Look.",),
                    ("Teeth.",), True, False, small),),
        effects=(Effects("mouse", {"boils": shop(0.2)}, {"cold": shop(0.6)}, {"look": {"fine": shop(0.2),
                                                                                      "bad": shop(0.8)}},
                         {"warmth": normal(shop(-40), shop(10))}, {"mend": shop(0.9)}, {"main": changes}),),
    )  # fmt: skip


def test_the_file_names_the_layer_unless_it_has_a_name_of_its_own(read):
    assert [o.layer for o in read("[families.kettle]\n[families.toaster]\n")] == ["north_street"] * 2
    assert [o.layer for o in read('layer = "quay"\n[families.kettle]\n')] == ["quay"]


def test_a_file_may_say_nothing(read):
    assert read("families = {}") == ()
    assert read("[families.kettle]\n") == (Overlay("north_street", "kettle"),)


def test_the_example_fits_the_gas_range_and_says_that_it_is_invented():
    family = load_packs().get("gas_range").family
    (overlay,) = read_shop_file(DEMO)
    laid = laid_over(family, overlay)
    assert laid.van == ("bake_igniter", "broil_igniter", "oven_sensor", "spark_electrode")
    comment = " ".join(line.lstrip("# ") for line in DEMO.read_text().splitlines() if line.startswith("#"))
    assert "Every number in this file is invented" in comment
    used = set(tomllib.loads(DEMO.read_text())["families"]["gas_range"])
    assert used >= {"van", "unknown_rate", "fault_rates", "option_shares", "minutes", "part_prices", "costs", "supply",
                    "cautions", "limits", "outcomes", "faults", "effects", "tests", "repairs"}  # fmt: skip


# What it may hold is what the records have


def below(schema: type) -> list[type]:
    return [each for inner in schema.__subclasses__() for each in (inner, *below(inner))]


#: What each kind of record in a file is made of, where it is not the record of that name itself.
MADE = {
    "limit_of_test": {"test", *(f.name for f in fields(Limit))},
    "without": {"requirement", "outcome"},
    "overlay": {f.name for f in fields(Overlay)} - {"layer", "family"},
}


@pytest.mark.parametrize("schema", below(GivenSchema), ids=lambda schema: schema.of)
def test_a_file_may_give_every_field_of_a_record_and_no_other(schema):
    """A field that a record gains must be one that a shop can give."""
    wanted = MADE.get(schema.of) or {f.name for f in fields(_MADE_BY[schema.of])}
    assert {name.rstrip("_") for name in schema().fields} == wanted


def test_a_file_has_a_place_for_every_kind_of_record():
    assert {schema.of for schema in below(GivenSchema)} == {*_MADE_BY, "overlay"}
    assert set(KINDS_OF_TEST) == set(get_args(TestKind))
    assert set(KINDS_OF_SPREAD) == set(get_args(get_type_hints(Spread)["kind"]))
