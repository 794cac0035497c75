"""Evidence that does not fit: probable mistakes, and pieces that no single explanation covers."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from probewright.inference.evidence import Source
from probewright.inference.posterior import Posterior, left_out
from probewright_schemas.records import Clash

Array = NDArray[np.float64]

#: A piece that is a mistake with this probability is worth naming.
DOUBTFUL = 0.3
#: Another piece clashes with it when leaving that one out at least halves the doubt.
_HALVED = 0.5


def misfits(pieces: Sequence[Source], found: Posterior) -> tuple[Clash, ...]:
    """Name the evidence that clashes.

    A doubtful piece is named with every piece whose absence at least halves the doubt, or alone when nothing in
    particular speaks against it.  What somebody reported is named alone only when the other evidence has at least
    doubled the doubt: customers complain of sound appliances, too.

    Parameters
    ----------
    pieces : sequence of Source
    found : Posterior
        What they led to.
    """
    # P(mistake | all) = sum of P(h | all) error / likelihood(h), and the surprise is that sum without the error.
    errors = np.array([piece.error for piece in pieces])
    doubt = errors * found.surprise
    if not (doubt >= DOUBTFUL).any():
        return ()
    reported = np.array([piece.reading < 0 for piece in pieces], dtype=bool)
    named_alone = ~reported | (errors / found.predictive <= _HALVED * doubt)
    without = errors * _surprise_without_each(found)
    clashes: dict[tuple[str, ...], Clash] = {}
    for i in np.flatnonzero(doubt >= DOUBTFUL).tolist():
        places = [j for j in np.flatnonzero(without[:, i] <= _HALVED * doubt[i]).tolist() if j != i]
        against = sorted({pieces[j].source for j in places})
        if against or named_alone[i]:
            named = tuple(sorted({pieces[i].source, *against}))
            clashes.setdefault(named, Clash(named, _message(pieces[i].source, against)))
    return tuple(clashes[key] for key in sorted(clashes))


def _surprise_without_each(found: Posterior) -> Array:
    """Surprise of each piece (columns) when another (rows) is left out as well: shape (n_pieces, n_pieces)."""
    inverse = left_out(np.ones(found.likelihoods.shape[1]), found.likelihoods)
    weights = inverse * found.probabilities
    return np.asarray((weights @ inverse.T) / weights.sum(axis=1, keepdims=True))


def _message(source: str, against: Sequence[str]) -> str:
    if not against:
        return (
            f"Nothing this pack knows explains {source} beside the rest: take it again; "
            "if it stands, something else is wrong, or more than two things are."
        )
    if list(against) == [source]:
        return f"The readings of {source} do not go together: take it once more."
    others = ", ".join(name for name in against if name != source)
    return (
        f"{source} does not go together with {others}: one of them is probably mistaken, or more than two things are "
        "wrong."
    )
