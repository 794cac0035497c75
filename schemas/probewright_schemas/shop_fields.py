"""What a shop's file is made of: numbers with a basis, conditions, and records that are told apart by their kind."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, ClassVar

from marshmallow import ValidationError, fields, post_load

from probewright_schemas.base import RecordSchema, nest
from probewright_schemas.faults import Message, faults_at
from probewright_schemas.fields import Choice, Described, Item, Keyed, Listing, Number, Text, kind_of
from probewright_schemas.figure_fields import BASES
from probewright_schemas.limits import LARGEST_NUMBER
from probewright_schemas.suggest import did_you_mean

LONGEST_TEXT = 1000


@dataclass(frozen=True, slots=True)
class GivenFigure:
    """A number as a shop gives it."""

    value: float
    basis: str = "shop"
    source: str = ""


@dataclass(frozen=True, slots=True)
class Given:
    """A record as a shop gives it: what kind it is of, and the fields that were given."""

    of: str
    values: Mapping[str, Any]


class GivenSchema(RecordSchema):
    """Loads what a shop gives of one record; subclasses say in ``of`` which."""

    of: ClassVar[str]

    @post_load
    def build(self, data: dict[str, Any], **_: object) -> Given:
        """Keep what was given, and nothing else."""
        return Given(self.of, data)


class FigureTableSchema(RecordSchema):
    """A number with its basis, where a plain number does not say enough."""

    record = GivenFigure
    value = Number("The number.", example=0.031, unit="as its place says", required=True)
    basis = Choice("What it rests on; `shop` where it is left out.", BASES, example="shop")
    source = Text("Where it comes from.", example="14 of 452 closed jobs", longest=LONGEST_TEXT)


class ShopFigure(Described, fields.Field[GivenFigure]):
    """A plain number, of basis ``shop``, or a table with ``value``, ``basis`` and ``source``."""

    def __init__(
        self, description: str, *, least: float = -LARGEST_NUMBER, most: float = LARGEST_NUMBER, required: bool = False
    ) -> None:
        super().__init__(required=required, metadata={"description": description})
        self.schema = FigureTableSchema()
        self._number = Number(description, example=1.0, unit="as its place says", least=least, most=most)

    def _deserialize(self, value: Any, *_: Any, **__: Any) -> GivenFigure:
        if not isinstance(value, dict):
            return GivenFigure(self._number.deserialize(value))
        figure: GivenFigure = self.schema.load(value)
        try:
            self._number.deserialize(figure.value)
        except ValidationError as error:
            raise ValidationError({"value": error.messages}) from None
        return figure


class Words(Described, fields.Field[tuple[str, ...]]):
    """A word, or an array of words; read as a tuple."""

    def __init__(self, description: str) -> None:
        super().__init__(metadata={"description": description})
        self._word = Text(description, example="flat")
        self._several = Listing(self._word, description, example=["flat"], least=1, unique=True)

    def _deserialize(self, value: Any, *_: Any, **__: Any) -> tuple[str, ...]:
        if isinstance(value, str):
            return (self._word.deserialize(value),)
        several: tuple[str, ...] = self._several.deserialize(value)
        return several


class Tagged(Described, fields.Field[Given]):
    """One of several records, told apart by ``kind``."""

    def __init__(self, schemas: tuple[type[GivenSchema], ...], description: str) -> None:
        super().__init__(metadata={"description": description})
        self._schemas = {schema.of: schema() for schema in schemas}

    def _deserialize(self, value: Any, *_: Any, **__: Any) -> Given:
        if not isinstance(value, dict):
            raise ValidationError(Message(f"must be an object, not {kind_of(value)}", "type"))
        if "kind" not in value:
            raise ValidationError({"kind": [Message("is required", "missing")]})
        kind = value["kind"]
        if not isinstance(kind, str) or kind not in self._schemas:
            hint = did_you_mean(kind, self._schemas) if isinstance(kind, str) else ""
            told = f"must be one of {', '.join(self._schemas)}{hint}"
            raise ValidationError({"kind": [Message(told, "choice")]})
        return self._load(self._schemas[kind], {name: inner for name, inner in value.items() if name != "kind"})

    @staticmethod
    def _load(schema: GivenSchema, value: dict[str, Any]) -> Given:
        try:
            given: Given = schema.load(value)
        except ValidationError as error:
            worded: dict[Any, Any] = {}  # here, for whoever words errors later cannot know which kind it was
            for path, message in faults_at(error.messages, schema):
                nest(worded, path, message)
            raise ValidationError(worded) from None
        return given


def chance(description: str, *, required: bool = False) -> ShopFigure:
    """A probability."""
    return ShopFigure(description, least=0, most=1, required=required)


def amount(description: str, *, required: bool = False) -> ShopFigure:
    """A number that cannot be negative: minutes, money, volts."""
    return ShopFigure(description, least=0, required=required)


def by_id(values: Any, description: str, *, required: bool = False) -> Keyed:
    """Values by the id that each is about."""
    return Keyed(values, description, example={}, required=required)


def chances(description: str, *, required: bool = False) -> Keyed:
    """Probabilities by id."""
    return by_id(chance("A probability."), description, required=required)


def ids(description: str, *, required: bool = False) -> Listing:
    """Ids, each once."""
    return Listing(Text("An id.", example="bake_igniter"), description, example=[], unique=True, required=required)


def texts(description: str) -> Listing:
    """Sentences for people."""
    return Listing(Text("A sentence.", example="Mains.", longest=LONGEST_TEXT), description, example=[])


def named(description: str, *, required: bool = False) -> Text:
    """An id."""
    return Text(description, example="bake_igniter", required=required)


def told(description: str, *, required: bool = False) -> Text:
    """A text for people."""
    return Text(description, example="Bake igniter", longest=LONGEST_TEXT, required=required)


def listed(schema: type[GivenSchema], description: str, *, required: bool = False) -> Listing:
    """Several records."""
    return Listing(Item(schema, "One of them."), description, example=[], required=required)


def when() -> Keyed:
    """The builds that something is restricted to."""
    return by_id(Words("The values."), "For each option named, the value or values that have it.")
