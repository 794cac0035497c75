"""A reading made ready: in the test's own unit, with its uncertainty and the conditions that it was taken under."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from probewright.inference.situation import Situation
from probewright.packs.model import Test
from probewright.quantities.instruments import Instrument
from probewright_schemas.records import Case, Reading

#: In place of where a supply voltage came from: one was given, but no appliance works under it.
IMPLAUSIBLE = ""


@dataclass(slots=True)  # not frozen: it is made once a reading and filled in step by step
class Prepared:
    """One reading in the test's own unit.

    Attributes
    ----------
    index : int
        Place among the case's readings; -1 for the case's own supply voltage, which counts as one.
    event : str
        ``value``, ``over``, ``under`` or ``seen``.
    value, uncertainty : float
        With the leads' resistance taken off, and its standard uncertainty.
    leads : float
        What was taken off, in ohm; ``off`` is the same in the test's unit.
    given_by : mapping
        Where each condition came from: ``reading``, ``case``, or the id of a test that measured it; of a supply
        voltage that is none to work under, :data:`IMPLAUSIBLE`.
    scatter, own : float
        Standard deviation of repeated values, and the meter's standard uncertainty for one of them.
    stretch : int
        How many repairs had been made when it was taken.
    as_read : float or None
        The value before the reading's correction, None where it has none.
    """

    index: int
    reading: Reading
    test: Test
    instrument: Instrument
    situation: Situation
    given_by: Mapping[str, str]
    event: str = "seen"
    value: float = 0.0
    uncertainty: float = 0.0
    leads: float = 0.0
    scatter: float = 0.0
    own: float = 0.0
    stretch: int = 0
    as_read: float | None = None
    off: float = 0.0

    @property
    def beeper(self) -> tuple[float, float, float]:
        """Threshold of the meter's beeper, leads, and the most that it shows, in ohm."""
        return self.instrument.beeper_threshold, self.leads, self.instrument.maximum_resistance

    @property
    def source(self) -> str:
        """What this reading is called as evidence."""
        return self.test.id if self.index >= 0 else "conditions.supply_voltage"


def repairs_before(case: Case, reading: Reading) -> int:
    """How many repairs had been made when a reading was taken; of a repair made twice the last counts."""
    if reading.after_repair is None:
        return 0
    done = [repair.repair for repair in case.repairs_done]
    if reading.after_repair not in done:
        return 0
    return len(done) - done[::-1].index(reading.after_repair)
