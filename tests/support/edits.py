"""A case with most members that there are, and changes to it anywhere, sound and unsound."""

from __future__ import annotations

import copy

from hypothesis import strategies as st

FULL = {
    "family": "gas_range", "reference": "job", "options": {"fuel": "propane"}, "complaints": ["a", "b"],
    "working": ["c"],
    "conditions": {"ambient": {"value": 70, "unit": "degF"}, "set_point": {"value": 350.5, "unit": "degF"}},
    "meters": {"dmm": {"kind": "multimeter", "counts": 2, "leads_zeroed": True, "sensing": "average"}},
    "readings": [
        {"test": "t", "value": 2.6, "unit": "A", "meter": "dmm"}, {"test": "t", "values": [1, 2.5], "unit": "V"},
        {"test": "t", "over_range": True}, {"test": "t", "seen": "x", "under_range": False, "after_repair": "r"},
        {"test": "t", "value": 0, "unit": "A", "day": "2026-08-28", "correction": {"gain": 1.02, "correlation": -0.5}},
    ],
    "tech_sheet": {"t": {"low": 1, "high": 2, "unit": "A"}},
    "repairs_done": [{"repair": "r", "complaint_remains": False}], "costs": {"callback": 1, "parts": {"p": 2}},
    "visit": {"tools": [], "skills": ["s"], "parts_on_hand": ["p", "q"]}, "effort": "none", "day": "2026-08-27",
}  # fmt: skip

NAMES = st.sampled_from(
    ["family", "value", "values", "unit", "test", "seen", "over_range", "meter", "kind", "low", "tools", "x", "", "dmm"]
)
PLAIN = st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5)
ANYTHING = st.recursive(
    PLAIN | st.sampled_from(["A", "quick", "dmm"]),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(NAMES, inner, max_size=3),
    max_leaves=6,
)


def places(document, path=()):
    yield path
    if isinstance(document, dict):
        for key, inner in document.items():
            yield from places(inner, (*path, key))
    elif isinstance(document, list):
        for index, inner in enumerate(document):
            yield from places(inner, (*path, index))


PLACES = list(places(FULL))
EDIT = st.tuples(st.sampled_from(PLACES), st.sampled_from(["put", "remove", "add"]), NAMES, ANYTHING)
EDITS = st.lists(EDIT, max_size=3)


def edited(edits):
    """The full case with places overwritten, removed, or given a member more."""
    document = copy.deepcopy(FULL)
    for path, what, name, value in edits:
        here = document
        try:
            for step in path[:-1]:
                here = here[step]
            if what == "add":
                here[path[-1]][name] = value
            elif what == "remove":
                del here[path[-1]]
            elif path:
                here[path[-1]] = value
            else:
                document = value
        except (IndexError, KeyError, TypeError):
            continue  # an earlier edit took the place away
    return document
