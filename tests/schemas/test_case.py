from __future__ import annotations

import dataclasses
import math
from datetime import date

import pytest
from marshmallow import fields as ma_fields

from probewright.quantities.units import NumberError, number
from probewright_schemas import case as schemas
from probewright_schemas import records
from probewright_schemas.case import CaseSchema
from probewright_schemas.faults import MOST_FAULTS, DocumentError, pointer
from probewright_schemas.fields import UncleanError
from probewright_schemas.limits import LARGEST_NUMBER, LONGEST_UNIT
from probewright_schemas.load import DEEPEST, case_loader, depth_exceeds

load = case_loader()


def faults(document):
    with pytest.raises(DocumentError) as caught:
        load(document)
    return {f.pointer: (f.code, f.message) for f in caught.value.faults}


def put(document, where, value):
    """Set a place in a document, by the steps to it."""
    *outer, last = where
    for step in outer:
        document = document[step]
    document[last] = value


def remove(document, where):
    *outer, last = where
    for step in outer:
        document = document[step]
    del document[last]


def test_a_full_case_is_read(full):
    case = load(full)
    assert case.family == "gas_range"
    assert case.conditions.ambient == records.Quantity(70.0, "degF")
    assert case.meters["dmm"].beeper_threshold == records.Quantity(40.0, "ohm")
    amperes = [records.Quantity(value, "A") for value in (0.1, 0.01, 2.0)]
    assert case.readings[0] == records.Reading(
        "bake_igniter_current", value=2.6, unit="A", meter="dmm", state="live_gas_off", day=date(2026, 8, 29),
        correction=records.Correction(1.06, 0.004, *amperes, -0.5),
    )  # fmt: skip
    assert case.day == date(2026, 8, 28)
    assert case.meters["dmm"].id == "meter-12"
    assert case.readings[1].over_range is True
    assert case.readings[4].values == (1080.0, 1081.5)
    assert case.tech_sheet["x"] == records.Limits("V", high=3.0)
    assert case.repairs_done == (records.RepairDone("clean_burner_ports", True),)
    assert case.costs.parts == {"bake_igniter": 48.0}
    assert case.readings[3].after_repair == "clean_burner_ports"
    assert case.visit == records.Visit(("multimeter",), (), ("bake_igniter",))
    assert case.effort == "none"


def test_the_least_case_has_defaults():
    assert load({"family": "gas_range"}) == records.Case("gas_range")


def test_integers_become_floats(full):
    assert type(load(full).conditions.ambient.value) is float


def test_the_full_case_uses_every_field_that_the_records_have(full):
    """So that a field added to a record without its schema, or to neither, is noticed."""
    assert set(full) == {f.name for f in dataclasses.fields(records.Case)} == set(CaseSchema().fields)
    meter, conditions = full["meters"]["dmm"], full["conditions"]
    assert set(meter) == {f.name for f in dataclasses.fields(records.Meter)} == set(schemas.MeterSchema().fields)
    assert set(conditions) == {f.name for f in dataclasses.fields(records.Conditions)}
    used = {name for reading in full["readings"] for name in reading}
    assert used == {f.name for f in dataclasses.fields(records.Reading)} == set(schemas.ReadingSchema().fields)


REQUIRED = [
    ("family",), ("conditions", "ambient", "value"), ("conditions", "ambient", "unit"), ("meters", "dmm", "kind"),
    ("readings", 0, "test"), ("readings", 0, "unit"), ("readings", 4, "unit"), ("tech_sheet", "x", "unit"),
    ("repairs_done", 0, "repair"), ("repairs_done", 0, "complaint_remains"),
]  # fmt: skip


@pytest.mark.parametrize("where", REQUIRED, ids=pointer)
def test_what_is_missing_is_named(full, where):
    remove(full, where)
    assert faults(full) == {pointer(where): ("missing", faults(full)[pointer(where)][1])}
    assert "is required" in faults(full)[pointer(where)][1]


NUMBERS = [
    ("conditions", "ambient", "value"), ("meters", "dmm", "counts"), ("readings", 0, "value"),
    ("readings", 4, "values", 1), ("tech_sheet", "x", "high"), ("costs", "callback"), ("costs", "return_visit"),
    ("costs", "parts", "bake_igniter"),
]  # fmt: skip


