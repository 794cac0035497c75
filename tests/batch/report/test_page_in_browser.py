"""The page of a re-evaluation as a browser shows it: nothing asked for, nothing complained of, every figure whole."""

from __future__ import annotations

import os
import random
from itertools import combinations

import pytest

from probewright.batch.report import About, report_page
from probewright.batch.report.words import width
from probewright_schemas.batch_records import Change, CorrectedReading, Held, Reevaluation
from probewright_schemas.records import PackIdentity
from support.browser import CHROMIUM, browsing
from support.reevaluated import ABOUT, drawn, tally

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
FILLS = "[...document.querySelectorAll('figure path')].map(e => getComputedStyle(e).fill)"
#: Pixels by which letters may reach over an edge: boxes are as high as the tallest letter of the font.
SLACK = 3
LONG = "Wm" * 90
WIDE = "電源電圧の異常" * 12


def crowded():
    """As many faults and meters as there may be, each with a name as long or as wide as it may be."""
    chance = random.Random(11)
    pack = PackIdentity("f" * 128, "1" * 128, "sha256:" + "0" * 121)
    for line in range(1, 401):
        before, after = chance.randrange(300), chance.randrange(300)
        changes = (
            Change("hazard_shows", f"fault_{after}"),
            Change("leading_fault", None, None, f"fault_{before}", f"fault_{after}"),
            Change("verdict", f"fault_{before}", 0, "within", "outside"),
        )
        yield line, Reevaluation(
            family=pack.family, status="changed", why="w" * 400, pack=pack, after=Held(f"fault_{after}", 0.5),
            computation="sha256:0", reference="r" * 200, before=Held(f"fault_{before}", chance.random()), shift=0.5,
            changes=changes, corrected=(CorrectedReading(0, "t", f"{line:03d}" + "m" * 120, 1.0, 1.1, "A"),),
        ), pack  # fmt: skip


MOVED = Reevaluation(
    family="gas_range", status="changed", why="The corrected reading of 2.6068 A is outside its band.",
    pack=PackIdentity("gas_range", "1.0.0", "sha256:0"), after=Held("bake_igniter_weak", 0.95), computation="sha256:0",
    before=Held("no_fault", 0.8), shift=0.9,
    changes=(Change("leading_fault", None, None, "no_fault", "bake_igniter_weak"),),
)  # fmt: skip
CROWDED = About(titles={"f" * 128: {f"fault_{i}": f"{i} {LONG if i % 2 else WIDE}" for i in range(300)}})
PAGES = {
    "usual": lambda: report_page(tally(drawn(5000, seed=7), refused=23), ABOUT),
    "crowded": lambda: report_page(tally(crowded()), CROWDED),
    "changed": lambda: report_page(tally(drawn(400, seed=5, change_rate=1e9)), ABOUT),
    "one": lambda: report_page(tally([(1, MOVED, MOVED.pack)]), ABOUT),
    "still": lambda: report_page(tally(drawn(200, seed=3, change_rate=0.0)), ABOUT),
    "empty": lambda: report_page(tally([])),
}


@pytest.fixture(scope="module")
def browser(tmp_path_factory):
    with browsing(tmp_path_factory.mktemp("profile")) as found:
        yield found


@pytest.fixture(scope="module")
def paths(tmp_path_factory):
    folder = tmp_path_factory.mktemp("pages")
    for name, made in PAGES.items():
        (folder / f"{name}.html").write_text(made(), encoding="utf-8")
    return {name: folder / f"{name}.html" for name in PAGES}


@pytest.mark.parametrize("name", PAGES)
def test_a_page_asks_for_nothing_and_complains_of_nothing(browser, paths, name):
    browser.open(paths[name])
    assert [asked["request"]["url"] for asked in browser.events("Network.requestWillBeSent")] == [paths[name].as_uri()]
    for kind in ("Runtime.consoleAPICalled", "Runtime.exceptionThrown", "Log.entryAdded"):
        assert browser.events(kind) == []
    # The policy lets the page's own style in.
    assert browser.value("getComputedStyle(document.querySelector('.tiles')).display") == "grid"


def test_a_script_or_a_style_that_got_in_would_not_work(browser, paths, tmp_path):
    evil = "<script>document.title = 'evil'</script><style>h1 { display: none }</style><img src='http://127.0.0.1:9/'>"
    path = tmp_path / "evil.html"
    path.write_text(paths["one"].read_text(encoding="utf-8").replace("<h2>", evil + "<h2>", 1), encoding="utf-8")
    browser.open(path)
    assert browser.value("document.title") == "Re-evaluation of stored jobs"
    assert browser.value("getComputedStyle(document.querySelector('h1')).display") == "block"
    assert len([event for event in browser.events("Log.entryAdded") if event["entry"]["source"] == "security"]) >= 3


