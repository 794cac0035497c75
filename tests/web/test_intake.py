"""From bytes to a document: depth is counted before the parser sees it."""

from __future__ import annotations

import json

import orjson
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from probewright import intake
from probewright.intake import DEEPEST, MalformedJsonError, read_json

TRICKY = st.text(st.sampled_from('[]{}"\\,: a\u00e9\n'), max_size=8)
DOCUMENTS = st.recursive(
    st.none() | st.integers(-9, 9) | TRICKY,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(TRICKY, inner, max_size=3),
    max_leaves=12,
)


def levels(document):
    if isinstance(document, dict):
        return 1 + max(map(levels, document.values()), default=0)
    return 1 + max(map(levels, document), default=0) if isinstance(document, list) else 0


@pytest.mark.parametrize("deepest", [0, 1, 2, 3])
@pytest.mark.parametrize("indent", [None, 1])
def test_levels_are_counted_as_the_document_has_them(deepest, indent):
    """Whatever brackets, quotes and backslashes stand in strings."""

    @settings(max_examples=150, deadline=None, derandomize=True)
    @given(DOCUMENTS)
    def check(document):
        body = json.dumps(document, indent=indent, ensure_ascii=False).encode()
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(intake, "DEEPEST", deepest)
            if levels(document) <= deepest:
                assert read_json(body) == document
            else:
                with pytest.raises(MalformedJsonError, match=f"nests deeper than {deepest} levels"):
                    read_json(body)

    check()


@pytest.mark.parametrize(("opening", "closing"), [(b"[", b"]"), (b'{"a":', b"}")])
def test_the_deepest_allowed_is_parsed(opening, closing):
    """So that the parser's own limit is never met."""
    document, deep = read_json(opening * DEEPEST + b"1" + closing * DEEPEST), 0
    while isinstance(document, dict | list):
        document, deep = document["a"] if isinstance(document, dict) else document[0], deep + 1
    assert deep == DEEPEST
    with pytest.raises(MalformedJsonError, match=f"nests deeper than {DEEPEST} levels"):
        read_json(opening * (DEEPEST + 1) + b"1" + closing * (DEEPEST + 1))


def test_the_place_is_that_of_the_bracket_too_many():
    with pytest.raises(MalformedJsonError) as caught:
        read_json(b'["[",\n' + b" " * 4 + b"[" * DEEPEST + b"]" * DEEPEST + b"]")
    assert (caught.value.line, caught.value.column) == (2, 4 + DEEPEST)


def test_many_brackets_side_by_side_are_not_deep():
    document = [[]] * 3 * DEEPEST
    assert read_json(orjson.dumps(document)) == document


@pytest.mark.parametrize("body", [b'["' + b"[" * 2 * DEEPEST, b'"\\' + b"[" * 2 * DEEPEST, b"]" * 3 * DEEPEST + b"["])
def test_what_is_not_json_is_told_by_the_parser(body):
    """A string that does not end hides what follows, as it does for the parser."""
    with pytest.raises(MalformedJsonError) as caught:
        read_json(body)
    assert "deep" not in str(caught.value)
