"""Corrections of instruments: what a calibration found, applied to what was shown (JCGM 100:2008, 5.1 and 5.2).

A correction is a straight line, as calibrations fit it: ``offset + slope (shown - at)``, whose two figures may be
correlated (H.3 fits one to a thermometer).  The slope is the gain less one.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from probewright.errors import RequestError
from probewright.quantities.instrument_record import Instrument
from probewright.quantities.uncertainty import Repeated, combine, rectangular, repeated, standard_uncertainty
from probewright.quantities.units import NumberError, to_canonical
from probewright_schemas.records import Correction, Quantity


class CorrectionError(RequestError):
    """A correction that cannot be applied: ``field`` is to be mended."""

    def __init__(self, field: str, error: RequestError) -> None:
        self.field, self.code = field, error.code
        super().__init__(str(error))


@dataclass(frozen=True, slots=True)
class LinearCorrection:
    """A correction in the canonical unit of what is read.

    Attributes
    ----------
    slope, offset, at : float
        ``offset + slope (shown - at)`` is added to what is shown.
    slope_uncertainty, offset_uncertainty : float
        Standard uncertainties.
    correlation : float
        Of the two, from -1 to 1.
    """

    slope: float
    slope_uncertainty: float
    offset: float
    offset_uncertainty: float
    at: float
    correlation: float

    def apply(self, shown: float) -> float:
        """What was there when the instrument showed this."""
        return shown + self.offset + self.slope * (shown - self.at)

    def standard_uncertainty(self, shown: float) -> float:
        """Standard uncertainty of the correction itself (JCGM 100, 5.2.2, equation (16))."""
        away = shown - self.at
        slope, offset = away * self.slope_uncertainty, self.offset_uncertainty
        variance = slope * slope + offset * offset + 2.0 * slope * offset * self.correlation
        return math.sqrt(max(variance, 0.0))

    def of_one(self, instrument: Instrument, shown: float) -> float:
        """Standard uncertainty of one corrected value but for that of the correction: the instrument's, and the leads'.

        A data sheet speaks of what is shown, which the gain stretches; resistance of leads and contacts is real.
        """
        percent, counts, digit = instrument.percent_of_reading, instrument.counts, instrument.resolution_at(shown)
        own = (1.0 + self.slope) * standard_uncertainty(shown, percent, counts, digit)
        return combine(own, rectangular(instrument.lead_half_width)) if instrument.lead_half_width else own

    def evaluate(self, instrument: Instrument, shown: Sequence[float]) -> Repeated:
        """Readings repeated with an instrument, each corrected, as one.

        The correction is common to all, as the instrument's own error is, so repeating makes neither smaller.
        """
        own = self.of_one(instrument, max(shown, key=abs))
        common = self.standard_uncertainty(math.fsum(shown) / len(shown))
        return repeated([self.apply(value) for value in shown], combine(own, common) if common else own)


def linear(correction: Correction, dimension: str) -> LinearCorrection:
    """Bring a correction to the canonical unit of a dimension; an ``at`` that is not given is nothing in that unit.

    Raises
    ------
    CorrectionError
        For a unit of another dimension, or a negative uncertainty.
    """
    difference = "temperature_difference" if dimension == "temperature" else dimension
    spread = _canonical("offset_uncertainty", correction.offset_uncertainty, difference)
    if spread < 0:
        raise CorrectionError("offset_uncertainty", NumberError("an uncertainty is not negative"))
    return LinearCorrection(
        correction.gain - 1.0, correction.gain_uncertainty, _canonical("offset", correction.offset, difference), spread,
        _canonical("at", correction.at, dimension), correction.correlation,
    )  # fmt: skip


def _canonical(field: str, quantity: Quantity | None, dimension: str) -> float:
    if quantity is None:
        return 0.0
    try:
        return to_canonical(quantity.value, quantity.unit, dimension)
    except RequestError as error:
        raise CorrectionError(field, error) from error
