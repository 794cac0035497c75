"""The page of a review: everything in it, nothing from elsewhere, and nothing that a pack can smuggle in."""

from __future__ import annotations

import re
from html.parser import HTMLParser

import pytest

from probewright.review.page import page_html
from probewright.review.plots import confusion_figure
from probewright.review.plots_svg import clean
from support.reviewed import finding, lamp_pack, quality_of, review_of, warmer_pack

VOID = {"meta", "br", "hr", "img", "link", "input"}


class Outline(HTMLParser):
    """Which elements a page has; whether they are closed in order; its ids and what is said of its figures."""

    def __init__(self):
        super().__init__()
        self.open, self.seen, self.ids, self.labels, self.text = [], [], [], [], []

    def handle_starttag(self, tag, attrs):
        told = dict(attrs)
        self.seen.append((tag, told))
        self.ids += [told["id"]] if "id" in told else []
        self.labels += [told["aria-label"]] if "aria-label" in told else []
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.handle_starttag(tag, attrs)
        if tag not in VOID:
            self.open.pop()

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        if self.open and self.open[-1] not in ("style", "title"):
            self.text.append(data)

    def named(self, tag):
        return [told for name, told in self.seen if name == tag]


def outline(page):
    found = Outline()
    found.feed(page)
    found.close()
    assert found.open == []
    return found


@pytest.fixture(scope="module")
def quality():
    return quality_of(warmer_pack(), 60)


@pytest.fixture(scope="module")
def page(quality):
    return page_html(review_of(warmer_pack(), quality))


def test_a_page_has_findings_scores_and_figures(page, quality):
    found = outline(page)
    text = " ".join(found.text)
    assert "Review of Warmer 1.0.0" in text
    for words in ("faults_alike", "what faults_alike spoils", "it sticks", "Oil it.", "The catalogue lists it."):
        assert words in text
    assert f"{quality['worlds']['given']['decided']['brier']['value']:.3f}" in text
    # Reliability, two confusions, costs.
    assert len(found.named("svg")) == len(found.labels) == 4
    assert all(len(label) > 40 for label in found.labels)


def test_ids_are_unique(page):
    ids = outline(page).ids
    assert len(ids) == len(set(ids)) > 50


def test_a_figure_refers_to_what_is_there(page):
    ids = set(outline(page).ids)
    named = set(re.findall(r"url\(#([^)]+)\)", page)) | set(re.findall(r'href="#([^"]+)"', page))
    assert named
    assert named <= ids


def test_a_page_needs_nothing_from_elsewhere(page):
    found = outline(page)
    assert not {tag for tag, _ in found.seen} & {"script", "link", "img", "iframe", "object", "embed", "base", "form"}
    for _, told in found.seen:
        assert not any(name.startswith("on") for name in told)
        places = [told.get(name) for name in ("src", "href", "xlink:href", "srcset", "action")]
        assert all(place is None or place.startswith("#") for place in places)
    style = page[page.index("<style>") : page.index("</style>")]
    assert "url(" not in style
    assert "@import" not in style


def test_the_same_document_gives_the_same_bytes(quality, page):
    assert page_html(review_of(warmer_pack(), quality)) == page
    assert not re.search(r"20\d\d-\d\d-\d\d", page)


def test_all_text_is_escaped(quality):
    evil = "<script>alert(1)</script>\"'&$x^2$\x1b[31m"
    names = dict.fromkeys(quality["names"], evil)
    told = review_of(warmer_pack(), {**quality, "names": names})
    told["findings"] = [finding("error", evil, evil), {**finding("note", "weak_basis"), "message": evil, "hint": evil}]
    told["accepted"] = [{**finding("warning", evil), "reason": evil}]
    told["rules"] = {evil: {"finds": evil, "why": evil}}
    told["pack"] = {**told["pack"], "title": evil, "entry_point": evil, "distribution": evil}
    page = page_html(told)
    found = outline(page)
    assert found.named("script") == []
    assert "\x1b" not in page
    text = "".join(found.text)
    # As it was written, in tables and in figures alike: no formula is made of it.
    assert text.count("<script>alert(1)</script>\"'&$x^2$?[31m") > 12


def test_a_severity_is_no_way_into_an_attribute(quality):
    told = review_of(warmer_pack(), quality, findings=[{**finding("note", "weak_basis"), "severity": '"><script>'}])
    assert outline(page_html(told)).named("script") == []


def test_a_pack_that_was_refused_has_a_page():
    told = review_of(
        lamp_pack(), None, name="lamp", pack=None, figures=None, findings=[finding("error", "broken_reference")],
        counts={"error": 1, "warning": 0, "note": 0, "accepted": 0}, accepted=[],
    )  # fmt: skip
    found = outline(page_html(told))
    assert "Review of lamp" in found.text
    assert "Errors (1)" in found.text
    assert found.named("svg") == []


def test_a_pack_with_nothing_to_say_against_it_has_a_page():
    clean_counts = dict.fromkeys(("error", "warning", "note", "accepted"), 0)
    told = review_of(lamp_pack(), None, findings=[], accepted=[], counts=clean_counts)
    assert "Nothing to say against it." in outline(page_html(told)).text


def test_one_world_without_a_checklist_has_a_page():
    quality = quality_of(lamp_pack(), 150, worlds=(False,))
    found = outline(page_html(review_of(lamp_pack(), quality)))
    assert len(found.named("svg")) == 3
    assert "The family names no checklist to compare with." in found.text
    assert not any("checklist" in label for label in found.labels)


def test_jobs_that_nothing_can_be_scored_of_have_a_page(quality):
    world = {**quality["worlds"]["given"], "decided": None, "left": None, "confusion": [], "outcomes": []}
    found = outline(page_html(review_of(warmer_pack(), {**quality, "worlds": {"given": world}})))
    assert [label[:15] for label in found.labels] == ["What jobs cost."]


def test_many_findings_of_one_rule_are_folded_away(quality):
    many = [finding("warning", "faults_alike", f"test {i}") for i in range(40)]
    found = outline(page_html(review_of(warmer_pack(), quality, findings=many)))
    assert "40 findings" in found.text


def test_a_confusion_shows_every_job(quality):
    world = quality["worlds"]["given"]
    found = outline(confusion_figure("given", world, quality["names"]))
    shown = [data.strip() for data in found.text]
    cells = [str(cell["jobs"]) for cell in world["confusion"]]
    assert all(shown.count(number) >= cells.count(number) for number in set(cells))
    occurring = {cell[key] for cell in world["confusion"] for key in ("truth", "leading")}
    titles = {quality["names"][outcome] for outcome in occurring}
    assert titles <= {text.rsplit("\u2002", 1)[0] for text in shown}


def test_a_long_title_is_cut_and_control_characters_are_replaced():
    assert clean("a\x00b" * 40, 10) == "a?ba?ba?b…"
    assert clean("short", 10) == "short"