@pytest.mark.parametrize(("name", "count"), [("usual", 4), ("crowded", 2), ("changed", 4), ("one", 2), ("still", 1)])
@pytest.mark.parametrize("screen", [1280, 400])
def test_every_figure_is_seen_and_no_label_is_cut(browser, paths, name, count, screen):
    browser.open(paths[name], width=screen)
    browser.value(_OPENED)
    figures, texts = browser.value(FIGURES), browser.value(TEXTS)
    assert len(figures) == count
    for (left, top, right, bottom), labels in zip(figures, texts, strict=True):
        assert right - left > 600
        assert bottom - top > 30
        assert len(labels) >= 4
        assert min(label[0] for label in labels) >= left - SLACK
        assert min(label[1] for label in labels) >= top - SLACK
        assert max(label[2] for label in labels) <= right + SLACK
        assert max(label[3] for label in labels) <= bottom + SLACK


def overlap(one, other):
    """How far two boxes reach into each other, along the axis on which they do so least."""
    return min(min(one[2], other[2]) - max(one[0], other[0]), min(one[3], other[3]) - max(one[1], other[1]))


@pytest.mark.parametrize("name", ["usual", "crowded", "changed", "one"])
def test_no_label_lies_on_another(browser, paths, name):
    browser.open(paths[name])
    for labels in browser.value(TEXTS):
        # Boxes of lines are a little higher than their letters.
        assert max(overlap(one, other) for one, other in combinations(labels, 2)) <= 1


@pytest.mark.parametrize("name", PAGES)
@pytest.mark.parametrize("screen", [1280, 400, 340])
def test_a_narrow_screen_scrolls_figures_and_tables_and_not_the_page(browser, paths, name, screen):
    browser.open(paths[name], width=screen)
    browser.value(_OPENED)
    assert browser.value("document.documentElement.scrollWidth") <= screen


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_a_page_is_light_or_dark_as_the_reader_likes_it(browser, paths, scheme):
    browser.tell("Emulation.setEmulatedMedia", features=[{"name": "prefers-color-scheme", "value": scheme}])
    browser.open(paths["usual"])
    back, ink = browser.value(
        "[getComputedStyle(document.body).backgroundColor, getComputedStyle(document.querySelector('svg text')).fill]"
    )
    brightness = [sum(int(part) for part in colour[4:-1].split(",")) for colour in (back, ink)]
    assert (brightness[0] > brightness[1]) == (scheme == "light")
    assert abs(brightness[0] - brightness[1]) > 400
    # Bands have colours of their own, and no two faults beside each other the same.
    assert len(set(browser.value(FILLS))) == 6


def test_paper_is_light_and_shows_every_figure_whole(browser, paths):
    dark = [{"name": "prefers-color-scheme", "value": "dark"}]
    browser.tell("Emulation.setEmulatedMedia", media="print", features=dark)
    try:
        browser.open(paths["usual"], width=720)
        assert browser.value("document.documentElement.scrollWidth") <= 720
        assert all(0 < right - left <= 720 for left, _, right, _ in browser.value(FIGURES))
        cut = "[...document.querySelectorAll('.scroll')].filter(e => e.scrollWidth > e.clientWidth).length"
        assert browser.value(cut) == 0
        back = "getComputedStyle(document.body).backgroundColor"
        assert browser.value(back) == "rgb(255, 255, 255)"
        assert browser.value("getComputedStyle(document.querySelector('svg text')).fill") == "rgb(31, 35, 41)"
    finally:
        browser.tell("Emulation.setEmulatedMedia", media="", features=[])


def test_letters_are_not_wider_than_they_are_held_to_be(browser, paths):
    browser.open(paths["usual"])
    texts = ["Oven temperature sensor drifted", "WWWW MMMM", "illicit", "Vent blocked 1,234", "電源電圧", "@&%…", "ÄÖÜ"]
    made = (
        "(t => { const e = document.querySelector('figure svg text'); e.textContent = t;"
        " e.removeAttribute('class'); return e.getBBox().width })"
    )
    for text in texts:
        assert browser.value(f"{made}({text!r})") <= width(text, 12.0)
