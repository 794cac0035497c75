"""Chance that does not depend on who asks when: every draw has a name, and the same name draws the same.

That is how all policies meet the same appliance: what a reading of a test gives the second time in job 17 is fixed by
these words alone, whatever was done before.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from hashlib import blake2b
from statistics import NormalDist

_NORMAL = NormalDist()
Label = str | int


@dataclass(frozen=True, slots=True)
class Luck:
    """The draws of one job; ``fixed`` holds those that something already known has decided."""

    seed: int
    job: int
    fixed: Mapping[tuple[Label, ...], float] = field(default_factory=dict)

    def uniform(self, *label: Label) -> float:
        """A number strictly between 0 and 1."""
        if self.fixed and label in self.fixed:
            return self.fixed[label]
        digest = blake2b(repr((self.seed, self.job, *label)).encode(), digest_size=8).digest()
        return ((int.from_bytes(digest) >> 8) + 0.5) / 2.0**56

    def normal(self, *label: Label) -> float:
        """A standard normal number."""
        return _NORMAL.inv_cdf(self.uniform(*label))

    def below(self, count: int, *label: Label) -> int:
        """A whole number from 0 to ``count - 1``."""
        return min(int(self.uniform(*label) * count), count - 1)

    def pick(self, weights: Sequence[float], *label: Label) -> int:
        """The place of one of the weights, each as likely as it is large."""
        left = self.uniform(*label) * sum(weights)
        for place, weight in enumerate(weights):
            left -= weight
            if left < 0:
                return place
        return max(place for place, weight in enumerate(weights) if weight > 0)
