"""Stored jobs drawn from the schemas themselves, with texts that are hard on tables."""

from __future__ import annotations

from datetime import date
from math import ceil, floor

from hypothesis import strategies as st

from probewright_schemas import case as cases
from probewright_schemas.batch import EarlierAnswerSchema
from probewright_schemas.days import Day
from probewright_schemas.fields import Choice, Flag, Item, Keyed, Listing, Number, Text

HARD = ["=1+1", "'=x", "''-", "'", "+1", "-5", "@x", "a;b", ";", "[1]", '["x"', 'a"b', '"', ",", " a ", "\u2028",
        "\uff1dx", "true", "nan", "1e5", "\u00e9\u4e2d\U0001f525", "[]", "'[", "row", "\ufeff"]  # fmt: skip
PLAIN = st.text(st.characters(exclude_categories=("Cc", "Cs")), min_size=1, max_size=6)
TEXTS = st.sampled_from(HARD) | PLAIN
RESULTS = ("value", "values", "over_range", "under_range", "seen")


def of_field(field):
    """Values of one field, as JSON has them."""
    return next(make for kind, make in MAKERS if isinstance(field, kind))(field)


def numbers(field):
    whole = st.integers(ceil(max(field.least, -(2**60))), floor(min(field.most, 2**60)))
    return whole | st.floats(field.least, field.most)


#: A day is a text as well, so it comes first.
MAKERS = (
    (Day, lambda _: st.dates(date(1, 1, 1), date(9999, 12, 31)).map(date.isoformat)),
    (Text, lambda field: TEXTS | st.just("") if field.shortest == 0 else TEXTS),
    (Choice, lambda field: st.sampled_from(field.choices)),
    (Number, numbers),
    (Flag, lambda _: st.booleans()),
    (Item, lambda field: of_schema(type(field.schema))),
    (Listing, lambda f: st.lists(of_field(f.inner), min_size=f.least, max_size=4, unique=f.unique)),
    (Keyed, lambda field: st.dictionaries(TEXTS, of_field(field.value_field), max_size=3)),
)


def of_schema(schema):
    """Documents of one schema that obey its rules."""
    made = {cases.ReadingSchema: readings, cases.LimitsSchema: limits}.get(schema)
    return made() if made is not None else plain(schema)


def plain(schema, without=()):
    parts = {field.data_key or name: field for name, field in schema().fields.items() if name not in without}
    needed = {name: of_field(field) for name, field in parts.items() if field.required}
    return st.fixed_dictionaries(needed, optional={n: of_field(f) for n, f in parts.items() if n not in needed})


@st.composite
def readings(draw):
    fields = cases.ReadingSchema().fields
    reading = draw(plain(cases.ReadingSchema, without=(*RESULTS, "unit", "correction")))
    result = draw(st.sampled_from(RESULTS))
    reading[result] = True if result.endswith("range") else draw(of_field(fields[result]))
    if result in ("value", "values"):
        reading["unit"] = draw(TEXTS)
        if draw(st.booleans()):
            reading["correction"] = draw(of_field(fields["correction"]))
    return reading


@st.composite
def limits(draw):
    low, high = sorted(draw(st.lists(st.floats(-1e30, 1e30), min_size=2, max_size=2)))
    sides = draw(st.sampled_from([{"low": low}, {"high": high}, {"low": low, "high": high}]))
    return {"unit": draw(TEXTS), **sides}


@st.composite
def jobs(draw):
    """Stored jobs; readings name meters that the case has."""
    case = draw(plain(cases.CaseSchema))
    names = sorted(case.get("meters", {}))
    for reading in case.get("readings", ()):
        if "meter" in reading and names:
            reading["meter"] = draw(st.sampled_from(names))
        elif "meter" in reading:
            del reading["meter"]
    job = {"case": case}
    if draw(st.booleans()):
        job["answer"] = draw(of_schema(EarlierAnswerSchema))
    if draw(st.booleans()):
        job["truth"] = draw(st.dictionaries(TEXTS, st.none() | st.booleans() | TEXTS | st.lists(TEXTS), max_size=2))
    return job
