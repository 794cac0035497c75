"""Diagnoses, readings, problems and listings as text for a technician."""

from __future__ import annotations

from collections.abc import Sequence

from probewright.render.text import (
    Document,
    bullets,
    clean,
    cost_of,
    headline,
    minutes_of,
    paragraph,
    percent,
    plain,
    section,
    step_lines,
)

_BAR = 20
_UNDER_FAULT = " " * 10
#: A person reads the likeliest few; ``--json`` has the rest.
_MOST_FAULTS, _LEAST_PROBABILITY = 6, 0.01
_MOST_EVIDENCE = 6
_MOST_ALTERNATIVES = 3
_LEAST_PART = 0.05
#: A fault under this chance whose odds the evidence as a whole moved by less than a factor of two is a bystander.
_BYSTANDER, _LITTLE_MOVED = 0.05, 3.0
_LEAST_BYSTANDER = 0.02
_BASES = {
    "tech_sheet": "the maker's technical sheet",
    "shop": "the shop's own figures",
    "published": "published figures",
    "derived": "computed from its sources",
    "common_practice": "common practice",
    "from_memory": "unsourced figures",
    "invented": "invented figures",
}
#: From how many decibans, either way, evidence is called what; steps of half a decade in the odds.
_STRENGTHS = ((20.0, "decisively"), (15.0, "very strongly"), (10.0, "strongly"), (5.0, "clearly"), (1.5, "slightly"))
_LEAST_TELLING = _STRENGTHS[-1][0]
_VERDICTS = {"within": "OK", "outside": "OUTSIDE", "inconclusive": "UNDECIDED", "rejected": "REJECTED"}


def render_diagnosis(answer: Document) -> str:
    """A diagnosis: readings, faults with their reasons, the next step; a hazard comes before everything else."""
    step = ["", "NEXT STEP", *step_lines(answer["next"])] if "next" in answer else []
    hazard = "next" in answer and answer["next"]["kind"] in ("stop", "refer")
    said = (*answer["next"]["steps"], *answer["next"]["cautions"]) if "next" in answer else ()
    lines = [headline("Diagnosis", answer), *(step if hazard else [])]
    lines += _readings(answer["readings"])
    lines += _faults(answer)
    lines += section("BUILDS LEFT OPEN", _builds(answer["configurations"]))
    lines += [] if hazard else step
    lines += section("OTHERWISE", _otherwise(answer["alternatives"]))
    lines += section("PARTS THE JOB MAY NEED", _parts(answer["parts"]))
    lines += section("BEFORE LEAVING", [_check(c) for c in answer["closing_checks"] if c["text"] not in said])
    lines += section("ALWAYS MIND", [text for text in answer["cautions"] if text not in said], mark="!")
    return _end(lines, answer)


def render_readings(answer: Document) -> str:
    """Checked readings."""
    return _end([headline("Readings", answer), *_readings(answer["readings"])], answer)


def render_problem(problem: Document) -> str:
    """Why there is no answer."""
    lines = [f"{problem['title']} [{problem['code']}]"]
    if problem["errors"]:
        lines += bullets(f"{e['pointer'] or 'the whole body'}: {e['message']}" for e in problem["errors"])
    else:
        lines += paragraph(problem["detail"], "  ")
    return clean(lines)


def render_families(answer: Document) -> str:
    """The families that cases may be about."""
    width = max((len(f["id"]) for f in answer["families"]), default=0)
    return clean(
        f"{f['id']:<{width}}  {f['title']}, version {f['version']}{' (demonstration: invented figures)' * f['demo']}"
        f"{_under(f.get('layers', ()))}"
        for f in answer["families"]
    )


def render_packs(answer: Document) -> str:
    """What was loaded and what was refused."""
    lines = [
        f"loaded   {p['family']} {p['family_version']}, entry point {p['entry_point']} of {p['distribution']} "
        f"{p['version']}, {p['digest']}"
        for p in answer["loaded"]
    ]
    for layer in answer.get("layers", ()):
        lines.append(f"laid     {layer['layer']} over {', '.join(layer['families'])}, from {_origin(layer)}")
    for pack in answer["refused"]:
        lines.append(f"refused  entry point {pack['entry_point']} of {pack['distribution']} {pack['version']}")
        lines += paragraph(pack["reason"], " " * 9)
    return clean(lines)


