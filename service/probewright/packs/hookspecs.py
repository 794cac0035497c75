"""The hooks a pack implements: the whole of what the service asks of a pack.

A pack is a module or object named by an entry point in the group ``probewright.packs``.  It has ``CONTRACT``, the
version of the contract that it was written for, and functions marked with :data:`hookimpl`::

    from probewright.packs import Family, hookimpl

    CONTRACT = "1.1"

    @hookimpl
    def probewright_family() -> Family:
        return FAMILY

All hooks are called by keyword; they may gain arguments, so take only those you use.  They are called from several
processes, in any order, and must give the same for the same arguments: keep no state.  What a hook raises reaches the
client as an error of the pack's, with its name in the log.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
import pluggy
from numpy.typing import NDArray

if TYPE_CHECKING:
    from probewright.packs.context import ReadingContext, ScoringBatch, ScoringContext
    from probewright.packs.model import Family
    from probewright.packs.overlay.records import Overlay
    from probewright_schemas.records import Finding

PROJECT = "probewright"

hookspec = pluggy.HookspecMarker(PROJECT)
hookimpl = pluggy.HookimplMarker(PROJECT)


@hookspec
def probewright_family() -> Family:  # type: ignore[empty-body]
    """Give the family that this pack models.

    Called once in each process, when packs are loaded.  A family that does not hold together is refused, with every
    broken record named.

    Returns
    -------
    Family

    Examples
    --------
    >>> @hookimpl
    ... def probewright_family() -> Family:
    ...     return FAMILY
    """


@hookspec
def probewright_overlays() -> Sequence[Overlay]:  # type: ignore[empty-body]
    """Lay a shop's own numbers and records over families of other packs.

    A pack with this hook registers no family: it has ``CONTRACT`` and no other hook.  A distribution that brings a
    family and lays something over another names two entry points.  Called once in each process, after all families
    are loaded.  The overlays are laid in the order of entry-point names, each over all before it; shop files and then
    what a case gives come over all of them.

    Returns
    -------
    sequence of Overlay
        One or more, of one layer or several.  The name of a layer is this pack's alone, and one layer lays one overlay
        over a family.

    Raises
    ------
    PackLoadError
        Raised for you when an overlay names anything that its family does not have, or would break a rule of a family
        (:func:`probewright.packs.overlay.laid_over`).  The pack is refused, the reason names every place, and nothing
        of it is laid.

    Examples
    --------
    >>> from probewright.packs import Overlay, shop
    >>> @hookimpl
    ... def probewright_overlays() -> list[Overlay]:
    ...     return [Overlay("north_street", "ice_maker", fault_rates={"gear_jammed": shop(0.04)})]
    """


@hookspec
def probewright_validate(context: ReadingContext) -> Sequence[Finding]:  # type: ignore[empty-body]
    """Judge one reading beyond what the declared model can.

    The default is the engine's own judgement, which needs nothing from you: units, plausible ranges, the state that the
    test asks for, the meter's uncertainty, and a verdict by the test's limits or the model's healthy band.  This hook
    adds to it, and is called for each reading after it: ``context.checked.verdict`` says what was made of it.

    Parameters
    ----------
    context : ReadingContext

    Returns
    -------
    sequence of Finding
        Empty when there is nothing to say.  A finding of severity ``reject`` takes the reading out of the evidence,
        ``doubt`` and ``note`` are told and change nothing.  Not more than 32.

    Raises
    ------
    PackError
        Raised for you when you return anything else.

    Examples
    --------
    >>> @hookimpl
    ... def probewright_validate(context: ReadingContext) -> list[Finding]:
    ...     value = context.checked.value
    ...     if context.test.id != "mould_temperature" or value is None or value < 60.0:
    ...         return []
    ...     return [Finding("mould_hot", "reject", "A mould this hot was being emptied.", "Read it ten minutes later.")]
    """


@hookspec
def probewright_score(context: ScoringContext) -> NDArray[np.float64] | None:
    """Replace the log-likelihoods of one reading, where the declared model cannot say what it means.

    The default is the declared model's: circuits, stated spreads and tables, with the meter's uncertainty and a share
    of misread readings.  Called for each usable reading in each build that the options leave open.

    Parameters
    ----------
    context : ScoringContext

    Returns
    -------
    ndarray of shape (n_hypotheses,) in nats, or None to keep ``context.declared``
        In the order of ``context.hypotheses``.  Finite, or -inf for what the reading rules out.  The
        log-likelihood of *something that the pack does not know* stays the engine's own, so keep to the scale of
        ``context.declared``.  Under each hypothesis the likelihoods of all that may be seen in a test add up to 1: what
        makes one outcome likelier makes others less likely.

    Raises
    ------
    PackModelError
        Raised for you when the array has another shape, or holds NaN or +inf.

    Examples
    --------
    >>> @hookimpl
    ... def probewright_score(context: ScoringContext) -> np.ndarray | None:
    ...     if context.reading.test.id != "hum":
    ...         return None
    ...     jammed = np.array(["gear_jammed" in faults for faults in context.hypotheses])
    ...     hums = np.where(jammed, 0.9, 0.1)
    ...     return np.log(hums if context.reading.checked.seen == "hums" else 1 - hums)
    """


@hookspec
def probewright_score_batch(batch: ScoringBatch) -> NDArray[np.float64] | None:
    """Replace the log-likelihoods of many readings at once: the same as ``probewright_score``, as one array operation.

    Implement either; where a pack has both, this one is called.  Called once for each build with all usable readings
    of a case.

    Parameters
    ----------
    batch : ScoringBatch

    Returns
    -------
    ndarray of shape (n_cases, n_hypotheses) in nats, or None to keep ``batch.declared``
        One row for each of ``batch.readings``, in their order; a row must be what it would be in a batch of its own.
        Rows to keep are copied from ``batch.declared``.

    Raises
    ------
    PackModelError
        Raised for you when the array has another shape, or holds NaN or +inf.

    Examples
    --------
    >>> @hookimpl
    ... def probewright_score_batch(batch: ScoringBatch) -> np.ndarray:
    ...     mine = np.array([reading.test.id == "hum" for reading in batch.readings])
    ...     hummed = np.array([reading.checked.seen == "hums" for reading in batch.readings])
    ...     jammed = np.array(["gear_jammed" in faults for faults in batch.hypotheses])
    ...     hums = np.where(jammed, 0.9, 0.1)
    ...     own = np.log(np.where(hummed[:, None], hums, 1 - hums))
    ...     return np.where(mine[:, None], own, batch.declared)
    """
