from __future__ import annotations

import copy

import pytest

from probewright import render

PACK = {"family": "gas_range", "version": "1.0.0", "digest": "sha256:0123456789abcdef"}
READING = {
    "test": "bake_igniter_current", "verdict": "outside", "value": 2.6, "unit": "A", "over_range": False,
    "under_range": False, "standard_uncertainty": 0.0591, "probability_within": 0.0001, "assumed": ["leads of 0.3 ohm"],
    "findings": [{"code": "x", "severity": "doubt", "message": "Odd.", "remedy": "Look again."}],
    "expected": {"basis": "tech_sheet", "unit": "A", "low": 3.2, "high": 3.6, "source": "sheet 7",
                 "conditions": {"supply_voltage": {"value": 121, "unit": "V", "from": "case"}}},
}  # fmt: skip
STEP = {"kind": "test", "id": "bake_valve_resistance", "title": "Resistance of the valve", "why": "It splits them.",
        "state": "isolated", "zone": "rear_panel", "minutes": 6.0, "expected_cost": 96.5,
        "steps": ["Unplug it.", "Measure."], "cautions": ["Prove it dead."]}  # fmt: skip
ANSWER = {
    "reference": "job-7", "pack": PACK, "readings": [READING],
    "faults": [{"fault": "weak", "title": "Igniter weak", "probability": 0.93, "part": "igniter", "evidence": [
        {"from": "bake_igniter_current", "decibans": 14.2}, {"from": "complaint:x", "decibans": -3.1},
        {"from": "tiny", "decibans": 0.1}]}],
    "unexplained": 0.0004, "no_fault": 0.0, "configurations": [], "clashes": [], "next": STEP,
    "alternatives": [{**STEP, "kind": "repair", "id": "replace", "title": "Replace it"}],
    "parts": [{"part": "igniter", "title": "Igniter", "probability": 0.93}],
    "closing_checks": [{"id": "c", "text": "It lights."}], "cautions": ["Prove it dead.", "Mind codes."],
    "assumptions": ["supply 120 V", "leads of 0.3 ohm"], "notice": "Local codes come first.",
}  # fmt: skip


@pytest.fixture
def answer():
    return copy.deepcopy(ANSWER)


def test_a_diagnosis_reads_as_this(answer):
    assert render.render_diagnosis(answer) == """\
Diagnosis for job-7, by gas_range 1.0.0 (sha256:0123456789ab)

READINGS
  OUTSIDE    bake_igniter_current: 2.6 ± 0.059 A, within with a probability of <0.1 %
             a sound one: 3.2 to 3.6 A at supply_voltage 121 V (case) [the maker's technical sheet:
             sheet 7]
             doubt: Odd. Look again.

WHAT IS WRONG
   93.0 % ###################. Igniter weak [weak]
                               bake_igniter_current speaks strongly for it (+14.2 decibans, odds x 26.3)
                               complaint x speaks slightly against it (-3.1 decibans, odds / 2.04)
    0.0 % .................... nothing is wrong
  <0.1 %  .................... something that this pack does not know

NEXT STEP
  Test: Resistance of the valve [bake_valve_resistance]
  state isolated, zone rear_panel, about 6 min, expected cost to a proven repair 96.5
  It splits them.
   1. Unplug it.
   2. Measure.
   ! Prove it dead.

OTHERWISE
  - repair: Replace it [replace], about 6 min, expected cost 96.5

PARTS THE JOB MAY NEED
  - 93.0 % Igniter [igniter]

BEFORE LEAVING
  - It lights.

ALWAYS MIND
  ! Mind codes.

ASSUMED
  - supply 120 V
  - leads of 0.3 ohm

Local codes come first."""


@pytest.mark.parametrize(("kind", "word"), [("stop", "STOP: "), ("refer", "REFER: ")])
def test_a_hazard_comes_before_everything(answer, kind, word):
    answer["next"] = {**STEP, "kind": kind}
    text = render.render_diagnosis(answer)
    assert text.index(word) < text.index("READINGS")
    assert text.count("NEXT STEP") == 1


def test_a_bare_answer_is_short(answer):
    for name in ("faults", "readings", "alternatives", "parts", "closing_checks", "cautions", "assumptions"):
        answer[name] = []
    del answer["next"], answer["reference"]
    assert render.render_diagnosis(answer) == """\
Diagnosis, by gas_range 1.0.0 (sha256:0123456789ab)

READINGS
  none

WHAT IS WRONG
    0.0 % .................... nothing is wrong
  <0.1 %  .................... something that this pack does not know

Local codes come first."""


def test_readings_alone(answer):
    text = render.render_readings(answer)
    assert text.startswith("Readings for job-7")
    assert "OUTSIDE" in text
    assert "WHAT IS WRONG" not in text
    assert text.endswith("Local codes come first.")


def bare(**changes):
    flags = {"over_range": False, "under_range": False}
    return {"test": "t", "verdict": "within", "assumed": [], "findings": []} | flags | changes


