"""Hazards, which come before everything else."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from probewright.figures import Figure


@dataclass(frozen=True, slots=True)
class Interlock:
    """A hazard that comes before everything else.

    It holds when any of ``complaints`` is made, any test of ``seen`` shows one of the outcomes, or a test of ``above``
    may exceed its limit (in the test's unit).  It is cleared when every test of ``cleared_by`` that the appliance may
    have, read after whatever raised it, shows one of the outcomes, of a measured test one of ``within`` and ``outside``
    (where it is enough that it was read before work goes on).  ``kind`` is what is left to do: ``stop`` (leave it,
    make it safe) or ``refer``.

    >>> smoke = Interlock(
    ...     "smoulders", "Something smoulders", "stop", "Fire.", complaints=("smells_burnt",),
    ...     steps=("Switch off at the panel.", "Leave, and call the fire service."),
    ... )
    >>> smoke.kind
    'stop'
    """

    id: str
    title: str
    kind: Literal["stop", "refer"]
    why: str
    complaints: tuple[str, ...] = ()
    seen: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    above: Mapping[str, Figure] = field(default_factory=dict)
    cleared_by: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    steps: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
