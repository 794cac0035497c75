"""Evidence that does not fit: probable mistakes, and pieces that no single explanation covers."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from probewright.inference.posterior import Posterior, left_out
from probewright_schemas.records import Clash

Array = NDArray[np.float64]

#: A piece that is a mistake with this probability is worth naming.
DOUBTFUL = 0.3
#: Another piece clashes with it when leaving that one out at least halves the doubt.
_HALVED = 0.5


def misfits(sources: Sequence[str], errors: Array, likelihoods: Array, found: Posterior) -> tuple[Clash, ...]:
    """Name the evidence that clashes.

    A doubtful piece is named with every piece whose absence at least halves the doubt, or alone when nothing in
    particular speaks against it.

    Parameters
    ----------
    sources : sequence of str, of length n_pieces
    errors : ndarray of shape (n_pieces,)
        What a mistake contributes to the likelihood of each piece, under any hypothesis.
    likelihoods : ndarray of shape (n_pieces, n_hypotheses)
    found : Posterior
        What they led to.
    """
    # P(mistake | all) = sum of P(h | all) error / likelihood(h), and the surprise is that sum without the error.
    doubt = errors * found.surprise
    clashes: dict[tuple[str, ...], Clash] = {}
    for i in np.flatnonzero(doubt >= DOUBTFUL).tolist():
        against = sorted({sources[j] for j in _speaking_against(i, errors, likelihoods, found, float(doubt[i]))})
        named = tuple(sorted({sources[i], *against}))
        clashes.setdefault(named, Clash(named, _message(sources[i], against)))
    return tuple(clashes[key] for key in sorted(clashes))


def _speaking_against(i: int, errors: Array, likelihoods: Array, found: Posterior, doubt: float) -> list[int]:
    against = []
    for j in range(len(errors)):
        without = left_out(found.probabilities, likelihoods[j])
        if j != i and errors[i] * left_out(without, likelihoods[i]).sum() / without.sum() <= _HALVED * doubt:
            against.append(j)
    return against


def _message(source: str, against: Sequence[str]) -> str:
    if not against:
        return f"Nothing this pack knows explains {source} beside the rest: take it again, or report the case."
    return f"{source} does not go together with {', '.join(against)}: one of them is probably mistaken."
