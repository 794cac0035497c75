"""The page of a re-evaluation: everything in it, nothing from elsewhere, and nothing that a caller can smuggle in."""

from __future__ import annotations

import re
from base64 import b64encode
from collections import Counter
from hashlib import sha256
from html.parser import HTMLParser

import pytest

from probewright.batch.report import About, report_page
from probewright.batch.summary import Tally
from probewright_schemas.batch_records import Change, Changes, CorrectedReading, Held, MeterCorrection, Reevaluation
from probewright_schemas.batch_records import ReplacedLimits as Replaced
from probewright_schemas.records import Correction, Limits, PackIdentity, Quantity
from support.families import warmer
from support.reevaluated import ABOUT, FAMILIES, TITLES, drawn, tally

VOID = {"meta", "br"}
EVIL = "<script>alert(1)</script>\"'&\x1b[31m\u202e"
SEEN = "<script>alert(1)</script>\"'&?[31m?"


class Outline(HTMLParser):
    """Which elements a page has, whether they are closed in order, and its text by section."""

    def __init__(self):
        super().__init__()
        self.open, self.seen, self.sections = [], [], {"": []}
        self.section = ""

    def handle_starttag(self, tag, attrs):
        self.seen.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.handle_starttag(tag, attrs)
        if tag not in VOID:
            self.open.pop()

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        if "h2" in self.open:
            self.section = data
            self.sections[data] = []
        elif self.open and self.open[-1] != "style":
            self.sections[self.section].append(data)

    def named(self, tag):
        return [told for name, told in self.seen if name == tag]

    def text(self, section=None):
        told = [data for name, parts in self.sections.items() if section in (None, name) for data in parts]
        return re.sub(r"\s+", " ", " ".join(told))


def outline(page):
    found = Outline()
    found.feed(page)
    found.close()
    assert found.open == []
    return found


def figures(found):
    return [told for told in found.named("svg") if told.get("role") == "img"]


@pytest.fixture(scope="module")
def results():
    return list(drawn(5000, seed=7))


@pytest.fixture(scope="module")
def page(results):
    return report_page(tally(results, refused=23), ABOUT)


@pytest.fixture(scope="module")
def read(page):
    return outline(page)


def of_kind(results, kind):
    return [(line, one) for line, one, _ in results if any(change.kind == kind for change in one.changes)]


def test_the_counts_lead_the_page(read, results):
    statuses = Counter(one.status for _, one, _ in results)
    text = read.text("")
    for count in (5023, *statuses.values(), 23):
        assert f"{count:,}" in text
    compared = 5000 - statuses["new"]
    assert f"{statuses['changed']} of {compared:,} jobs that have an earlier answer would be answered otherwise" in text
    assert f"In {len(of_kind(results, 'hazard_shows'))} a hazard now shows that did not show before" in text
    assert f"in {len(of_kind(results, 'swapped_part_good'))} a part that was replaced now looks good" in text


def test_what_was_asked_stands_in_plain_words(read):
    text = read.text("What was asked")
    for words in (
        "Meter clamp-07, readings of current : multiplied by 1.064 (standard uncertainty 0.004), from 2026-03-01 to "
        "2026-08-28.",
        "their distance from 20 degC multiplied by 1.002 (standard uncertainty 0.001) and shifted by −1.5 degC "
        "(standard uncertainty 0.2 degC), on all days.",
        "Gas range, Bake igniter current : new limits, 3.2 to 3.6 A, where igniter style is flat.",
        "Clothes dryer, Heater current : new limits, at least 18 A.",
        "jobs-2026.ndjson.gz",
    ):
        assert words in text


def test_packs_before_and_now_stand_by_their_digests(read, results):
    jobs = Counter(one.family for _, one, _ in results)
    text = read.text("What was asked")
    assert f"Gas range 1.0.0 sha256:0a0a0a0a0a0a ({jobs['gas_range']:,}) 1.1.0 sha256:5d5d5d5d5d5d" in text
    assert text.count("the same") == 2
    assert text.count("changed") == 1