@pytest.mark.parametrize(
    ("reading", "said"),
    [
        (bare(over_range=True), "OK         t: over range (OL)"),
        (bare(under_range=True), "OK         t: under range"),
        (bare(seen="white"), "OK         t: white"),
        (bare(), "OK         t: no usable value"),
        (bare(value=1.0), "OK         t: 1"),
        (bare(value=12345678.0, unit="ohm"), "OK         t: 1.235e+07 ohm"),
        (bare(value=123456.0, unit="ohm"), "OK         t: 123456 ohm"),
        (bare(value=0.00012, unit="A"), "OK         t: 0.00012 A"),
        (bare(verdict="inconclusive", value=1.0, probability_within=0.5), "UNDECIDED  t: 1, within with a prob"),
        (bare(verdict="rejected", value=1.0, probability_within=0.5), "REJECTED   t: 1\n"),
        (bare(value=1.0, probability_within=0.99999), "probability of >99.9 %"),
    ],
)
def test_what_a_reading_shows(answer, reading, said):
    answer["readings"] = [reading]
    assert said in render.render_readings(answer)


@pytest.mark.parametrize(
    ("expected", "said"),
    [
        ({"low": 1e6, "unit": "ohm"}, "a sound one: at least 1000000 ohm [unsourced figures]"),
        ({"high": 3.0, "unit": "V"}, "a sound one: at most 3 V [unsourced figures]"),
        ({"seen": ["white", "yellow"]}, "a sound one: white or yellow [unsourced figures]"),
        ({}, "a sound one: not known [unsourced figures]"),
        ({"high": 3.0, "basis": "model"}, "a sound one: at most 3 [model]"),
    ],
)
def test_what_is_expected(answer, expected, said):
    answer["readings"] = [bare(expected={"basis": "from_memory", "conditions": {}, **expected})]
    assert said in render.render_readings(answer)


def test_only_the_likeliest_faults_are_printed(answer):
    fault = answer["faults"][0]
    answer["faults"] = [{**fault, "fault": f"f{i}", "probability": 0.5 / 2**i, "evidence": []} for i in range(10)]
    text = render.render_diagnosis(answer)
    assert "[f5]" in text
    assert "[f6]" not in text
    assert "and 4 more, none above 0.8 %" in text


def test_clashes_are_told(answer):
    answer["clashes"] = [{"sources": ["a", "b"], "message": "No fault explains both."}]
    assert "  ! Clash of a, b: No fault explains both." in render.render_diagnosis(answer)


def test_builds_are_told_apart(answer):
    builds = [{"options": {"fuel": "propane", "style": str(i)}, "probability": 0.1} for i in range(6)]
    answer["configurations"] = builds
    text = render.render_diagnosis(answer)
    assert "  - 10.0 % style 0\n" in text
    assert "and 2 less likely" in text
    assert "fuel" not in text
    answer["configurations"] = builds[:1]
    assert "  - 10.0 % the only one likely" in render.render_diagnosis(answer)


@pytest.mark.parametrize(
    ("decibans", "said"),
    [
        (25.0, "speaks decisively for it (+25.0 decibans, odds x 316)"),
        (16.0, "speaks very strongly for it (+16.0 decibans, odds x 39.8)"),
        (-12.0, "speaks strongly against it (-12.0 decibans, odds / 15.8)"),
        (-7.0, "speaks clearly against it (-7.0 decibans, odds / 5.01)"),
        (0.6, "speaks slightly for it (+0.6 decibans, odds x 1.15)"),
        (-9999.0, "speaks decisively against it (-9999.0 decibans, odds / 1e+30)"),
    ],
)
def test_evidence_in_words(answer, decibans, said):
    answer["faults"][0]["evidence"] = [{"from": "t", "decibans": decibans}]
    assert said in render.render_diagnosis(answer)


def test_a_problem():
    problem = {"title": "The case breaks the contract", "code": "invalid_case", "detail": "2 faults",
               "errors": [{"pointer": "/family", "message": "is required", "code": "missing"},
                          {"pointer": "", "message": "too deep", "code": "too_deep"}]}  # fmt: skip
    assert render.render_problem(problem) == (
        "The case breaks the contract [invalid_case]\n  - /family: is required\n  - the whole body: too deep"
    )
    problem["errors"] = []
    assert render.render_problem(problem) == "The case breaks the contract [invalid_case]\n  2 faults"


def test_listings():
    families = {"families": [{"id": "a", "title": "A", "version": "1", "demo": False},
                             {"id": "bcd", "title": "B", "version": "2", "demo": True}]}  # fmt: skip
    assert render.render_families(families) == (
        "a    A, version 1\nbcd  B, version 2 (demonstration: invented figures)"
    )
    assert render.render_families({"families": []}) == ""


def test_nothing_reaches_a_terminal_as_a_control_character(answer):
    answer["reference"] = "a\x1b[2Jb"
    text = render.render_diagnosis(answer)
    assert "a?[2Jb" in text
    assert all(line.isprintable() for line in text.split("\n"))


def test_lines_are_not_wider_than_a_terminal_but_for_names(answer):
    answer["notice"] = "word " * 100
    assert all(len(line) <= render.WIDTH for line in render.render_diagnosis(answer).split("\n") if "word" in line)
