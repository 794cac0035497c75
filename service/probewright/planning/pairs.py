"""What a test shows with two faults at once, from what it shows with each alone.

Exact pairs are solved for likelihoods; a plan needs rows for a few likely pairs only, and makes do with these:

* where one of the two leaves the test as a healthy appliance shows it, the other's row stands;
* of what is seen, the later of two independent outcomes is, as :class:`~probewright.packs.model.Table` has it;
* of what is measured, a fault that all but surely shows governs one that shows less (a dead supply leaves nothing to
  be weak); otherwise the value is as likely to follow either.

The last is the weakest: where two faults cancel each other, or add up to what neither shows alone, it is wrong.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from probewright.planning.belief import OutcomeTable

Array = NDArray[np.float64]
#: Total variation under which two rows are the same.
SAME: Final = 0.02
#: Total variation from the healthy row above which a fault all but surely shows.
SHOWS: Final = 0.95


def pair_rows(table: OutcomeTable, a_row: Array, b_row: Array) -> Array:
    """Probabilities of a test's outcomes with two faults at once.

    Parameters
    ----------
    table : OutcomeTable
        Of the test; its first row is the healthy one.
    a_row, b_row : ndarray of shape (..., n_outcomes)
        With each of the two alone.

    Returns
    -------
    ndarray of shape (..., n_outcomes)
        Each row adds up to 1.
    """
    a_apart, b_apart = (_variation(row, table.given[0])[..., None] for row in (a_row, b_row))
    if table.unit is None:
        both = np.diff(np.cumsum(a_row, axis=-1) * np.cumsum(b_row, axis=-1), axis=-1, prepend=0.0)
    else:
        governing = np.where(a_apart > b_apart, a_row, b_row)
        governs = (np.maximum(a_apart, b_apart) > SHOWS) & (a_apart != b_apart)
        both = np.where(governs, governing, (a_row + b_row) / 2)
    return np.where(a_apart < SAME, b_row, np.where(b_apart < SAME, a_row, both))


def _variation(row: Array, other: Array) -> Array:
    """Total variation between rows: half the sum of the differences."""
    return np.asarray(np.abs(row - other).sum(axis=-1) / 2)