def test_the_strongest_jobs_of_each_kind_are_named_and_none_twice(read, results):
    text = read.text("Jobs to look at first")
    hazards = sorted(of_kind(results, "hazard_shows"), key=lambda told: (-told[1].shift, told[0]))
    named = re.findall(r"invented job (\d+) ", text)
    assert [int(line) for line in named[: len(hazards[:20])]] == [line for line, _ in hazards[:20]]
    told = text[: text.index("With a note")]
    counts = Counter(re.findall(r"invented job (\d+) ", told))
    assert max(counts.values()) == 1
    assert len(counts) > 50
    assert "local codes" in told
    for kind in ("next_step", "swapped_part_good", "leading_fault"):
        assert f"({len(of_kind(results, kind))})" in told


def test_a_jobs_reason_stands_beside_it(read, results):
    line, first = min(of_kind(results, "hazard_shows"), key=lambda told: (-told[1].shift, told[0]))
    text = read.text("Jobs to look at first")
    start = text.index(f"invented job {line} ")
    assert first.why in text[start : start + 300]
    assert TITLES[first.family][first.after.fault] in text[start : start + 400]


def test_a_family_has_a_flow_that_tells_its_counts(read, results):
    for family, title in FAMILIES.items():
        compared = [one for _, one, _ in results if one.family == family and one.before is not None]
        moved = sum(one.before.fault != one.after.fault for one in compared)
        label = next(told["aria-label"] for told in figures(read) if told["aria-label"].startswith(title))
        assert f"another fault leads in {moved} jobs of {len(compared):,}" in label
        assert "Most often: from" in label


def test_probabilities_before_and_now_are_counted_by_whether_the_leader_stays(read, results):
    compared = [one for _, one, _ in results if one.before is not None]
    label = next(told["aria-label"] for told in figures(read) if "Probability of the leading" in told["aria-label"])
    stays = sum(one.before.fault == one.after.fault for one in compared)
    assert f"The same fault leads: {stays:,} jobs" in label
    assert f"Another fault leads now: {len(compared) - stays:,} jobs" in label
    steps = [(min(19, int(20 * one.before.probability)), min(19, int(20 * one.after.probability)))
             for one in compared if one.before.fault != one.after.fault]  # fmt: skip
    surer, less = sum(now > before for before, now in steps), sum(now < before for before, now in steps)
    alike = len(steps) - surer - less
    assert alike > 0
    assert f"{surer} surer than before, {less} less sure, {alike} about as sure." in label


def test_tables_hold_what_was_counted(read, results):
    turned = Counter(
        change.of for _, one, _ in results for change in one.changes
        if one.family == "gas_range" and (change.kind, change.before, change.after) == ("verdict", "within", "outside")
    )  # fmt: skip
    text = read.text("Readings that are judged otherwise")
    assert re.search(rf"Broil igniter current Gas range \d+ {turned['broil_igniter_current']} ", text)
    corrected = Counter(reading.meter for _, one, _ in results for reading in one.corrected)
    assert f"clamp-07 {corrected['clamp-07']} {corrected['clamp-07']} " in read.text("By meter")
    led = sum(one.before is not None and one.before.fault == "vent_blocked" for _, one, _ in results)
    assert f"Vent blocked Clothes dryer {led} " in read.text("By fault")


def test_every_figure_says_what_it_shows_and_what_to_read_from_it(read):
    drawings = figures(read)
    assert len(drawings) == len(read.named("figcaption")) == 4
    assert all(len(told["aria-label"]) > 60 for told in drawings)
    # All others are bars beside the numbers that they show.
    assert all(told.get("role") == "img" or told.get("aria-hidden") == "true" for told in read.named("svg"))
    tables = [told for told in read.named("p") if told.get("class") == "soft told"]
    assert len(tables) >= 6


