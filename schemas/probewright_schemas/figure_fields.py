"""Numbers with their basis, and the fields that every record of a family shares."""

from __future__ import annotations

from typing import Any

from probewright_schemas.base import RecordSchema
from probewright_schemas.fields import Choice, Item, Keyed
from probewright_schemas.results import number, texts, words

BASES = ("tech_sheet", "shop", "published", "derived", "common_practice", "from_memory", "invented")
KINDS_OF_SPREAD = ("uniform", "log_uniform", "normal", "log_normal")
KINDS_OF_TEST = (
    "voltage", "current", "resistance", "continuity", "capacitance", "temperature", "pressure", "concentration",
    "duration", "seen",
)  # fmt: skip


class FigureSchema(RecordSchema):
    """A number that says where it comes from."""

    record = dict
    value = number("The number, in the unit that its place says.", 3.2, "as its place says", required=True)
    basis = Choice("What it rests on.", BASES, example="common_practice", required=True)
    source = words("Where it is published, or how it is derived.", "ANSI C84.1", required=False)
    layer = words("The layer that set it, where it is not the pack's own.", "north_street", required=False)


class SpreadSchema(RecordSchema):
    """A distribution: bounds for the uniform kinds, centre and (geometric) standard deviation for the normal ones."""

    record = dict
    kind = Choice("Its form.", KINDS_OF_SPREAD, example="log_uniform", required=True)
    first = Item(
        FigureSchema,
        "Lower bound, mean or median.",
        example={"value": 3.2, "basis": "common_practice"},
        required=True,
    )
    second = Item(
        FigureSchema,
        "Upper bound, standard deviation or geometric standard deviation.",
        example={"value": 3.6, "basis": "common_practice"},
        required=True,
    )


def figure(description: str, example: float, *, required: bool = True) -> Item:
    """A figure in an answer."""
    return Item(FigureSchema, description, example=_figure(example), required=required)


def spread(description: str, low: float, high: float, *, required: bool = True) -> Item:
    """A spread in an answer; the example is a uniform one."""
    return Item(SpreadSchema, description, example=example_spread(low, high), required=required)


def example_spread(low: float, high: float) -> dict[str, object]:
    """A uniform spread."""
    return {"kind": "uniform", "first": _figure(low), "second": _figure(high)}


def _figure(value: float) -> dict[str, object]:
    return {"value": value, "basis": "from_memory"}


def figures_of(description: str, name: str, example: float, *, inner: str = "A probability.") -> Keyed:
    """Figures by the id that each is about."""
    return Keyed(Item(FigureSchema, inner), description, example={name: _figure(example)}, required=True)


def by_name(schema: type[Any], description: str, example: object, *, required: bool = True) -> Keyed:
    """Objects by name."""
    return Keyed(Item(schema, "One of them."), description, example=example, required=required)


def lists(description: str, example: object, *, required: bool = True) -> Keyed:
    """Lists of ids by name."""
    return Keyed(texts("The ids.", "flat"), description, example=example, required=required)


def when_clause() -> Keyed:
    """The builds that a record is restricted to."""
    return lists(
        "Builds it is restricted to: for each option named, the values that have it; empty for all.",
        {"igniter_style": ["flat"]},
    )


def id_field(example: str) -> Any:
    """The id of a record."""
    return words("The id.", example)


def title_field(example: str) -> Any:
    """The title of a record."""
    return words("The name, for a person.", example)
