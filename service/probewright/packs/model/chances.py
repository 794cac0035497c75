"""Probabilities by id."""

from __future__ import annotations

from collections.abc import Mapping

from probewright.figures import Figure

Chances = Mapping[str, Figure]
"""Fault id to a probability."""

Outcomes = Mapping[str, Figure]
"""Outcome id to a probability; the probabilities of one record add up to 1."""