def _under(layers: Sequence[Document]) -> str:
    """The layers over a family."""
    return f", under {', '.join(layer['layer'] for layer in layers)}" if layers else ""


def _origin(layer: Document) -> str:
    if layer["from"] == "shop_file":
        return "a shop file"
    return f"entry point {layer['entry_point']} of {layer['distribution']} {layer['version']}"


def _end(lines: Sequence[str], answer: Document) -> str:
    assumed = [*answer["assumptions"], *(text for reading in answer["readings"] for text in reading["assumed"])]
    return clean([*lines, *section("ASSUMED", list(dict.fromkeys(assumed))), "", *paragraph(answer["notice"], "")])


def _readings(readings: Sequence[Document]) -> list[str]:
    lines = ["", "READINGS"]
    for reading in readings:
        told = f"{plain(reading['test'])}: {_value(reading)}{_chance(reading)}"
        lines.append(f"  {_VERDICTS[reading['verdict']]:<10} {told}")
        if "expected" in reading:
            lines += paragraph(_expected(reading["expected"]), " " * 13)
        for finding in reading["findings"]:
            remedy = f" {finding['remedy']}" if "remedy" in finding else ""
            lines += paragraph(f"{finding['severity']}: {finding['message']}{remedy}", " " * 13)
    return lines if readings else [*lines, "  none"]


def _value(reading: Document) -> str:
    if reading["over_range"]:
        return "over range (OL)"
    if reading["under_range"]:
        return "under range"
    if "seen" in reading:
        return plain(reading["seen"])
    if "value" not in reading:
        return "no usable value"
    spread = f" ± {reading['standard_uncertainty']:.2g}" if reading.get("standard_uncertainty") else ""
    return f"{_short(reading['value'])}{spread} {reading.get('unit', '')}".rstrip()


def _chance(reading: Document) -> str:
    if "probability_within" not in reading or reading["verdict"] != "inconclusive":
        return ""
    return f", sound with a chance of {percent(reading['probability_within']).strip()}"


def _expected(expected: Document) -> str:
    unit = f" {expected['unit']}" if "unit" in expected else ""
    low, high = expected.get("low"), expected.get("high")
    if "seen" in expected:
        band = " or ".join(map(plain, expected["seen"]))
    elif low is not None and high is not None:
        band = f"{_short(low)} to {_short(high)}{unit}"
    elif low is not None:
        band = f"at least {_short(low)}{unit}"
    else:
        band = f"at most {_short(high)}{unit}" if high is not None else "not known"
    basis = _BASES.get(expected["basis"], expected["basis"])
    source = f": {expected['source']}" if "source" in expected else ""
    conditions = expected["conditions"].items()
    used = [f"{plain(name)} {_short(c['value'])} {c['unit']} ({plain(c['from'])})" for name, c in conditions]
    at = f" at {', '.join(used)}" if used else ""
    return f"sound: {band}{at} [{basis}{source}]"


def _faults(answer: Document) -> list[str]:
    faults = answer["faults"]
    shown = [fault for fault in faults if _is_worth_a_line(fault)][:_MOST_FAULTS]
    lines = ["", "WHAT IS WRONG"]
    for fault in shown:
        lines.append(f"  {_bar(fault['probability'])} {fault['title']}")
        lines += [line for text in _reasons(fault) for line in paragraph(text, _UNDER_FAULT)]
    if len(faults) > len(shown):
        most = max(fault["probability"] for fault in faults if fault not in shown)
        lines.append(f"{_UNDER_FAULT}and {len(faults) - len(shown)} slight ones, none above {percent(most).strip()}")
    lines.append(f"  {_bar(answer['no_fault'])} nothing is wrong")
    lines.append(f"  {_bar(answer['unexplained'])} something that this pack does not know")
    if sum(fault["probability"] for fault in faults) + answer["no_fault"] + answer["unexplained"] > 1.005:
        lines.append("  Several faults can be there at a time, so the chances may add up to more than 100 %.")
    for clash in answer["clashes"]:
        lines += paragraph(f"Clash of {', '.join(map(plain, clash['sources']))}: {clash['message']}", "  ! ")
    return lines


