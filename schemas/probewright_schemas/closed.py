"""A closed job: a case with what was finally proven, one JSON object on each line of a file."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from probewright_schemas.base import RecordSchema
from probewright_schemas.case import CaseSchema
from probewright_schemas.days import Day
from probewright_schemas.faults import Message, Path
from probewright_schemas.fields import Item, Listing, Text
from probewright_schemas.load import loader
from probewright_schemas.records import Case

#: What is proven when the trouble is none of the pack's faults.
UNKNOWN = "unknown"
#: A pack weighs no more faults than this at once.
MOST_PROVEN = 2


@dataclass(frozen=True, slots=True)
class ClosedJob:
    """A case, the faults that were proven (none, or :data:`UNKNOWN`), and the day on which it was closed."""

    case: Case
    proven: tuple[str, ...]
    day: date


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
