"""What the readings of one test are held against, in one build and in all that are open."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, field

from probewright.circuit.parts import holds
from probewright.inference.builds import Build, OpenBuilds
from probewright.inference.numeric import Predicted
from probewright.inference.prepared import Prepared
from probewright.inference.situation import Situation
from probewright.packs.model import Limit, Test
from probewright.quantities.units import convert, dimension_of_kind
from probewright_schemas.records import CheckedReading, Limits


@dataclass(slots=True)  # not frozen: made too often for what freezing costs
class Band:
    """A healthy band in the test's unit, and where it comes from."""

    low: float | None
    high: float | None
    basis: str
    source: str | None


class Ruler:
    """Predictions and healthy bands of a measured test in one build."""

    def __init__(self, build: Build, test: Test) -> None:
        compiled = build.compiled
        self.share, self.configuration = build.share, compiled.configuration
        self.predictor = compiled.numeric(test.id)
        self._test, self._nominal = test, float(compiled.family.supply.nominal)
        model = self.predictor.model
        self.relative_to = model.relative_to
        self._scales = model.scales_with_supply and not test.measures
        self._basis, self._source = model.basis, model.source or None
        self._limit = next((limit for limit in test.limits if holds(limit.when, compiled.configuration)), None)
        self._limit_source = None if self._limit is None else _sources(self._limit)

    def predict(self, prepared: Prepared) -> Predicted:
        """What a reading should be."""
        situation, instrument = prepared.situation, prepared.instrument
        if self._test.measures == "supply_voltage":
            situation = Situation(None, situation.ambient, situation.set_point)
        return self.predictor.predict(situation, instrument.input_impedance, instrument.maximum_resistance)

    def band(self, prepared: Prepared, sheet: Limits | None) -> Band:
        """The healthy band: the technical sheet's, else the pack's limits, else the model's own."""
        if sheet is not None:
            scale = self._scale(prepared) if self._scales else 1.0
            return Band(*_sheet(sheet, self._test, scale), "tech_sheet", "the case's technical sheet")
        limit = self._limit
        if limit is not None:
            scale = self._scale(prepared) if limit.scales_with_supply else 1.0
            return Band(_times(limit.low, scale), _times(limit.high, scale), limit.basis, self._limit_source)
        predicted = self.predict(prepared)
        return Band(predicted.low, predicted.high, self._basis, self._source)

    def _scale(self, prepared: Prepared) -> float:
        supply = prepared.situation.supply
        return 1.0 if supply is None else supply / self._nominal


@dataclass(frozen=True, slots=True)
class Rulers:
    """One test in all open builds that have it.

    ``needed`` are the conditions without which its readings decide nothing.  Of a test that is seen, ``by_supply`` is
    whether the supply makes a difference, and ``seen`` keeps what was answered.
    """

    builds: Sequence[Build]
    rulers: Sequence[Ruler]
    total: float
    needed: Sequence[str]
    by_supply: bool = False
    seen: dict[Hashable, CheckedReading] = field(default_factory=dict)


def rulers_of(opened: OpenBuilds, test: Test) -> Rulers:
    """The rulers of a test, made once for the builds."""
    found = opened.kept.get(test.id)
    if found is None:
        found = opened.kept[test.id] = _made(opened, test)
    return found


def _made(opened: OpenBuilds, test: Test) -> Rulers:
    having = [build for build in opened.builds if test.id in build.compiled.tests]
    total = sum(build.share for build in having)
    if test.outcomes or not having:
        return Rulers(having, (), total, (), any(build.compiled.shown_by_supply(test.id) for build in having))
    rulers = [Ruler(build, test) for build in having]
    relative_to = rulers[0].relative_to
    needed = dict.fromkeys([*test.needs, *([relative_to] if relative_to else [])])
    return Rulers(having, rulers, total, tuple(needed))


def _sheet(sheet: Limits, test: Test, scale: float) -> tuple[float | None, float | None]:
    dimension = dimension_of_kind(test.kind)

    def side(value: float | None) -> float | None:
        return None if value is None else scale * convert(value, sheet.unit, str(test.unit), dimension)

    return side(sheet.low), side(sheet.high)


def _times(figure: float | None, scale: float) -> float | None:
    return None if figure is None else float(figure) * scale


def _sources(limit: Limit) -> str | None:
    sources = [f.source for f in (limit.low, limit.high) if f is not None and f.source]
    return "; ".join(dict.fromkeys(sources)) or None