@pytest.mark.parametrize("where", NUMBERS, ids=pointer)
@pytest.mark.parametrize(
    ("value", "code", "said"),
    [
        ("2.6", "type", "must be a number, without quotes, not a string"),
        ("OL", "type", "must be a number, without quotes, not a string"),
        (True, "type", "must be a number, not a boolean"),
        ([2.6], "type", "must be a number, not an array"),
        ({"value": 1}, "type", "must be a number, not an object"),
        (None, "null", "may not be null: leave it out"),
        (math.nan, "not_finite", "must be finite"),
        (math.inf, "not_finite", "must be finite"),
        (-math.inf, "not_finite", "must be finite"),
        (1e300, "range", "must lie from"),
        (10**400, "range", "must lie from"),
        (2 * LARGEST_NUMBER, "range", "must lie from"),
        (-2 * LARGEST_NUMBER, "range", "must lie from"),
    ],
)
def test_numbers_are_finite_json_numbers(full, where, value, code, said):
    put(full, where, value)
    found = faults(full)
    assert list(found) == [pointer(where)]
    assert found[pointer(where)][0] == code
    assert found[pointer(where)][1].startswith(said)


@pytest.mark.parametrize("where", [NUMBERS[1], *NUMBERS[-2:]], ids=pointer)
def test_some_numbers_are_not_negative(full, where):
    put(full, where, -0.01)
    assert faults(full)[pointer(where)][0] == "range"


TEXTS = [
    ("family",), ("reference",), ("options", "fuel"), ("complaints", 0), ("working", 1), ("meters", "dmm", "kind"),
    ("readings", 0, "test"), ("readings", 0, "unit"), ("readings", 0, "state"), ("readings", 3, "seen"),
    ("repairs_done", 0, "repair"),
]  # fmt: skip


@pytest.mark.parametrize("where", TEXTS, ids=pointer)
@pytest.mark.parametrize(
    ("value", "code"),
    [
        (3, "type"), (True, "type"), (["x"], "type"), ({}, "type"), (None, "null"), ("", "length"),
        ("x" * 201, "length"), ("a\nb", "characters"), ("a\x1b[2Jb", "characters"), ("a\x9bb", "characters"),
        ("\ud800", "characters"),
    ],
)  # fmt: skip
def test_texts_are_bounded_and_clean(full, where, value, code):
    put(full, where, value)
    assert faults(full)[pointer(where)][0] == code


def test_the_bounds_are_those_of_the_table_of_units(full):
    """What the contract lets through is not refused for its size later on, nor the other way round."""
    full["readings"][0] |= {"value": LARGEST_NUMBER, "unit": "x" * LONGEST_UNIT}
    assert load(full).readings[0].value == number(LARGEST_NUMBER)
    with pytest.raises(NumberError):
        number(1.01 * LARGEST_NUMBER)
    full["readings"][0] |= {"value": 1.01 * LARGEST_NUMBER, "unit": "x" * (LONGEST_UNIT + 1)}
    assert {place: code for place, (code, _) in faults(full).items()} == {
        "/readings/0/value": "range", "/readings/0/unit": "length",
    }  # fmt: skip


def test_texts_may_hold_any_script(full):
    full["reference"] = "Müller 日本 \u00a0Ω"
    assert load(full).reference == full["reference"]


@pytest.mark.parametrize(
    ("where", "value", "code"),
    [
        (("readings", 1, "over_range"), "true", "type"),
        (("readings", 1, "over_range"), 1, "type"),
        (("readings", 1, "over_range"), None, "null"),
        (("repairs_done", 0, "complaint_remains"), "no", "type"),
        (("meters", "dmm", "leads_zeroed"), 0, "type"),
        (("effort",), "quik", "choice"),
        (("effort",), 3, "type"),
        (("effort",), ["quick"], "type"),
        (("meters", "dmm", "sensing"), "rms", "choice"),
        (("complaints",), "bake_does_not_light", "type"),
        (("complaints",), {"a": 1}, "type"),
        (("complaints",), None, "null"),
        (("readings",), {"0": {}}, "type"),
        (("readings", 0), [], "type"),
        (("readings", 0), "x", "type"),
        (("readings", 4, "values"), [], "count"),
        (("options",), ["fuel"], "type"),
        (("meters",), [], "type"),
        (("meters", "dmm"), "multimeter", "type"),
        (("conditions",), 70, "type"),
        (("conditions", "ambient"), 70, "type"),
        (("costs", "parts"), 48, "type"),
        (("tech_sheet", "x"), None, "null"),
    ],
)
def test_other_kinds_are_refused(full, where, value, code):
    put(full, where, value)
    if where[:1] == ("meters",) and where[1:] in ((), ("dmm",)):
        full["readings"][0].pop("meter")
    assert {place: fault[0] for place, fault in faults(full).items()} == {pointer(where): code}