def test_a_page_needs_nothing_from_elsewhere(page, read):
    assert {tag for tag, _ in read.seen} <= {
        "html", "head", "meta", "title", "style", "body", "header", "h1", "h2", "h3", "p", "div", "b", "span", "ul",
        "li", "strong", "br", "code", "details", "summary", "table", "caption", "thead", "tbody", "tr", "th", "td",
        "figure", "figcaption", "svg", "text", "tspan", "rect", "line", "path",
    }  # fmt: skip
    for _, told in read.seen:
        assert not {name for name in told if name.startswith("on")} | set(told) & {"href", "src", "style", "xlink:href"}
    style = page[page.index("<style>") + 7 : page.index("</style>")]
    assert "url(" not in style
    assert "@import" not in style
    policy = next(told["content"] for told in read.named("meta") if "http-equiv" in told)
    digest = b64encode(sha256(style.encode()).digest()).decode()
    assert policy == f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"


def test_the_same_tally_gives_the_same_bytes(page, results):
    parts = [Tally.from_json(tally(results[start::7])) for start in range(7)]
    whole = Tally.from_json(tally([], refused=23))
    for part in reversed(parts):
        whole.merge(part)
    assert report_page(whole.to_json(), ABOUT) == page


def hostile():
    """A result whose every text is hostile."""
    changes = (
        Change("hazard_shows", EVIL), Change("swapped_part_good", EVIL, None, None, None, 0.9, 0.1),
        Change("next_step", None, None, f"test:{EVIL}", EVIL), Change("leading_fault", None, None, EVIL, "b"),
        Change("verdict", EVIL, 0, "within", "outside"), Change("not_computed"),
    )  # fmt: skip
    pack = PackIdentity(EVIL, EVIL, EVIL)
    return Reevaluation(
        family=EVIL, status="changed", why=EVIL, pack=pack, after=Held("b" + EVIL, 0.5), computation=EVIL,
        reference=EVIL, before=Held(EVIL, 0.5), shift=0.5, changes=changes,
        corrected=(CorrectedReading(0, EVIL, EVIL, 1.0, 2.0, EVIL),), notes=(EVIL,),
    )  # fmt: skip


def test_all_text_is_escaped():
    told = Tally()
    for line in range(3):
        told.add(hostile(), line, PackIdentity(EVIL, EVIL, EVIL))
    told.refuse(EVIL)
    limits = Replaced(EVIL, EVIL, Limits(EVIL), {EVIL: EVIL})
    changes = Changes((MeterCorrection(EVIL, EVIL, Correction(1.1, 0.0, *[Quantity(1.0, EVIL)] * 3)),), (limits,))
    for about in (About(changes, inputs=(EVIL,), note=EVIL),
                  About(changes, {EVIL: EVIL}, {EVIL: {EVIL: EVIL + EVIL}})):  # fmt: skip
        page = report_page(told.to_json(), about)
        found = outline(page)
        assert found.named("script") == []
        assert "\x1b" not in page
        assert "\u202e" not in page
        assert SEEN in found.text()
        for section, most in (("What was asked", 9), ("Jobs to look at first", 9), ("By meter", 1), ("By fault", 2)):
            assert found.text(section).count("<script>alert(1)</script>") >= most
        assert all(set(told) <= {"role", "aria-label", "aria-hidden", "viewbox", "preserveaspectratio"}
                   for told in found.named("svg"))  # fmt: skip


def test_titles_are_those_of_the_packs():
    limits = (Replaced("warmer", "heater_ohms", Limits("ohm", low=10.0), {"style": "large"}),)
    about = About.of(Changes(limits=limits), (warmer(),), inputs=("jobs.ndjson",))
    test = next(test for test in warmer().tests if test.id == "heater_ohms")
    text = outline(report_page(Tally().to_json(), about)).text("What was asked")
    assert f"Warmer, {test.title} : new limits, at least 10 ohm, where Style is Large." in text
    for record in (*warmer().faults, *warmer().parts, *warmer().repairs, *warmer().interlocks):
        assert about.title("warmer", record.id) == record.title
    assert about.title("warmer", "no_fault") == "Nothing wrong"


