"""What the engine needs of an instrument."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from probewright.quantities.uncertainty import Repeated, combine, rectangular, repeated, standard_uncertainty


@dataclass(frozen=True, slots=True)
class Instrument:
    """A meter as used for one kind of test.

    Attributes
    ----------
    kind, test_kind : str
        What it is, and what it is used for.
    unit : str
        The canonical unit of the test kind: ohm, V, A, F, degC, Pa, ppm; empty for ``seen``.  A temperature's
        resolution and uncertainty are in kelvin.
    percent_of_reading, counts : float
        The stated accuracy.
    resolution : float
        What the last digit is worth, in ``unit``; of the lowest range when the meter ranges by itself.
    display_counts : float or None
        How far the display counts before the meter changes to a range ten times as wide; None for one range.
    lead_resistance : float
        Resistance in ohm of both leads together.
    leads_zeroed : bool
        Whether the meter has taken it off the display already.
    lead_half_width : float
        Half-width in ohm of what is not known of leads and contacts.
    input_impedance : float
        In ohm, on voltage; infinite for what is no part of a circuit.
    sensing : str
        ``true_rms`` or ``average``.
    beeper_threshold : float
        The continuity beeper sounds below it, in ohm.
    maximum_resistance : float
        The display shows an over-range above it, in ohm.
    assumed : tuple of str
        Every default that matters to this kind of test, in words.
    """

    kind: str
    test_kind: str
    unit: str = ""
    percent_of_reading: float = 0.0
    counts: float = 0.0
    resolution: float = 0.0
    display_counts: float | None = None
    lead_resistance: float = 0.0
    leads_zeroed: bool = False
    lead_half_width: float = 0.0
    input_impedance: float = math.inf
    sensing: Literal["true_rms", "average"] = "true_rms"
    beeper_threshold: float = 0.0
    maximum_resistance: float = math.inf
    assumed: tuple[str, ...] = ()

    @property
    def lead_offset(self) -> float:
        """What the leads add to a displayed resistance, in ohm."""
        return 0.0 if self.leads_zeroed else self.lead_resistance

    def resolution_at(self, value: float) -> float:
        """What the last digit is worth when this value (in ``unit``) is displayed."""
        step = self.resolution
        if self.display_counts is not None:
            magnitude = abs(value)
            while step * self.display_counts < magnitude < math.inf:
                step *= 10.0
        return step

    def standard_uncertainty(self, value: float) -> float:
        """Standard uncertainty of one displayed value, in ``unit``: accuracy, display, and leads where they matter."""
        own = standard_uncertainty(value, self.percent_of_reading, self.counts, self.resolution_at(value))
        return combine(own, rectangular(self.lead_half_width)) if self.lead_half_width else own

    def evaluate(self, values: Sequence[float]) -> Repeated:
        """Readings (in ``unit``) repeated with this instrument, as one."""
        return repeated(values, self.standard_uncertainty(max(values, key=abs)))
