"""A cache that is bounded by what its entries weigh, not by how many they are."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable, Sized
from threading import Lock
from typing import Generic, TypeVar

V = TypeVar("V", bound=Sized)


class WeightedCache(Generic[V]):
    """Keeps the values used last, as long as their lengths add up to no more than ``most``.

    A value that is longer than that by itself is not kept at all.
    """

    def __init__(self, most: int) -> None:
        self.most = most
        self.weight = 0
        self._kept: OrderedDict[Hashable, V] = OrderedDict()
        self._lock = Lock()

    def get(self, key: Hashable, make: Callable[[], V]) -> V:
        """The value of a key, made when it is not there.  Two threads may make the same one; one of them is kept."""
        with self._lock:
            found = self._kept.get(key)
            if found is not None:
                self._kept.move_to_end(key)
                return found
        made = make()
        with self._lock:
            if key not in self._kept and len(made) <= self.most:
                self._kept[key] = made
                self.weight += len(made)
                while self.weight > self.most:
                    self.weight -= len(self._kept.popitem(last=False)[1])
        return made
