"""Memory stays bounded whatever cases come."""

from __future__ import annotations

from itertools import combinations

from probewright.inference.store import MOST_COLUMNS, ModelStore
from probewright.inference.weighted_cache import WeightedCache
from probewright.packs.loader import load_packs
from probewright_schemas.records import Case


def test_what_was_used_last_is_kept():
    cache = WeightedCache[str](10)
    made = []

    def get(key: str) -> str:
        return cache.get(key, lambda: made.append(key) or key * 4)

    assert [get(key) for key in "aabab"] == [key * 4 for key in "aabab"]
    assert made == ["a", "b"]
    get("a")
    get("c")  # b was used longest ago
    get("a")
    get("b")
    assert made == ["a", "b", "c", "b"]
    assert cache.weight == 8


def test_what_is_too_long_is_made_each_time():
    cache = WeightedCache[str](3)
    made = []
    for _ in range(2):
        assert cache.get("a", lambda: made.append(1) or "long") == "long"
    assert len(made) == 2
    assert cache.weight == 0


def test_many_kinds_of_cases_do_not_pile_up():
    store = ModelStore(load_packs().get("gas_range").family)
    complaints = [c.id for c in store.family.complaints]
    for pair in combinations(complaints, 2):
        assert store.open_builds(Case("gas_range", complaints=pair)) is not None
        assert store._open.weight <= MOST_COLUMNS
