"""Counts that stay small however much is counted, and that come to the same in whatever order they are merged."""

from __future__ import annotations

import json
from bisect import insort
from collections.abc import Iterable, Mapping
from typing import Any

Key = tuple[str, ...]


class Counts:
    """Numbers of several sorts under keys.

    Of more keys than ``most`` those that come first in the alphabet are kept, and the rest is counted together.  Which
    these are does not depend on the order in which they were counted; which occur most often would.
    """

    __slots__ = ("_by_key", "_most", "_others")

    def __init__(self, most: int) -> None:
        self._most = most
        self._by_key: dict[Key, dict[str, int]] = {}
        self._others: dict[str, int] = {}

    def add(self, key: Key, sort: str, by: int = 1) -> None:
        """Count."""
        found = self._by_key.get(key)
        if found is None:
            found = self._by_key[key] = {}
            # Twice as many are borne before the last ones go: then that costs next to nothing a key.  A key that went
            # and comes back has as many before it as ever, and goes again.
            if len(self._by_key) > 2 * self._most:
                self._trim()
                found = self._by_key.get(key, self._others)
        found[sort] = found.get(sort, 0) + by

    def merge(self, other: Counts) -> None:
        """Add what was counted elsewhere."""
        for key, numbers in list(other._by_key.items()):
            for sort, number in list(numbers.items()):
                self.add(key, sort, number)
        _add(self._others, other._others)

    def by_key(self) -> dict[Key, dict[str, int]]:
        """What was counted under each key that is kept, in order."""
        self._trim()
        return {key: dict(sorted(self._by_key[key].items())) for key in sorted(self._by_key)}

    def others(self) -> dict[str, int]:
        """What was counted under all other keys."""
        self._trim()
        return dict(sorted(self._others.items()))

    def totals(self) -> dict[str, int]:
        """What was counted under all keys together."""
        told: dict[str, int] = {}
        for numbers in (*self._by_key.values(), self._others):
            _add(told, numbers)
        return dict(sorted(told.items()))

    def to_json(self) -> dict[str, Any]:
        """Everything, in plain types and always in the same order."""
        return {"counts": [[list(key), numbers] for key, numbers in self.by_key().items()], "others": self.others()}

    def load(self, told: Mapping[str, Any]) -> None:
        """Add what :meth:`to_json` gave."""
        for key, numbers in told["counts"]:
            for sort, number in numbers.items():
                self.add(tuple(key), sort, number)
        _add(self._others, told["others"])

    def _trim(self) -> None:
        for key in sorted(self._by_key)[self._most :]:
            _add(self._others, self._by_key.pop(key))


def _add(numbers: dict[str, int], more: Mapping[str, int]) -> None:
    for sort, number in list(more.items()):
        numbers[sort] = numbers.get(sort, 0) + number


class Strongest:
    """The few entries that are strongest; among equals those of the first lines, and then those first in writing."""

    __slots__ = ("_entries", "_most")

    def __init__(self, most: int) -> None:
        self._most = most
        self._entries: list[tuple[float, int, str]] = []

    def wants(self, strength: float, line: int) -> bool:
        """Whether an entry may be among them; making one costs time."""
        return len(self._entries) < self._most or (-strength, line) <= self._entries[-1][:2]

    def add(self, strength: float, line: int, entry: Mapping[str, Any]) -> None:
        """Take an entry in, if it is strong enough."""
        # One way to write it: equal entries are equal texts.
        self._insert((-strength, line, json.dumps(entry, sort_keys=True, ensure_ascii=False)))

    def merge(self, other: Strongest) -> None:
        """Take in those found elsewhere."""
        for found in list(other._entries):
            self._insert(found)

    def entries(self) -> list[dict[str, Any]]:
        """The strongest first."""
        return [json.loads(text) for _, _, text in self._entries]

    def to_json(self) -> list[list[Any]]:
        """Everything, in plain types and always in the same order."""
        return [[-negative, line, json.loads(text)] for negative, line, text in self._entries]

    def load(self, told: Iterable[Any]) -> None:
        """Take in what :meth:`to_json` gave."""
        for strength, line, entry in told:
            self.add(strength, line, entry)

    def _insert(self, found: tuple[float, int, str]) -> None:
        insort(self._entries, found)
        del self._entries[self._most :]
