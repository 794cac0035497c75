"""The instruments of an invented shop: each with the accuracy of its data sheet, and an error of its own within it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from probewright.figures import Figure, invented
from probewright.packs.model import Test
from probewright.quantities.instrument_defaults import METERS, USUAL_METER
from probewright.simulation.luck import Luck
from probewright.simulation.readings import Tool
from probewright_schemas.records import Meter

#: Percent of the reading and counts of the last digit of each.
MULTIMETERS = tuple((invented(p), invented(c)) for p, c in ((0.5, 2.0), (0.8, 3.0), (1.0, 3.0), (1.5, 5.0)))
CLAMP_METERS = tuple((invented(p), invented(c)) for p, c in ((1.5, 3.0), (2.0, 5.0), (2.5, 5.0), (3.0, 8.0)))
#: What readings call the two that a technician carries.
NAMES: Mapping[str, str] = MappingProxyType({"multimeter": "dmm", "clamp_meter": "clamp"})
#: In the place of a job, for what is the same in all of them.
_OF_THE_SHOP = -1


@dataclass(frozen=True, slots=True)
class Instrument:
    """One instrument: its data sheet, and how many times what is there it shows, by the kind of test."""

    meter: Meter
    gains: Mapping[str, float]

    def tool(self, kind: str) -> Tool:
        """It, as used for a kind of test."""
        return Tool(NAMES[self.meter.kind], self.meter, self.gains[kind])


class Shop:
    """Four multimeters and four clamp meters; the same seed has the same."""

    def __init__(self, seed: int) -> None:
        luck = Luck(seed, _OF_THE_SHOP)
        self.instruments = {
            "multimeter": _set("multimeter", "dmm", MULTIMETERS, luck),
            "clamp_meter": _set("clamp_meter", "clamp", CLAMP_METERS, luck),
        }

    def carried(self, luck: Luck) -> dict[str, Instrument]:
        """What the technician of a job carries: one of each kind."""
        return {kind: of[luck.below(len(of), "carries", kind)] for kind, of in self.instruments.items()}


def wanted(test: Test) -> str | None:
    """The kind of this shop's instruments that a test is made with; None for another, of which nothing is noted."""
    kind = test.instrument or USUAL_METER[test.kind]
    return kind if kind in NAMES and test.kind in METERS[kind].accuracy else None


def _set(kind: str, label: str, sheets: Sequence[tuple[Figure, Figure]], luck: Luck) -> tuple[Instrument, ...]:
    found = []
    for number, (percent, counts) in enumerate(sheets, start=1):
        name = f"{label}-{number}"
        # Anywhere within the data sheet's percent, as a stated accuracy is read (JCGM 100:2008, 4.3.7).
        gains = {
            of: 1.0 + float(percent) / 100.0 * (2.0 * luck.uniform("gain", name, of) - 1.0)
            for of in METERS[kind].accuracy
        }
        found.append(Instrument(Meter(kind, float(percent), float(counts), id=name), gains))
    return tuple(found)
