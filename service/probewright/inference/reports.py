"""What customers say of one appliance: reports about the same function are about the same failure.

A function that fails under a fault only now and then (of its threshold, or by ``fails_with`` and ``fails_anyway``) has
failed or has not, once and for all that is said of it.  Two complaints of it, or a complaint and the word that it
works, are independent given that and the fault, not given the fault alone: that would count the chance of the failure
twice.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from probewright.inference.compiled import LEAST_REPORT, WRONG_REPORT, Compiled

Array = NDArray[np.float64]
Index = NDArray[np.intp]


class Reports:
    """Reports about one build, each weighed given those before it.

    Of one appliance (``supply`` in V, None where nobody knows it) with arrays of shape (n_hypotheses,); or of several
    alike of which the same is said (an array of supplies, NaN for unknown ones) and of some hypotheses alone
    (``members``, the unknown one last), with arrays of shape (n_supplies, n_classes).
    """

    def __init__(self, compiled: Compiled, supply: float | Array | None, members: Index | None = None) -> None:
        self.compiled, self._supply = compiled, supply
        self._members = np.arange(len(compiled.hypotheses)) if members is None else members
        self._works: dict[str, Array] = {}

    def complained(self, complaint: str) -> Array:
        """Probability that a complaint is made, given all reports before.

        Where the complaint is of no function the supply makes no difference, and there is no axis of supplies.
        """
        record = self.compiled.complaints[complaint]
        if record.function is None or record.function not in self.compiled.functions:
            return self.compiled.complained(complaint, None)[self._members]
        return self._weighed(record.function, *self.compiled.complained_if(complaint, self._members))

    def works(self, function: str) -> Array:
        """Probability that a function is reported as working, given all reports before."""
        wrong = np.array(float(WRONG_REPORT))
        return self._weighed(function, wrong, 1 - wrong)

    def _weighed(self, function: str, if_failed: Array, if_working: Array) -> Array:
        """Probability of a report, from what it is where the function fails and where it works."""
        before = self._works.get(function)
        works = self._working(function) if before is None else before
        chance = if_failed + works * (if_working - if_failed)
        # A report against all reason tells nothing of the function.
        told = chance > float(LEAST_REPORT)
        chance = np.where(told, chance, float(LEAST_REPORT))
        self._works[function] = np.where(told, works * if_working / chance, works)
        return chance

    def _working(self, function: str) -> Array:
        if isinstance(self._supply, np.ndarray):
            return self.compiled.working_at(function, self._supply, self._members[:-1])
        return self.compiled.working(function, self._supply)