def test_choices_suggest(full):
    full["effort"] = "Quick"
    assert faults(full)["/effort"] == ("choice", "must be one of none, quick, thorough; did you mean 'quick'?")


@pytest.mark.parametrize(
    ("where", "name", "said"),
    [
        ((), "famly", "unknown field; did you mean 'family'?"),
        ((), "zzz", "unknown field"),
        ((), "", "unknown field"),
        ((), "_schema", "unknown field"),
        (("readings", 0), "over-range", "unknown field; did you mean 'over_range'?"),
        (("conditions",), "Ambient", "unknown field; did you mean 'ambient'?"),
        (("conditions", "ambient"), "units", "unknown field; did you mean 'unit'?"),
        (("meters", "dmm"), "count", "unknown field; did you mean 'counts'?"),
        (("tech_sheet", "x"), "hi", "unknown field; did you mean 'high'?"),
        (("repairs_done", 0), "repairs", "unknown field; did you mean 'repair'?"),
        (("costs",), "labor_per_hour", "unknown field; did you mean 'labour_per_hour'?"),
    ],
)
def test_unknown_fields_are_refused_with_the_nearest(full, where, name, said):
    put(full, (*where, name), 1)
    assert faults(full) == {pointer((*where, name)): ("unknown_field", said)}


# Rules across fields


@pytest.mark.parametrize(
    ("reading", "fault"),
    [
        ({}, ("", "exclusive", "and it has none")),
        ({"over_range": False}, ("", "exclusive", "and it has none")),
        ({"value": 1, "seen": "x", "unit": "A"}, ("", "exclusive", "not value and seen")),
        ({"value": 1, "values": [1], "unit": "A"}, ("", "exclusive", "not value and values")),
        ({"over_range": True, "under_range": True}, ("", "exclusive", "not over_range and under_range")),
        ({"value": 1, "over_range": True, "unit": "A"}, ("", "exclusive", "not value and over_range")),
        ({"value": 1}, ("/unit", "missing", "is required with a number")),
        ({"values": [1]}, ("/unit", "missing", "is required with a number")),
        ({"seen": "x", "unit": "A"}, ("/unit", "exclusive", "what was seen has no unit")),
    ],
)
def test_a_reading_has_one_result(reading, fault):
    where, code, said = fault
    found = faults({"family": "x", "readings": [{"test": "t", **reading}]})
    assert list(found) == [f"/readings/0{where}"]
    assert found[f"/readings/0{where}"][0] == code
    assert found[f"/readings/0{where}"][1].endswith(said)


def test_limits_have_a_side_and_an_order():
    sheet = {"a": {"unit": "A"}, "b": {"unit": "A", "low": 3, "high": 2}, "c": {"unit": "A", "low": 2, "high": 2}}
    assert faults({"family": "x", "tech_sheet": sheet}) == {
        "/tech_sheet/a": ("missing", "needs low, high or both"),
        "/tech_sheet/b/low": ("range", "is above high (2)"),
    }


def test_a_meter_is_one_of_the_cases(full):
    full["readings"][0]["meter"] = "dm"
    assert faults(full) == {"/readings/0/meter": ("unknown_meter", "the case has no such meter; did you mean 'dmm'?")}
    full["readings"][0]["meter"] = "borrowed"
    assert faults(full)["/readings/0/meter"][1] == "the case has no such meter; it has dmm"
    del full["meters"]
    assert faults(full)["/readings/0/meter"][1] == "the case has no such meter; it has none"


def test_repeats_are_refused(full):
    full["complaints"] = ["a", "b", "a", "a"]
    assert faults(full) == {
        "/complaints/2": ("duplicate", "'a' is listed twice"),
        "/complaints/3": ("duplicate", "'a' is listed twice"),
    }
    full["complaints"] = []
    full["visit"]["tools"] = ["multimeter", "multimeter"]
    assert list(faults(full)) == ["/visit/tools/1"]


# Bounds


