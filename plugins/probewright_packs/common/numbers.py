"""Short ways to write many figures of one basis."""

from __future__ import annotations

from collections.abc import Mapping

from probewright.packs import Figure, Spread, derived, exactly, from_memory, log_normal, log_uniform, normal, uniform

#: Exact by definition: a dead source, a settled difference of nothing.
NOTHING = derived(0.0, "zero by definition")


def remembered(values: Mapping[str, float]) -> dict[str, Figure]:
    """Chances or shares by id, none of which has a source."""
    return {key: from_memory(value) for key, value in values.items()}


def evenly(low: float, high: float) -> Spread:
    """Anywhere between two numbers from memory, each as likely."""
    return uniform(from_memory(low), from_memory(high))


def decades(low: float, high: float) -> Spread:
    """Anywhere between two numbers from memory, each ratio as likely."""
    return log_uniform(from_memory(low), from_memory(high))


def around(mean: float, deviation: float) -> Spread:
    """Normal, with mean and standard deviation from memory."""
    return normal(from_memory(mean), from_memory(deviation))


def within_a_factor(median: float, factor: float) -> Spread:
    """Log-normal from memory; two thirds lie within the factor."""
    return log_normal(from_memory(median), from_memory(factor))


def nothing() -> Spread:
    """Exactly zero."""
    return exactly(NOTHING)
