"""Calls a pack's own hooks, and says whose fault it is when one fails."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import get_args

import numpy as np
import pluggy
from numpy.typing import NDArray

from probewright.errors import PackError, PackModelError, said
from probewright.packs.context import ReadingContext, ScoringBatch, ScoringContext
from probewright.packs.registry import Scorer, Validators
from probewright_schemas.records import Finding, Severity

#: More on one reading than anybody would read.
MOST_FINDINGS = 32


def validators(pack: str, manager: pluggy.PluginManager) -> Validators | None:
    """What judges a reading, or None when the pack leaves that to the engine; ``pack`` names it in errors."""
    hook = manager.hook.probewright_validate
    if not hook.get_hookimpls():
        return None

    call = _caller(pack, hook)

    def validate(context: ReadingContext) -> tuple[Finding, ...]:
        """Ask the pack for findings; raises PackError when it fails or gives anything else."""
        results = call(context)
        # It is called for every reading, and of most it has nothing to say.
        if len(results) == 1 and results[0] == ():
            return ()
        found: list[Finding] = []
        for result in results:
            if isinstance(result, str) or not isinstance(result, Sequence):
                raise PackError(f"{pack}: {hook.name} must return a sequence, not {result!r:.80}")
            for finding in result:
                if not isinstance(finding, Finding):
                    raise PackError(f"{pack}: {hook.name} must return findings, not {finding!r:.80}")
                misfit = _misfit(finding)
                if misfit:
                    raise PackError(f"{pack}: {hook.name} must return findings {misfit}")
                found.append(finding)
        if len(found) > MOST_FINDINGS:
            raise PackError(f"{pack}: {hook.name} returned {len(found)} findings; {MOST_FINDINGS} on a reading is most")
        return tuple(found)

    return validate


def _misfit(finding: Finding) -> str | None:
    """What a finding lacks that the published contract promises to clients."""
    if finding.severity not in get_args(Severity):
        return f"of severity {', '.join(get_args(Severity))}, not of severity {finding.severity!r:.80}"
    texts = {"code": finding.code, "message": finding.message, "remedy": finding.remedy}
    for name, text in texts.items():
        if not isinstance(text, str) and not (text is None and name == "remedy"):
            return f"whose {name} is text, not {text!r:.80}"
    return None


def scorer(pack: str, manager: pluggy.PluginManager) -> Scorer | None:
    """What scores readings, or None when the pack leaves that to the declared model."""
    if manager.hook.probewright_score_batch.get_hookimpls():
        return _all_at_once(pack, manager.hook.probewright_score_batch)
    if manager.hook.probewright_score.get_hookimpls():
        hook = manager.hook.probewright_score
        return row_by_row(lambda context: _first(_call(pack, hook, context)))
    return None


def row_by_row(score: Callable[[ScoringContext], object]) -> Scorer:
    """What scores a batch by scoring each reading alone; the engine checks what it gives."""
    return lambda batch: [score(batch.row(index)) for index in range(len(batch.readings))]


def _all_at_once(pack: str, hook: pluggy.HookCaller) -> Scorer:
    def score(batch: ScoringBatch) -> Sequence[object]:
        """Ask the pack once; raises PackModelError for another shape, for rows cannot be told apart then."""
        scores = _first(_call(pack, hook, batch))
        if scores is None:
            return [None] * len(batch.readings)
        shape = batch.declared.shape
        try:
            array = real_numbers(scores)
        except Exception as error:  # what foreign code gave may fail wherever it is touched
            raise PackModelError(f"{pack}: {hook.name} returned no numbers: {said(error)}") from error
        if array.shape != shape:
            raise PackModelError(f"{pack}: {hook.name} returned shape {array.shape}, not {shape}")
        return list(array)

    return score


def real_numbers(scores: object) -> NDArray[np.float64]:
    """An array of what is one already; raises TypeError for text, truth values and complex numbers, which are none."""
    array = np.asarray(scores)
    if array.dtype.kind not in "fiu":
        raise TypeError(f"an array of {array.dtype}")
    return array.astype(float, copy=False)


def _first(results: Sequence[object]) -> object:
    return results[0] if results else None


def _call(pack: str, hook: pluggy.HookCaller, offered: object) -> list[object]:
    """Call a hook that only this pack has, and that is offered one thing."""
    return _caller(pack, hook)(offered)


def _caller(pack: str, hook: pluggy.HookCaller) -> Callable[[object], list[object]]:
    """What calls a hook that only this pack has; without a wrapper, straight, for it is called for every reading."""
    implementation = hook.get_hookimpls()[0]
    function: Callable[..., object] = implementation.function
    [offered] = hook.spec.argnames if hook.spec is not None else implementation.argnames
    wrapped, takes = implementation.wrapper or implementation.hookwrapper, bool(implementation.argnames)

    def call(what: object) -> list[object]:
        try:
            if wrapped:
                return list(hook(**{offered: what}))
            result = function(what) if takes else function()
        except (Exception, SystemExit) as error:  # foreign code: name the pack, and let nobody end the service
            raise PackError(f"{pack}: {hook.name} raised {said(error)}") from error
        return [] if result is None else [result]

    return call
