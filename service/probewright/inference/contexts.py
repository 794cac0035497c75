"""What a pack's own hooks are given, made without what hardly any of them asks for."""

from __future__ import annotations

from collections.abc import Mapping

from probewright.inference.checking import Judged
from probewright.packs.context import ReadingContext
from probewright.packs.model import Family, Test
from probewright_schemas.records import Case, CheckedReading, Reading

_SET = object.__setattr__  # the base is frozen


class LateContext(ReadingContext):
    """The context of a reading whose ``checked`` is put into words when a hook asks for it."""

    __slots__ = ("_told",)
    _told: Judged | CheckedReading

    def __init__(
        self, family: Family, test: Test, case: Case, reading: Reading, checked: Judged | CheckedReading,
        configuration: Mapping[str, str], supply_voltage: float, ambient: float | None,
    ) -> None:  # fmt: skip
        _SET(self, "family", family)
        _SET(self, "test", test)
        _SET(self, "case", case)
        _SET(self, "reading", reading)
        _SET(self, "_told", checked)
        _SET(self, "configuration", configuration)
        _SET(self, "supply_voltage", supply_voltage)
        _SET(self, "ambient", ambient)

    def __reduce__(self) -> tuple[type[ReadingContext], tuple[object, ...]]:
        """A copy is a plain context."""
        return ReadingContext, (
            self.family, self.test, self.case, self.reading, self.checked, self.configuration, self.supply_voltage,
            self.ambient,
        )  # fmt: skip

    @property
    def checked(self) -> CheckedReading:
        """In the test's own unit, with its uncertainty, limits and verdict."""
        told = self._told
        return told.checked if isinstance(told, Judged) else told
