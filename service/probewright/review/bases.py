"""What the numbers of a family rest on."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from typing import Any

from probewright.figures import BASES, Figure
from probewright.packs.model import Family
from probewright.review.catalogue import remark
from probewright.review.records import figures_of, listed
from probewright.review.remark import Remark

#: Bases that are to be replaced when a source is found.
WEAK = ("from_memory", "invented")
#: Words that stand where a source should.
_NO_SOURCE = re.compile(
    r"\W*(tbd|todo|to do|fixme|xxx+|n/?a|none|unknown|source|somewhere|internet|web|example|test|me|\?+)?\W*", re.I
)
#: Fewer letters than this name no publication and no derivation.
_FEWEST_LETTERS = 4


def bases(family: Family) -> Iterator[Remark]:
    """Everything that this module looks for."""
    found = [(kind, name, path, figure) for kind, name, path, figure in figures_of(family)]
    yield from _weak(found)
    invented: dict[str, list[str]] = {}
    empty: dict[str, list[str]] = {}
    for _, name, path, figure in found:
        if figure.basis == "invented" and not family.demo:
            invented.setdefault(name, []).append(path)
        if figure.basis in ("published", "derived") and _says_nothing(figure):
            empty.setdefault(name, []).append(f"{path} ({figure.basis}: {figure.source.strip()!r})")
    for name, paths in invented.items():
        told = "is an invented figure" if len(paths) == 1 else "are invented figures"
        yield remark("invented_figure", name, f"{listed(paths, 3)} {told}, and the family is no demo")
    for name, paths in empty.items():
        told = "names no source" if len(paths) == 1 else "name no source"
        yield remark("source_says_nothing", name, f"{listed(paths, 3)} {told}")


def _says_nothing(figure: Figure) -> bool:
    letters = sum(character.isalpha() for character in figure.source)
    return letters < _FEWEST_LETTERS or _NO_SOURCE.fullmatch(figure.source) is not None


def _weak(found: list[tuple[str, str, str, Figure]]) -> Iterator[Remark]:
    weak = Counter(kind for kind, _, _, figure in found if figure.basis in WEAK)
    if not weak:
        return
    told = [f"{count} of {kind}s" if kind not in ("costs", "supply", "family") else f"{count} of the {kind}"
            for kind, count in weak.most_common()]  # fmt: skip
    total = f"{sum(weak.values())} of {len(found)} figures are from memory or invented"
    yield remark("weak_basis", "family", f"{total}: {listed(told, 20)}")


def by_basis(family: Family) -> dict[str, Any]:
    """How many figures rest on each basis, in all and by kind of record, for the document."""
    found = list(figures_of(family))
    kinds: dict[str, Counter[str]] = {}
    for kind, _, _, figure in found:
        kinds.setdefault(kind, Counter())[figure.basis] += 1
    total = Counter(figure.basis for _, _, _, figure in found)
    return {
        "count": len(found),
        "by_basis": {basis: total[basis] for basis in BASES if total[basis]},
        "by_kind": {kind: {b: counts[b] for b in BASES if counts[b]} for kind, counts in sorted(kinds.items())},
    }
