"""A bench for whole cases of one family: what was complained of and read goes in, the engine's answer comes out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from probewright.engine import diagnose
from probewright.packs.registry import LoadedPack
from probewright.settings import Settings
from probewright_schemas.records import Case, CheckedReading, Conditions, Diagnosis, Quantity, Reading, Step


@dataclass(frozen=True)
class Answer:
    """A diagnosis with what tests ask of it."""

    diagnosis: Diagnosis

    def chance(self, fault: str) -> float:
        """Probability of a fault; 0 when it is too slight to be listed."""
        return next((f.probability for f in self.diagnosis.faults if f.fault == fault), 0.0)

    @property
    def first(self) -> str:
        """The likeliest fault."""
        return self.diagnosis.faults[0].fault

    def said(self, fault: str, source: str) -> float:
        """Decibans that a piece of evidence gave a fault; 0 when it is not listed."""
        (ranked,) = (f for f in self.diagnosis.faults if f.fault == fault)
        return sum(e.decibans for e in ranked.evidence if e.source == source)

    def reading(self, test: str, nth: int = 0) -> CheckedReading:
        """One checked reading."""
        return [r for r in self.diagnosis.readings if r.test == test][nth]

    def codes(self, test: str, nth: int = 0) -> set[str]:
        """Codes of the findings of a reading."""
        return {finding.code for finding in self.reading(test, nth).findings}

    @property
    def next(self) -> Step:
        """The next step, which these cases always ask for."""
        assert self.diagnosis.next is not None
        return self.diagnosis.next

    @property
    def fits_a_part(self) -> bool:
        """Whether the next step is a repair that takes a part."""
        return self.next.kind == "repair" and self.next.id.startswith(("replace_", "fit_"))

    @property
    def remedy(self) -> str:
        """The best repair among the next step and the alternatives."""
        return next(step.id for step in (self.next, *self.diagnosis.alternatives) if step.kind == "repair")

    @property
    def proposed(self) -> list[str]:
        """Ids of the next step and of the alternatives."""
        return [self.next.id, *(step.id for step in self.diagnosis.alternatives)]


class Bench:
    """Makes cases of a family short to write; ``usual`` are the options of a common build."""

    def __init__(self, pack: LoadedPack, usual: Mapping[str, str]) -> None:
        self._pack, self._usual = pack, dict(usual)
        self.family = pack.family
        self._units = {test.id: test.unit for test in pack.family.tests}

    def read(self, test: str, value: float, unit: str | None = None, **more: Any) -> Reading:
        """A measured value, in the test's own unit unless another is given."""
        return Reading(test, value=value, unit=unit or self._units[test], **more)

    def see(self, test: str, seen: str, **more: Any) -> Reading:
        """Something seen or heard."""
        return Reading(test, seen=seen, **more)

    def over(self, test: str, **more: Any) -> Reading:
        """A meter that shows over range."""
        return Reading(test, over_range=True, **more)

    def at(self, degrees: float, unit: str = "degF") -> Conditions:
        """The temperature at the part."""
        return Conditions(ambient=Quantity(degrees, unit))

    def diagnose(
        self, complaints: Sequence[str], *readings: Reading, working: Sequence[str] = (),
        options: Mapping[str, str] | None = None, **more: Any,
    ) -> Answer:  # fmt: skip
        """Answer a case; options are those of the common build unless others are given."""
        case = Case(
            self.family.id, options=self._usual if options is None else options, complaints=tuple(complaints),
            working=tuple(working), readings=readings, **more,
        )  # fmt: skip
        return Answer(diagnose(case, self._pack, Settings()))

    def build(self, **changes: str | None) -> dict[str, str]:
        """The common build with some options changed; None leaves one out."""
        return {option: value for option, value in {**self._usual, **changes}.items() if value is not None}
