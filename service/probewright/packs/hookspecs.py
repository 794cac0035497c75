"""The hooks a pack implements.  All are called by keyword; they may gain arguments, so take only those you use.

A pack is a module or object named by an entry point in the group ``probewright.packs`` whose functions are marked
with :data:`hookimpl`::

    from probewright.packs import hookimpl

    @hookimpl
    def probewright_family() -> Family:
        return FAMILY
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
import pluggy
from numpy.typing import NDArray

if TYPE_CHECKING:
    from probewright.packs.context import ReadingContext, ScoringContext
    from probewright.packs.model import Family
    from probewright_schemas.records import Finding

PROJECT = "probewright"
CONTRACT_VERSION = 1

hookspec = pluggy.HookspecMarker(PROJECT)
hookimpl = pluggy.HookimplMarker(PROJECT)


@hookspec
def probewright_family() -> Family:  # type: ignore[empty-body]
    """Give the family that this pack models.  Called once, at load; required."""


@hookspec
def probewright_validate(context: ReadingContext) -> Sequence[Finding]:  # type: ignore[empty-body]
    """Judge one reading beyond what the declared model can.

    Called for each reading, after the engine's own checks; ``context.checked.verdict`` says what these made of it.

    Returns
    -------
    sequence of Finding
        A finding of severity ``reject`` takes the reading out of the evidence.
    """


@hookspec
def probewright_score(context: ScoringContext) -> NDArray[np.float64] | None:
    """Replace the log-likelihoods of one reading.

    Returns
    -------
    ndarray of shape (n_hypotheses,) in nats, or None to keep the declared model's, ``context.declared``
        In the order of ``context.hypotheses``: each a tuple of the fault ids present, empty for no fault.
    """
