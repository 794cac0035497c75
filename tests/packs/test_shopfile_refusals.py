"""One clear error for whatever is wrong with a shop's file."""

from __future__ import annotations

import re

import pytest
import tomli_w
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from probewright.packs.check import check_family
from probewright.packs.overlay import (
    Overlay,
    OverlayError,
    laid_over,
)
from probewright.packs.shopfile import LARGEST, ShopFileError, read_shop_file
from support.families import warmer

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
def test_a_mistake_is_told_with_its_place_and_what_stands_there(refused_file, mistake):
    text, told = MISTAKES[mistake]
    assert [broken for broken in refused_file(HEAD + text) if broken == told or broken.endswith(told)]


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
def test_what_is_no_shop_file_at_all_gets_one_clear_error(refused_file, mistake):
    text, told = WHOLE[mistake]
    (broken,) = refused_file(text)
    assert broken.startswith(told)


def test_a_name_that_cannot_be_a_layers(read, refused_file):
    assert refused_file('layer = "North Street"\n[families.kettle]\n') == (
        "layer 'North Street': an id is written in snake_case",
    )
    with pytest.raises(ShopFileError, match=re.escape(
        "layer 'north-street': an id is written in snake_case; the file gives it none, so it is the file's: "
        'write layer = "..."'
    )):  # fmt: skip
        read("[families.kettle]\n", "north-street.toml")


def test_every_mistake_is_told_at_once(refused_file):
    assert refused_file(HEAD + "unknown_rate = 'x'\nvan = 3\nfault_rates.a = -1") == (
        "families.kettle.fault_rates.a = -1: must lie from 0 to 1",
        'families.kettle.unknown_rate = "x": must be a number, without quotes, not a string',
        "families.kettle.van = 3: must be an array, not a number",
    )


def test_of_very_many_mistakes_the_message_tells_some(read, refused_file):
    text = HEAD + "".join(f"fault_rates.x{i} = 'a'\n" for i in range(300))
    with pytest.raises(ShopFileError, match=r": 101 mistakes: .*; and more$"):
        read(text)
    assert refused_file(text)[-1] == "the file: and 200 more faults"


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
