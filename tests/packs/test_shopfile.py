"""Shop files: what they may hold, and one clear error for whatever else is in one."""

from __future__ import annotations

import re
import tomllib
from dataclasses import fields
from pathlib import Path
from typing import get_args, get_type_hints

import pytest
import tomli_w
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from probewright.circuit.parts import Contact, Drift, Leak, Level, Open, Short, Stuck, Swap
from probewright.figures import Figure, Spread, normal, shop
from probewright.packs.check import check_family
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
    OverlayError,
    ShopCautions,
    ShopCosts,
    ShopMinutes,
    ShopSupply,
    laid_over,
)
from probewright.packs.shopfile import _MADE_BY, LARGEST, ShopFileError, read_shop_file
from probewright_schemas.figure_fields import KINDS_OF_SPREAD, KINDS_OF_TEST
from probewright_schemas.shop_fields import GivenSchema
from support.families import warmer

DEMO = Path(__file__).parents[2] / "demo" / "shop.toml"


@pytest.fixture
def read(tmp_path):
    def call(text, name="north_street.toml"):
        path = tmp_path / name
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return read_shop_file(path)

    return call


@pytest.fixture
def refused(read, tmp_path):
    """Why a file is refused, without its name."""

    def call(text):
        with pytest.raises(ShopFileError) as caught:
            read(text)
        assert str(caught.value).startswith(f"shop file {tmp_path / 'north_street.toml'}: ")
        assert "\n" not in str(caught.value)
        return caught.value.broken

    return call


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


# What is wrong with one

HEAD = "[families.kettle]\n"
MISTAKES = {
    "no number": ("unknown_rate = nan", "families.kettle.unknown_rate = nan: must be finite"),
    "infinite": ("fault_rates.x = -inf", "families.kettle.fault_rates.x = -inf: must be finite"),
    "a boolean": ("fault_rates.x = true", "families.kettle.fault_rates.x = true: must be a number, not a boolean"),
    "a date": ("part_prices.x = 2026-01-01", "families.kettle.part_prices.x = 2026-01-01: must be a number, not date"),
    "a text": ('part_prices.x = "4"',
               'families.kettle.part_prices.x = "4": must be a number, without quotes, not a string'),
    "an array": ("fault_rates = [1]", "families.kettle.fault_rates: must be an object, not an array"),
    "no array": ("faults = { id = 1 }", "families.kettle.faults: must be an array, not an object"),
    "too large": ("part_prices.x = 1e300", "families.kettle.part_prices.x = 1e+300: must lie from 0 to 1e+30"),
    "negative": ("minutes.tests.x = -1", "families.kettle.minutes.tests.x = -1: must lie from 0 to 1e+30"),
    "no probability": ("fault_rates.x = 1.5", "families.kettle.fault_rates.x = 1.5: must lie from 0 to 1"),
    "no probability in a table": ("fault_rates.x = { value = 1.5 }",
                                  "families.kettle.fault_rates.x.value = 1.5: must lie from 0 to 1"),
    "no value": ("fault_rates.x = { basis = 'shop' }", "families.kettle.fault_rates.x.value: is required"),
    "an unknown basis": ("fault_rates.x = { value = 0.2, basis = 'shp' }", "did you mean 'shop'?"),
    "an unknown key of a number": ("fault_rates.x = { value = 0.2, sorce = 'x' }",
                                   "x.sorce = \"x\": unknown field; did you mean 'source'?"),
    "published without a source": ("fault_rates.x = { value = 0.2, basis = 'published' }",
                                   "families.kettle.fault_rates.x: a published figure names its source"),
    "an unknown key": ("fault_rats.x = 1", "families.kettle.fault_rats: unknown field; did you mean 'fault_rates'?"),
    "an unknown cost": ("costs.labor_per_hour = 1",
                        "families.kettle.costs.labor_per_hour = 1: unknown field; did you mean 'labour_per_hour'?"),
    "an unknown kind": ("tests = [{ models = [{ kind = 'tabel' }] }]",
                        'families.kettle.tests[0].models[0].kind = "tabel": must be one of between, through, shows, '
                        "stated, table; did you mean 'table'?"),
    "no kind": ("effects = [{ fault = 'x', changes.main = [{}] }]",
                "families.kettle.effects[0].changes.main[0].kind: is required"),
    "no record": ("tests = [{ models = [3] }]",
                  "families.kettle.tests[0].models[0] = 3: must be an object, not a number"),
    "a key of another kind": ("effects = [{ fault = 'x', changes.main = [{ kind = 'open', part = 'x', ohm = 2 }] }]",
                              "families.kettle.effects[0].changes.main[0].ohm = 2: unknown field"),
    "a misspelt key of a kind": ("effects = [{ fault = 'x', changes.main = [{ kind = 'open', prt = 'x' }] }]",
                                 'families.kettle.effects[0].changes.main[0].prt = "x": unknown field; '
                                 "did you mean 'part'?"),
    "a spread the wrong way round": ("supply.usual = { kind = 'uniform', first = 3, second = 2 }",
                                     "kettle.supply.usual: the upper bound 2.0 lies under the lower bound 3.0"),
    "a value for nothing": ("limits = [{ test = 'x', when = { style = 3 } }]",
                            "families.kettle.limits[0].when.style = 3: must be an array, not a number"),
    "the same twice": ("van = ['lid', 'lid']", "families.kettle.van[1] = \"lid\": 'lid' is listed twice"),
    "control characters": ('cautions.family = ["\\u0007"]', "may not hold control characters"),
    "a long name": (f"fault_rates.{'x' * 300} = 1", "families.kettle.fault_rates: a name has more than 200 characters"),
}  # fmt: skip


