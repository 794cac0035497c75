"""A closed job: a case with what was finally proven, one JSON object on each line of a file."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from marshmallow import ValidationError

from probewright_schemas.base import RecordSchema
from probewright_schemas.case import CaseSchema
from probewright_schemas.faults import Message, Path
from probewright_schemas.fields import Check, Item, Listing, Text, UncleanError
from probewright_schemas.load import loader
from probewright_schemas.records import Case

#: What is proven when the trouble is none of the pack's faults.
UNKNOWN = "unknown"
#: A pack weighs no more faults than this at once.
MOST_PROVEN = 2
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)


@dataclass(frozen=True, slots=True)
class ClosedJob:
    """A case, the faults that were proven (none, or :data:`UNKNOWN`), and the day on which it was closed."""

    case: Case
    proven: tuple[str, ...]
    day: date


class Day(Text):
    """A calendar day as ISO 8601 writes it."""

    def __init__(self, description: str, *, example: str, required: bool = False, data_key: str | None = None) -> None:
        super().__init__(
            description, example=example, longest=10, shortest=10, required=required, data_key=data_key
        )
        self.metadata = {**self.metadata, "format": "date"}

    def _deserialize(self, value: Any, *rest: Any, **more: Any) -> Any:
        """Read a day; a ``date``, though the base class has strings."""
        text = value if isinstance(value, str) else super()._deserialize(value, *rest, **more)
        found = _day(text)
        if found is None:
            raise ValidationError(Message("must be a day written as 2026-08-30", "date"))
        return found

    def quick(self) -> Check:
        """The quick way."""

        def check(value: Any) -> date:
            found = _day(value) if type(value) is str else None
            if found is None:
                raise UncleanError
            return found

        return check


def _day(text: str) -> date | None:
    if not _DAY.fullmatch(text):
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None


def _unknown_alone(job: Mapping[str, Any]) -> Sequence[tuple[Path, Message]]:
    """Something unknown is proven alone: what stands beside it cannot be told."""
    proven = job.get("proven")
    if isinstance(proven, list) and UNKNOWN in proven and len(proven) > 1:
        return [(("proven",), Message(f"{UNKNOWN!r} stands alone", "exclusive"))]
    return ()


class ClosedJobSchema(RecordSchema):
    """One closed job."""

    record = ClosedJob
    closed = True
    rules = (_unknown_alone,)
    case = Item(CaseSchema, "The case as it stood when the job was closed, all its readings with it.", required=True)
    proven = Listing(
        Text("A fault, an id of the family, or `unknown`.", example="bake_igniter_weak"),
        "The faults that were proven: none where nothing was wrong, `unknown` where it was something that the family "
        "does not have.",
        example=["bake_igniter_weak"],
        most=MOST_PROVEN,
        unique=True,
        required=True,
    )

    day = Day("The day on which it was closed.", example="2026-08-30", required=True, data_key="closed")


def closed_loader() -> Callable[[object], ClosedJob]:
    """As :func:`probewright_schemas.load.case_loader`, for closed jobs."""
    return loader(ClosedJobSchema())
