"""The page as a browser shows it: nothing asked for, nothing complained of, every figure whole."""

from __future__ import annotations

import os
from itertools import combinations

import pytest

from probewright.review.page import page_html
from support.browser import CHROMIUM, browsing
from support.reviewed import quality_of, review_of, warmer_pack

pytestmark = [
    pytest.mark.chromium,
    pytest.mark.skipif(
        CHROMIUM is None and not os.environ.get("PROBEWRIGHT_REQUIRE_CHROMIUM"), reason="chromium is not installed"
    ),
]
_BOX = "const b = e.getBoundingClientRect(); return [b.left, b.top, b.right, b.bottom]"
_OPENED = "document.querySelectorAll('details').forEach(d => d.open = true)"
FIGURES = f"[...document.querySelectorAll('figure svg')].map(e => {{ {_BOX} }})"
TEXTS = (
    "[...document.querySelectorAll('figure svg')].map(s => [...s.querySelectorAll('text')]"
    f".map(e => {{ {_BOX} }}))"
)
#: Pixels by which letters may reach over an edge: boxes are as high as the tallest letter of the font.
SLACK = 3


def confused(count=50):
    """What the warmer's jobs came to, with as many faults as a large pack has, each held to be the next at times."""
    quality = quality_of(warmer_pack(), 60)
    names = {f"fault_{i}": f"A fault with a title as long as they come, number {i}" for i in range(count)}
    right = [{"truth": fault, "leading": fault, "jobs": 11} for fault in names]
    wrong = [{"truth": f"fault_{i}", "leading": f"fault_{(i + 1) % count}", "jobs": 3} for i in range(count)]
    world = {**quality["worlds"]["given"], "confusion": [*right, *wrong]}
    return {**quality, "names": {**quality["names"], **names}, "worlds": {**quality["worlds"], "given": world}}


@pytest.fixture(scope="module")
def browser(tmp_path_factory):
    with browsing(tmp_path_factory.mktemp("profile")) as found:
        yield found


@pytest.fixture(scope="module")
def path(tmp_path_factory):
    path = tmp_path_factory.mktemp("page") / "review.html"
    path.write_text(page_html(review_of(warmer_pack(), confused())), encoding="utf-8")
    return path


def test_a_page_asks_for_nothing_and_complains_of_nothing(browser, path):
    browser.open(path)
    assert [asked["request"]["url"] for asked in browser.events("Network.requestWillBeSent")] == [path.as_uri()]
    for kind in ("Runtime.consoleAPICalled", "Runtime.exceptionThrown", "Log.entryAdded"):
        assert browser.events(kind) == []


def test_every_figure_is_seen_and_no_label_is_cut(browser, path):
    browser.open(path)
    browser.value(_OPENED)
    figures, texts = browser.value(FIGURES), browser.value(TEXTS)
    assert len(figures) == 4
    for (left, top, right, bottom), labels in zip(figures, texts, strict=True):
        assert right - left > 600
        assert bottom - top > 150
        assert len(labels) > 20
        assert min(label[0] for label in labels) >= left - SLACK
        assert min(label[1] for label in labels) >= top - SLACK
        assert max(label[2] for label in labels) <= right + SLACK
        assert max(label[3] for label in labels) <= bottom + SLACK


def overlap(one, other):
    """How far two boxes reach into each other, along the axis on which they do so least."""
    return min(min(one[2], other[2]) - max(one[0], other[0]), min(one[3], other[3]) - max(one[1], other[1]))


def test_no_label_lies_on_another(browser, path):
    browser.open(path)
    browser.value(_OPENED)
    for labels in browser.value(TEXTS):
        assert max(overlap(one, other) for one, other in combinations(labels, 2)) <= 0


def test_a_narrow_screen_scrolls_figures_and_not_the_page(browser, path):
    browser.open(path, width=380)
    assert browser.value("document.documentElement.scrollWidth") <= 380


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_a_page_is_light_or_dark_as_the_reader_likes_it(browser, path, scheme):
    browser.tell("Emulation.setEmulatedMedia", features=[{"name": "prefers-color-scheme", "value": scheme}])
    browser.open(path)
    back, ink = browser.value(
        "[getComputedStyle(document.body).backgroundColor, getComputedStyle(document.querySelector('svg text')).fill]"
    )
    brightness = [sum(int(part) for part in colour[4:-1].split(",")) for colour in (back, ink)]
    assert (brightness[0] > brightness[1]) == (scheme == "light")
    assert abs(brightness[0] - brightness[1]) > 400
