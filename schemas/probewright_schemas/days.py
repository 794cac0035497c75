"""Calendar days, as ISO 8601 writes them."""

from __future__ import annotations

import re
from datetime import date
from typing import Any

from marshmallow import ValidationError

from probewright_schemas.faults import Message
from probewright_schemas.fields import Check, Text, UncleanError

_DAY = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)


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