@pytest.mark.parametrize("mistake", MISTAKES)
def test_a_mistake_is_told_with_its_place_and_what_stands_there(refused, mistake):
    text, told = MISTAKES[mistake]
    assert [broken for broken in refused(HEAD + text) if broken == told or broken.endswith(told)]


WHOLE = {
    "no families": ("layer = 'x'", "families: is required"),
    "no table": ("[families]\nkettle = 3", "families.kettle = 3: must be an object"),
    "another major contract": ("contract = '2.0'\nfamilies = {}", "contract: incompatible: made for contract 2.0;"),
    "a later contract": ("contract = '1.99'\nfamilies = {}", "contract: incompatible: made for contract 1.99;"),
    "a number for a contract": ("contract = 1.1\nfamilies = {}", "contract = 1.1: must be a string, not a number"),
    "no TOML": ("families == 3", "is not TOML: Invalid value (at line 1, column 11)"),
    "the same key twice": ("a = 1\na = 2\nb = 1\n", "is not TOML: Cannot overwrite a value (at line 2, column 6)"),
    "no UTF-8": (b"a = 1\nb = '\xff'", "is not UTF-8 (at line 2)"),
    "thousands of digits": ("layer = " + "9" * 5000, "is not TOML: Exceeds the limit"),
    "thousands of arrays": ("x = " + "[" * 5000, "nests deeper than 24 levels"),
    "hundreds of arrays": ("x = " + "[" * 200 + "]" * 200, "nests deeper than 24 levels"),
    "hundreds of thousands of dots": ("\n" + "a." * 200_000 + "a = 1",
                                      "has a key that nests deeper than 24 levels (at line 2)"),
    "the same in a table": ("x = { " + "a ." * 200_000 + "a = 1 }", "has a key that nests deeper than 24 levels"),
    "too many bytes": ("#" * (LARGEST + 1), f"has more than {LARGEST} bytes"),
    "one endless word": ("x = " + "a" * (LARGEST - 10), "is not TOML: Invalid value"),
    "one endless gap": ("x" + " " * (LARGEST - 10), "is not TOML: Expected '='"),
}


@pytest.mark.parametrize("mistake", WHOLE)
def test_what_is_no_shop_file_at_all_gets_one_clear_error(refused, mistake):
    text, told = WHOLE[mistake]
    (broken,) = refused(text)
    assert broken.startswith(told)


def test_a_name_that_cannot_be_a_layers(read, refused):
    assert refused('layer = "North Street"\n[families.kettle]\n') == (
        "layer 'North Street': an id is written in snake_case",
    )
    with pytest.raises(ShopFileError, match=re.escape(
        "layer 'north-street': an id is written in snake_case; the file gives it none, so it is the file's: "
        'write layer = "..."'
    )):  # fmt: skip
        read("[families.kettle]\n", "north-street.toml")


def test_every_mistake_is_told_at_once(refused):
    assert refused(HEAD + "unknown_rate = 'x'\nvan = 3\nfault_rates.a = -1") == (
        "families.kettle.fault_rates.a = -1: must lie from 0 to 1",
        'families.kettle.unknown_rate = "x": must be a number, without quotes, not a string',
        "families.kettle.van = 3: must be an array, not a number",
    )


