"""A pack's own likelihood scoring, in place of the declared model's."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from probewright.errors import PackModelError, said
from probewright.inference.builds import Build
from probewright.inference.evidence import Piece
from probewright.packs.calling import real_numbers
from probewright.packs.context import ReadingContext, ScoringBatch
from probewright.packs.registry import Scorer

Array = NDArray[np.float64]

#: In nats; beside so large a number nothing that is added to it counts, and sums of a few overflow.
_LARGEST = 1e15


def replace_scores(
    pieces: Sequence[Piece], builds: Sequence[Build], contexts: Mapping[int, ReadingContext], scorer: Scorer | None,
) -> list[Piece]:  # fmt: skip
    """Offer the readings' log-likelihoods to the pack's scorer, build by build.

    Raises
    ------
    PackModelError
        When the scorer returns something of another shape, or NaN.
    """
    own = [i for i, piece in enumerate(pieces) if piece.reading in contexts]
    if scorer is None or not own:
        return list(pieces)
    declared = np.stack([pieces[i].log_likelihood for i in own])
    readings = [contexts[pieces[i].reading] for i in own]
    scored, start = declared.copy(), 0
    for build in builds:
        block = slice(start, start + len(build.compiled.hypotheses) - 1)  # without the unknown, the engine's own
        scored[:, block] = _of_build(declared[:, block], readings, build, scorer)
        start += len(build.compiled.hypotheses)
    rows = dict(zip(own, scored, strict=True))
    return [replace(p, log_likelihood=rows[i]) if i in rows else p for i, p in enumerate(pieces)]


def _of_build(declared: Array, readings: Sequence[ReadingContext], build: Build, scorer: Scorer) -> Array:
    """The scores under one build, of shape (n_cases, n_hypotheses)."""
    contexts = [replace(reading, configuration=build.compiled.configuration) for reading in readings]
    scores = scorer(ScoringBatch(contexts, build.compiled.hypotheses.sets(), declared.copy()))
    rows = zip(scores, declared, readings, strict=True)
    return np.stack([kept if own is None else _checked(own, len(kept), reading) for own, kept, reading in rows])


def _checked(scores: object, count: int, context: ReadingContext) -> Array:
    where = f"pack {context.family.id!r}: probewright_score for test {context.test.id!r}"
    try:
        array = real_numbers(scores)
    except Exception as error:  # what foreign code gave may fail wherever it is touched
        raise PackModelError(f"{where} returned no numbers: {said(error)}") from error
    if array.shape != (count,):
        raise PackModelError(f"{where} returned shape {array.shape}, not ({count},)")
    if np.isnan(array).any() or (array > _LARGEST).any():
        told = f"NaN, +inf or more than {_LARGEST:g}; log-likelihoods are finite or -inf"
        raise PackModelError(f"{where} returned {told}")
    return array
