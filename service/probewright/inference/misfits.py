"""Evidence that does not fit: probable mistakes, and pieces that no single explanation covers."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from probewright.inference.likelihood import Piece
from probewright.inference.posterior import Posterior
from probewright_schemas.records import Clash

Array = NDArray[np.float64]

#: A piece that is a mistake with this probability is worth naming.
DOUBTFUL = 0.3
#: Another piece clashes with it when leaving that one out at least halves the doubt.
_HALVED = 0.5


def mistaken(pieces: Sequence[Piece], weights: Array) -> Array:
    """Probability that each piece of evidence is a mistake.

    Parameters
    ----------
    pieces : sequence of Piece
    weights : ndarray of shape (..., n_columns)
        Posterior probabilities; leading axes are kept.

    Returns
    -------
    ndarray of shape (..., n_pieces)
    """
    shares = [np.exp(np.minimum(piece.log_error - piece.log_likelihood, 0.0)) for piece in pieces]
    return np.stack([(weights * share).sum(axis=-1) for share in shares], axis=-1)


def misfits(pieces: Sequence[Piece], found: Posterior) -> tuple[Clash, ...]:
    """Name the evidence that clashes.

    A doubtful piece is named with every piece whose absence at least halves the doubt, or alone when nothing in
    particular speaks against it.
    """
    if not pieces:
        return ()
    doubt = mistaken(pieces, found.probabilities)
    clashes: dict[tuple[str, ...], Clash] = {}
    for i in np.flatnonzero(doubt >= DOUBTFUL).tolist():
        without = mistaken([pieces[i]], found.weights[1:])[:, 0]
        against = [j for j in range(len(pieces)) if j != i and without[j] <= _HALVED * doubt[i]]
        sources = tuple(sorted({pieces[j].source for j in [i, *against]}))
        clashes.setdefault(sources, Clash(sources, _message(pieces[i].source, [pieces[j].source for j in against])))
    return tuple(clashes[key] for key in sorted(clashes))


def _message(source: str, against: Sequence[str]) -> str:
    if not against:
        return f"Nothing this pack knows explains {source} beside the rest: take it again, or report the case."
    return f"{source} does not go together with {', '.join(sorted(set(against)))}: one of them is probably mistaken."
