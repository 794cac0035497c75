"""Short names for numbers that are invented.  A real pack says of each number where it comes from."""

from __future__ import annotations

from probewright.packs import Figure, Spread, invented, uniform


def between(low: float, high: float) -> Spread:
    """Anywhere from ``low`` to ``high``: the tolerance of a part, or the threshold of a device."""
    return uniform(invented(low), invented(high))


def chances(**values: float) -> dict[str, Figure]:
    """Probabilities by name."""
    return {name: invented(value) for name, value in values.items()}