def test_of_very_many_mistakes_the_message_tells_some(read, refused):
    text = HEAD + "".join(f"fault_rates.x{i} = 'a'\n" for i in range(300))
    with pytest.raises(ShopFileError, match=r": 101 mistakes: .*; and more$"):
        read(text)
    assert refused(text)[-1] == "the file: and 200 more faults"


def test_files_that_cannot_be_read(tmp_path):
    for path, told in ((tmp_path / "absent.toml", "No such file or directory"), (tmp_path, "Is a directory"),
                       ("a\0b", "embedded null byte")):  # fmt: skip
        with pytest.raises(ShopFileError, match=re.escape(f"cannot be read: {told}")):
            read_shop_file(path)


def test_a_file_without_end_is_not_read_to_its_end():
    with pytest.raises(ShopFileError, match="has more than"):
        read_shop_file("/dev/zero")


# Anything at all

NAMES = ["kind", "test", "fault", "when", "low", "chances", "value", "basis", "source", "first", "second", "models",
         "changes", "fuse_open", "door", "heater", "style", "healthy", "id", "title", "rate", "tests", "family",
         *Overlay.__dataclass_fields__]  # fmt: skip
WORDS = ["fuse_open", "door", "heater", "small", "table", "open", "shop", "uniform", "live", "", "é\u2028"]
scalars = st.one_of(
    st.booleans(), st.integers(-(10**20), 10**20), st.floats(), st.sampled_from(WORDS), st.dates(), st.times(),
)  # fmt: skip
anything = st.recursive(
    scalars, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(NAMES), inner, max_size=4),
    max_leaves=12,
)  # fmt: skip
wild = st.dictionaries(st.sampled_from(sorted(Overlay.__dataclass_fields__)), anything, max_size=5)

KNOWN = ["fuse_open", "door_loose", "door", "heater_current", "lamp", "heater", "heats", "rattles", "overhaul",
         "heating", "live", "outside", "style", "small", "large", "shut", "ajar", "nothing"]  # fmt: skip
ids, share = st.sampled_from(KNOWN), st.sampled_from([0.0, 0.05, 0.5, 0.95, 1.0])
shares = st.dictionaries(ids, share, max_size=3)
spreads = st.fixed_dictionaries({"kind": st.sampled_from(["uniform", "normal", "log_normal"]), "first": share,
                                 "second": share})  # fmt: skip
conditions = st.dictionaries(ids, ids, max_size=2)
tame = st.fixed_dictionaries({}, optional={
    "van": st.lists(ids, max_size=2, unique=True), "unknown_rate": share, "fault_rates": shares, "part_prices": shares,
    "option_shares": st.dictionaries(ids, shares, max_size=1), "costs": st.just({"callback": 3}),
    "minutes": st.fixed_dictionaries({}, optional=dict.fromkeys(("tests", "repairs", "zones", "states"), shares)),
    "supply": st.fixed_dictionaries({}, optional={"nominal": st.sampled_from([0, 100, 120]), "usual": spreads,
                                                  "least": share}),
    "limits": st.lists(st.fixed_dictionaries({"test": ids}, optional={"low": share, "high": share, "when": conditions}),
                       max_size=2),
    "outcomes": st.lists(st.fixed_dictionaries({"test": ids, "chances": shares},
                                               optional={"fault": ids, "when": conditions}), max_size=2),
    "effects": st.lists(st.fixed_dictionaries({"fault": ids}, optional={
        "fails_with": shares, "shown_by": shares, "cured_by": shares,
        "outcomes": st.dictionaries(ids, shares, max_size=1), "stated": st.dictionaries(ids, spreads, max_size=1),
        "changes": st.dictionaries(ids, st.lists(st.fixed_dictionaries({"kind": st.just("open"), "part": ids}),
                                                 max_size=1), max_size=1)}), max_size=2),
})  # fmt: skip


@settings(max_examples=400, deadline=None, derandomize=True, database=None,
          suppress_health_check=[HealthCheck.function_scoped_fixture])  # fmt: skip
@given(wild | tame)
def test_whatever_a_file_holds_it_is_laid_or_refused(read, document):
    """And what was laid holds together."""
    text = tomli_w.dumps({"families": {"warmer": document}})
    try:
        (overlay,) = read(text)
        laid = laid_over(warmer(), overlay)
    except (ShopFileError, OverlayError):
        return
    check_family(laid)