def _is_worth_a_line(fault: Document) -> bool:
    return bool(fault["probability"] >= (_LEAST_BYSTANDER if _is_bystander(fault) else _LEAST_PROBABILITY))


def _is_bystander(fault: Document) -> bool:
    """Whether a fault is unlikely, and about as likely as it was before the evidence."""
    moved = sum(evidence["decibans"] for evidence in fault["evidence"])
    return bool(fault["probability"] < _BYSTANDER and abs(moved) < _LITTLE_MOVED)


def _reasons(fault: Document) -> list[str]:
    """What the evidence did to a fault, the most telling first."""
    if _is_bystander(fault):
        return ["about as likely as on any call"]
    order = sorted(fault["evidence"], key=lambda evidence: -abs(evidence["decibans"]))
    telling = [evidence for evidence in order if abs(evidence["decibans"]) >= _LEAST_TELLING]
    little = ", ".join(plain(evidence["from"]) for evidence in order[len(telling) :])
    more = len(telling) - _MOST_EVIDENCE
    said = [*map(_evidence, telling[:_MOST_EVIDENCE]), f"and {more} more, each less telling" if more > 0 else ""]
    return [text for text in (*said, f"adds little more: {little}" if little else "") if text]


def _evidence(evidence: Document) -> str:
    decibans = evidence["decibans"]
    strength = next(word for least, word in _STRENGTHS if abs(decibans) >= least)
    side, sign = ("for", "x") if decibans >= 0 else ("against", "/")
    factor = 10.0 ** (abs(decibans) / 10) if abs(decibans) < 30 else 1000.0
    odds = "over 1000" if factor >= 1000 else f"{factor:.0f}" if factor >= 10 else f"{factor:.2g}"
    return f"{strength} {side} it: {plain(evidence['from'])} (odds {sign} {odds})"


def _builds(configurations: Sequence[Document]) -> list[str]:
    """Each option that the builds do not share, with the shares of its values."""
    total = sum(build["probability"] for build in configurations)
    options = dict.fromkeys(option for build in configurations for option in build["options"])
    said = []
    for option in options:
        shares: dict[str, float] = {}
        for build in configurations:
            value = build["options"].get(option, "does not apply")
            shares[value] = shares.get(value, 0.0) + build["probability"] / total
        if len(shares) > 1:
            order = sorted(shares, key=lambda value: -shares[value])
            values = ", ".join(f"{plain(value)} {100 * shares[value]:.0f} %" for value in order)
            said.append(f"{plain(option)}: {values}")
    return said


def _otherwise(alternatives: Sequence[Document]) -> list[str]:
    more = len(alternatives) - _MOST_ALTERNATIVES
    return [*map(_in_short, alternatives[:_MOST_ALTERNATIVES]), *([f"and {more} more"] if more > 0 else [])]


def _parts(parts: Sequence[Document]) -> list[str]:
    likely = [part for part in parts if part["probability"] >= _LEAST_PART]
    return [f"{percent(part['probability']).strip()} {part['title']}" for part in likely]


def _check(check: Document) -> str:
    """A closing check; one that was shown, or failed, says so first."""
    return {"passed": "passed: ", "failed": "FAILED: "}.get(check.get("status", ""), "") + str(check["text"])


def _in_short(step: Document) -> str:
    minutes = f", {minutes_of(step)}" if "minutes" in step else ""
    cost = f", expected cost {cost_of(step)}" if "expected_cost" in step else ""
    return f"{step['kind']}: {step['title']} [{step['id']}]{minutes}{cost}"


def _bar(probability: float) -> str:
    filled = round(probability * _BAR)
    return f"{percent(probability)} {'#' * filled}{'.' * (_BAR - filled)}"


def _short(number: float) -> str:
    """Four significant digits, without an exponent where it can be read without."""
    return f"{number:.4g}" if not 1e4 <= abs(number) < 1e7 else f"{number:.0f}"