@pytest.mark.parametrize(
    ("document", "where"),
    [
        ({"readings": [{"test": "t", "seen": "x"}] * (schemas.MOST_READINGS + 1)}, "/readings"),
        ({"readings": [{"test": "t", "unit": "A", "values": [1] * (schemas.MOST_VALUES + 1)}]}, "/readings/0/values"),
        ({"complaints": [str(i) for i in range(schemas.MOST_NAMES + 1)]}, "/complaints"),
        ({"working": [str(i) for i in range(schemas.MOST_NAMES + 1)]}, "/working"),
        ({"options": {str(i): "x" for i in range(schemas.MOST_NAMES + 1)}}, "/options"),
        ({"meters": {str(i): {"kind": "x"} for i in range(schemas.MOST_METERS + 1)}}, "/meters"),
        ({"tech_sheet": {str(i): {"unit": "A", "low": 1} for i in range(schemas.MOST_LIMITS + 1)}}, "/tech_sheet"),
        ({"costs": {"parts": {str(i): 1 for i in range(schemas.MOST_PRICES + 1)}}}, "/costs/parts"),
        ({"repairs_done": [{"repair": "x", "complaint_remains": True}] * (schemas.MOST_NAMES + 1)}, "/repairs_done"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_counts_are_bounded(document, where):
    assert {place: code for place, (code, _) in faults({"family": "x", **document}).items()} == {where: "count"}


def test_the_bounds_themselves_are_allowed():
    case = load({"family": "x", "readings": [{"test": "t", "seen": "x"}] * schemas.MOST_READINGS})
    assert len(case.readings) == schemas.MOST_READINGS


def test_names_of_members_are_bounded_and_clean(full):
    full["options"] = {"": "x", "a\x00": "x", "y" * 101: "x"}
    assert {place: code for place, (code, _) in faults(full).items()} == {
        "/options/": "length", "/options/a\x00": "characters", f"/options/{'y' * 101}": "length",
    }  # fmt: skip


def test_a_very_long_name_is_not_sent_back(full):
    full["options"]["y" * 5000] = "x"
    full["z" * 5000] = "x"
    found = faults(full)
    assert set(found) == {"/options", ""}
    assert all(len(message) < 200 for _, message in found.values())


def test_faults_are_counted_beyond_the_most():
    with pytest.raises(DocumentError) as caught:
        load({"family": "x", "readings": [{"tst": 1}] * 150})
    assert len(caught.value.faults) == MOST_FAULTS + 1
    assert caught.value.faults[-1].code == "more"
    # Three in each: no test, no result, an unknown field.
    assert caught.value.faults[-1].message == "and 350 more faults"


def test_faults_come_in_the_order_of_the_document():
    document = {"family": "x", "readings": [{"test": 1, "seen": "x"}] * 12}
    with pytest.raises(DocumentError) as caught:
        load(document)
    assert [f.pointer for f in caught.value.faults] == [f"/readings/{i}/test" for i in range(12)]


@pytest.mark.parametrize("document", [None, [], "x", 3, True, [{"family": "x"}]])
def test_a_case_is_an_object(document):
    assert faults(document) == {"": ("type", "must be an object")}


def test_members_whose_name_is_no_string_are_survived():
    """They cannot come from JSON, but a program may pass a document that it made itself."""
    assert faults({"family": "x", 3: 1})["/3"][0] == "unknown_field"
    assert faults({"family": "x", "options": {3: "x"}})["/options/3"][0] == "type"


def test_values_that_json_does_not_have_are_named():
    assert faults({"family": (1,)})["/family"] == ("type", "must be a string, not tuple")
    assert faults({"family": "x", "readings": ({},)})["/readings"] == ("type", "must be an array, not tuple")


def nested(levels):
    document: object = 1
    for level in range(levels):
        document = [document] if level % 2 else {"a": document}
    return document


def test_depth_is_bounded():
    assert not depth_exceeds(nested(DEEPEST), DEEPEST)
    assert depth_exceeds(nested(DEEPEST + 1), DEEPEST)
    assert faults({"family": nested(100_000)}) == {"": ("too_deep", f"nests deeper than {DEEPEST} levels")}


def test_pointers_are_escaped():
    """RFC 6901, section 5: the examples that need escaping, and an index."""
    assert pointer(("a/b",)) == "/a~1b"
    assert pointer(("m~n",)) == "/m~0n"
    assert pointer(("",)) == "/"
    assert pointer(()) == ""
    assert pointer(("foo", 0)) == "/foo/0"
    assert faults({"family": "x", "meters": {"a/b~c": {}}}) == {"/meters/a~1b~0c/kind": ("missing", "is required")}


def test_every_request_schema_has_a_quick_way_and_is_closed():
    for schema in vars(schemas).values():
        if isinstance(schema, type) and issubclass(schema, schemas.RecordSchema) and schema is not schemas.RecordSchema:
            assert schema.closed
            with pytest.raises(UncleanError):
                schema().quick()(3)
            assert all(isinstance(f, ma_fields.Field) for f in schema().fields.values())
