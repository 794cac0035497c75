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
        "first_visit": 0.87, "steps": ["Unplug it.", "Measure."], "cautions": ["Prove it dead."],
        "outcomes": [{"outcome": "OL", "text": "OL: replace the valve.", "probability": 0.7,
                      "leads_to": {"kind": "repair", "id": "replace", "title": "Replace the valve"}}]}  # fmt: skip
ANSWER = {
    "reference": "job-7", "pack": PACK, "readings": [READING],
    "faults": [{"fault": "weak", "title": "Igniter weak", "probability": 0.93, "part": "igniter", "evidence": [
        {"from": "bake_igniter_current", "decibans": 14.2}, {"from": "complaint:it_stays_dark", "decibans": -3.1},
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
Diagnosis for job-7, by gas range 1.0.0 (sha256:0123456789ab)

READINGS
  OUTSIDE    bake igniter current: 2.6 ± 0.059 A
             sound: 3.2 to 3.6 A at supply voltage 121 V (case) [the maker's technical sheet: sheet
             7]
             doubt: Odd. Look again.

WHAT IS WRONG
   93.0 % ###################. Igniter weak
          strongly for it: bake igniter current (odds x 26)
          slightly against it: complaint it stays dark (odds / 2)
          adds little more: tiny
  <0.1 %  .................... nothing is wrong
  <0.1 %  .................... something that this pack does not know

NEXT STEP
  Test: Resistance of the valve [bake_valve_resistance]
  state isolated, zone rear panel, about 6 min, expected cost to a proven repair 96, ends at this
  visit in 87.0 %
  It splits them.
   1. Unplug it.
   2. Measure.
   ! Prove it dead.
   > OL: replace the valve. (70.0 %)

OTHERWISE
  - repair: Replace it [replace], about 6 min, expected cost 96

PARTS THE JOB MAY NEED
  - 93.0 % Igniter

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
Diagnosis, by gas range 1.0.0 (sha256:0123456789ab)

READINGS
  none

WHAT IS WRONG
  <0.1 %  .................... nothing is wrong
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
        (bare(test="a_b", seen="dim_orange"), "OK         a b: dim orange\n"),
        (bare(verdict="inconclusive", value=1.0, probability_within=0.5), "t: 1, sound with a chance of 50.0 %"),
        (bare(verdict="rejected", value=1.0, probability_within=0.5), "REJECTED   t: 1\n"),
        (bare(value=1.0, probability_within=0.99999), "OK         t: 1\n"),
    ],
)
def test_what_a_reading_shows(answer, reading, said):
    answer["readings"] = [reading]
    assert said in render.render_readings(answer)


@pytest.mark.parametrize(
    ("expected", "said"),
    [
        ({"low": 1e6, "unit": "ohm"}, "sound: at least 1000000 ohm [unsourced figures]"),
        ({"high": 3.0, "unit": "V"}, "sound: at most 3 V [unsourced figures]"),
        ({"seen": ["bright_white", "yellow"]}, "sound: bright white or yellow [unsourced figures]"),
        ({}, "sound: not known [unsourced figures]"),
        ({"high": 3.0, "basis": "model"}, "sound: at most 3 [model]"),
    ],
)
def test_what_is_expected(answer, expected, said):
    answer["readings"] = [bare(expected={"basis": "from_memory", "conditions": {}, **expected})]
    assert said in render.render_readings(answer)


def fault(name, probability, *decibans):
    evidence = [{"from": f"e{i}", "decibans": d} for i, d in enumerate(decibans)]
    return {"fault": name, "title": name.upper(), "probability": probability, "evidence": evidence}


def test_only_the_likeliest_faults_are_printed(answer):
    answer["faults"] = [fault(f"f{i}", 0.5 / 2**i, 10.0) for i in range(10)]
    text = render.render_diagnosis(answer)
    assert " F5\n" in text
    assert "F6" not in text
    assert "\n          and 4 slight ones, none above 0.8 %\n" in text


def test_bystanders_are_told_from_suspects(answer):
    """What the evidence left where it was, and what is unlikely besides, is noise."""
    answer["faults"] = [
        fault("likely", 0.9, 20.0), fault("base", 0.08, 0.6), fault("idle", 0.04, 1.0, -0.5),
        fault("torn", 0.03, 9, -8), fault("still", 0.025), fault("unsure", 0.015, 12.0), fault("faint", 0.0199, -0.6),
        fault("cleared", 0.012, -9), fault("rare", 0.009, 20.0),
    ]  # fmt: skip
    lines = render.render_diagnosis(answer).split("\n")
    named = {fault["title"] for fault in answer["faults"]}
    told = {line.split()[-1]: lines[i + 1].strip() for i, line in enumerate(lines) if {*line.split()} & named}
    as_ever = "about as likely as on any call"
    assert told == {
        "LIKELY": "decisively for it: e0 (odds x 100)", "BASE": "adds little more: e0", "IDLE": as_ever,
        "TORN": as_ever, "STILL": as_ever, "UNSURE": "strongly for it: e0 (odds x 16)",
    }  # fmt: skip
    assert "and 3 slight ones, none above 2.0 %" in "\n".join(lines)


def test_that_chances_may_add_up_to_more_is_said_once_and_only_where_they_do(answer):
    said = "Several faults can be there at a time, so the chances may add up to more than 100 %."
    assert said not in render.render_diagnosis(answer)
    answer["faults"] *= 2
    assert render.render_diagnosis(answer).count(said) == 1


def test_the_most_telling_evidence_comes_first_and_the_least_is_only_named(answer):
    answer["faults"] = [fault("f", 0.9, 1.0, 2.0, -6.0, 1.6, 3.0, 12.0, 16.0, 5.0, -0.5)]
    lines = render.render_diagnosis(answer).split("\n")
    start = next(i for i, line in enumerate(lines) if line.endswith(" F")) + 1
    assert [line.strip() for line in lines[start : start + 8]] == [
        "very strongly for it: e6 (odds x 40)", "strongly for it: e5 (odds x 16)", "clearly against it: e2 (odds / 4)",
        "clearly for it: e7 (odds x 3.2)", "slightly for it: e4 (odds x 2)", "slightly for it: e1 (odds x 1.6)",
        "and 1 more, each less telling", "adds little more: e0, e8",
    ]  # fmt: skip


def test_clashes_are_told(answer):
    answer["clashes"] = [{"sources": ["a_b", "complaint:c_d"], "message": "No fault explains both."}]
    assert "  ! Clash of a b, complaint c d: No fault explains both." in render.render_diagnosis(answer)


def test_builds_are_told_by_the_options_that_differ(answer):
    flat = {"fuel": "propane", "oven_ignition": "hot_surface", "style": "flat"}
    answer["configurations"] = [
        {"options": flat, "probability": 0.45},
        {"options": {**flat, "style": "round"}, "probability": 0.27},
        {"options": {"fuel": "propane", "oven_ignition": "spark"}, "probability": 0.18},
    ]
    text = render.render_diagnosis(answer)
    assert "\n\nBUILDS LEFT OPEN\n  - oven ignition: hot surface 80 %, spark 20 %\n" in text
    assert "  - style: flat 50 %, round 30 %, does not apply 20 %\n" in text
    assert "propane" not in text
    answer["configurations"] = answer["configurations"][:1]
    assert "BUILDS" not in render.render_diagnosis(answer)


def test_few_alternatives_and_no_unlikely_parts_are_printed(answer):
    answer["alternatives"] = [{**STEP, "id": f"s{i}"} for i in range(5)]
    answer["parts"] = [{"part": p, "title": p, "probability": c} for p, c in (("a", 0.9), ("b", 0.05), ("c", 0.049))]
    text = render.render_diagnosis(answer)
    assert "[s2]" in text
    assert "[s3]" not in text
    assert "  - and 2 more\n" in text
    assert "PARTS THE JOB MAY NEED\n  - 90.0 % a\n  - 5.0 % b\n\n" in text


def test_nothing_is_said_twice(answer):
    """As when the job is done, and its steps are the closing checks."""
    answer["next"] |= {"kind": "done", "steps": ["It lights.", "It lights."], "cautions": ["Hot.", "Hot."]}
    answer["cautions"] = ["Hot.", "Mind codes."]
    text = render.render_diagnosis(answer)
    assert (text.count("It lights."), text.count("Hot."), text.count("Mind codes.")) == (1, 1, 1)
    assert "BEFORE LEAVING" not in text


def test_closing_checks_say_what_became_of_them(answer):
    states = ("passed", "failed", "open", None)
    answer["closing_checks"] = [
        {"id": f"c{i}", "text": f"Check {i}.", **({} if status is None else {"status": status})}
        for i, status in enumerate(states)
    ]
    text = render.render_diagnosis(answer)
    section = text.split("BEFORE LEAVING\n")[1].split("\n\n")[0]
    assert section == "  - passed: Check 0.\n  - FAILED: Check 1.\n  - Check 2.\n  - Check 3."


def test_a_step_that_is_due_again_is_said_again(answer):
    answer["next"]["steps"] = ["Unplug it.", "Unplug it.", "Plug it in.", "Unplug it."]
    text = render.render_diagnosis(answer)
    assert "   1. Unplug it.\n   2. Plug it in.\n   3. Unplug it.\n" in text


@pytest.mark.parametrize(
    ("decibans", "said"),
    [
        (25.0, "decisively for it: t (odds x 316)"),
        (16.0, "very strongly for it: t (odds x 40)"),
        (-12.0, "strongly against it: t (odds / 16)"),
        (-7.0, "clearly against it: t (odds / 5)"),
        (1.5, "slightly for it: t (odds x 1.4)"),
        (1.4, "adds little more: t"),
        (-1.4, "adds little more: t"),
        (30.0, "decisively for it: t (odds x over 1000)"),
        (-9999.0, "decisively against it: t (odds / over 1000)"),
    ],
)
def test_evidence_in_words(answer, decibans, said):
    answer["faults"][0]["evidence"] = [{"from": "t", "decibans": decibans}]
    assert f"          {said}\n" in render.render_diagnosis(answer)


@pytest.mark.parametrize(
    ("probability", "said"),
    [(0.0, "<0.1 % "), (0.0009, "<0.1 % "), (0.5, " 50.0 %"), (0.9995, ">99.9 %"), (1.0, ">99.9 %")],
)
def test_nothing_is_certain(answer, probability, said):
    answer["no_fault"] = probability
    assert f"  {said} " in next(ln for ln in render.render_diagnosis(answer).split("\n") if "nothing is wrong" in ln)


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


def test_names_of_distributions_are_not_broken_at_their_hyphens(answer):
    answer["notice"] = "word " * 16 + "probewright-pack-waffle-iron"
    assert "probewright-pack-waffle-iron" in render.render_diagnosis(answer).split("\n")[-1]
