"""A pack's own likelihood scoring, in place of the declared model's."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from probewright.errors import PackModelError
from probewright.inference.builds import Build
from probewright.inference.likelihood import Piece
from probewright.packs.context import ReadingContext, ScoringContext
from probewright.packs.registry import Scorer

Array = NDArray[np.float64]


def replace_scores(
    pieces: Sequence[Piece], builds: Sequence[Build], contexts: Mapping[int, ReadingContext], scorer: Scorer | None,
) -> list[Piece]:  # fmt: skip
    """Offer each reading's log-likelihoods to the pack's scorer, build by build.

    Raises
    ------
    PackModelError
        When the scorer returns something of another shape, or NaN.
    """
    if scorer is None:
        return list(pieces)
    return [
        _offer(piece, builds, contexts[piece.reading], scorer) if piece.reading in contexts else piece
        for piece in pieces
    ]


def _offer(piece: Piece, builds: Sequence[Build], context: ReadingContext, scorer: Scorer) -> Piece:
    blocks, start = [], 0
    for build in builds:
        block = piece.log_likelihood[start : start + len(build.compiled.hypotheses)].copy()
        start += len(block)
        own = replace(context, configuration=build.compiled.configuration)
        scores = scorer(ScoringContext(own, build.compiled.hypotheses.sets(), block[:-1]))
        if scores is not None:
            block[:-1] = _checked(scores, len(block) - 1, context)
        blocks.append(block)
    return replace(piece, log_likelihood=np.concatenate(blocks))


def _checked(scores: object, count: int, context: ReadingContext) -> Array:
    where = f"pack {context.family.id!r}: probewright_score for test {context.test.id!r}"
    try:
        array = np.asarray(scores, dtype=float)
    except (TypeError, ValueError) as error:
        raise PackModelError(f"{where} returned no numbers: {error}") from error
    if array.shape != (count,):
        raise PackModelError(f"{where} returned shape {array.shape}, not ({count},)")
    if np.isnan(array).any() or (array == np.inf).any():
        raise PackModelError(f"{where} returned NaN or +inf; log-likelihoods are finite or -inf")
    return array
