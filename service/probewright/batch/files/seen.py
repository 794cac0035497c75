"""Remembers which references were seen, and where, in some tens of bytes for each."""

from __future__ import annotations

from array import array
from hashlib import blake2b

_SMALLEST = 1024
#: Of the places, how many may be taken.
_FULL = 0.6


class Seen:
    """References by their 64-bit digests, in one flat table of two numbers for each place.

    Two of a million different references share a digest with a probability of three in a hundred million (the birthday
    bound); then a case would be refused, and never two be mixed up unseen.
    """

    def __init__(self) -> None:
        self._clear(_SMALLEST)

    def _clear(self, places: int) -> None:
        self._digests, self._rows = array("Q", bytes(8 * places)), array("Q", bytes(8 * places))
        self._places, self._count = places, 0

    def earlier(self, reference: str, row: int) -> int | None:
        """The row where it was seen before; None where this is the first."""
        digest = int.from_bytes(blake2b(reference.encode(), digest_size=8).digest(), "little") or 1  # 0 is a free place
        place = self._place(digest)
        if self._digests[place]:
            return self._rows[place]
        self._keep(place, digest, row)
        if self._count > _FULL * self._places:
            self._grow()
        return None

    def _place(self, digest: int) -> int:
        """Where it is, or else the free place for it."""
        place = digest % self._places
        while self._digests[place] not in (0, digest):
            place = (place + 1) % self._places
        return place

    def _keep(self, place: int, digest: int, row: int) -> None:
        self._digests[place], self._rows[place] = digest, row
        self._count += 1

    def _grow(self) -> None:
        digests, rows = self._digests, self._rows
        self._clear(2 * self._places)
        for digest, row in zip(digests, rows, strict=True):
            if digest:
                self._keep(self._place(digest), digest, row)