def quiet(line, **different):
    """A job that is answered as before."""
    told = {
        "family": "gas_range", "status": "unchanged", "why": "Nothing that counts is different.",
        "pack": PackIdentity("gas_range", "1.0.0", "sha256:0"), "after": Held("bake_igniter_weak", 0.9),
        "computation": "sha256:1", "before": Held("bake_igniter_weak", 0.9), "shift": 0.0, "reference": f"job {line}",
    }  # fmt: skip
    return line, Reevaluation(**(told | different)), PackIdentity("gas_range", "1.0.0", "sha256:0")


def test_no_change_at_all_is_said_and_not_drawn():
    found = outline(report_page(tally([quiet(line, status="same") for line in range(1, 41)]), ABOUT))
    assert "Nothing changes: all 40 jobs that have an earlier answer would be answered as before." in found.text("")
    assert "In every job the fault that led before still leads." in found.text()
    assert "every job is the very same computation as before" in found.text()
    assert "No reading is judged otherwise than before." in found.text()
    assert "None: no hazard" in found.text("Jobs to look at first")
    assert "By fault" not in found.sections
    assert "By meter" not in found.sections
    assert len(figures(found)) == 1


def test_one_job_has_a_page():
    change = (Change("next_step", None, None, "test:bake_igniter_current", "repair:replace"),)
    told = tally([quiet(1, status="changed", changes=change, after=Held("bake_igniter_open", 0.6), shift=0.9)])
    found = outline(report_page(told, ABOUT))
    assert "The one job with an earlier answer would be answered otherwise today. In 1 the next step" in found.text("")
    assert "Advised then: test: Bake igniter current. Now: repair: Replace the part." in found.text()
    assert len(figures(found)) == 2


def test_jobs_without_an_earlier_answer_have_a_page():
    found = outline(report_page(tally([quiet(1, status="new", before=None, shift=None)]), ABOUT))
    assert "1 job had no earlier answer: there is nothing to compare yet." in found.text("")
    assert found.text().count("No stored job had an earlier answer to compare with.") == 3
    assert figures(found) == []


def test_an_empty_stream_and_one_of_refused_lines_have_a_page():
    for refused in (0, 2):
        found = outline(report_page(tally([], refused)))
        assert "No stored job was answered." in found.text("")
        assert list(found.sections) == ["", "What was asked"]
        assert ("2 jobs could not be answered (invalid case 2)" in found.text("")) == (refused == 2)


def test_everything_changed_has_a_page(results):
    found = outline(report_page(tally(drawn(300, 3, change_rate=1e9)), ABOUT))
    assert re.search(r"300 of 300 jobs .* \(100 %\)", found.text(""))
    assert len(figures(found)) == 4


def many_faults(count=400):
    """Jobs of a family with hundreds of faults, each of which leads once and led once."""
    for line in range(count):
        change = (Change("leading_fault", None, None, f"fault_{line}", f"fault_{(line * 7 + 1) % count}"),)
        yield quiet(line + 1, status="changed", changes=change, before=Held(f"fault_{line}", 0.8),
                    after=Held(f"fault_{(line * 7 + 1) % count}", 0.7), shift=0.8)  # fmt: skip


def test_hundreds_of_faults_with_long_titles_are_put_together():
    titles = {f"fault_{i}": f"Fault {i} with a title that is very long " * 5 for i in range(400)}
    page = report_page(tally(many_faults()), About(titles={"gas_range": titles}))
    found = outline(page)
    assert "387 faults with fewer such jobs are put together." in found.text()
    assert "Other faults together" in found.text()
    assert "180 more" in found.text("By fault")
    assert "200 more with less are not shown." in found.text("By fault")
    assert len(page) < 400_000


def test_many_changes_and_many_meters_are_folded_and_bounded():
    corrections = tuple(MeterCorrection(f"meter {i}", "current", Correction(1.01)) for i in range(300))
    jobs = [quiet(i, corrected=(CorrectedReading(0, "t", f"meter {i}", 1.0, 1.01, "A"),)) for i in range(3000)]
    page = report_page(tally(jobs), About(Changes(corrections)))
    found = outline(page)
    assert "288 more" in found.text("What was asked")
    assert "Further meters together: 1,000 corrected readings." in found.text("By meter")
    assert len(page) < 200_000
