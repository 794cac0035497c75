"""Answers as text for a technician.

Every function takes a JSON document as the service gives it and returns lines joined by newlines, so that a program
that asks over HTTP can print the same.  May import: nothing of ours.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from textwrap import wrap
from typing import Any

Document = Mapping[str, Any]

WIDTH = 100
_BAR = 20
#: A person reads the likeliest few; ``--json`` has the rest.
_MOST_FAULTS, _LEAST_PROBABILITY = 6, 0.01
_MOST_EVIDENCE, _LEAST_DECIBANS = 6, 0.5
_MOST_BUILDS = 4
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
_STRENGTHS = ((20.0, "decisively"), (15.0, "very strongly"), (10.0, "strongly"), (5.0, "clearly"), (0.0, "slightly"))
_VERDICTS = {"within": "OK", "outside": "OUTSIDE", "inconclusive": "UNDECIDED", "rejected": "REJECTED"}


def render_diagnosis(answer: Document) -> str:
    """A diagnosis: readings, faults with their reasons, the next step; a hazard comes before everything else."""
    step = ["", "NEXT STEP", *_step(answer["next"])] if "next" in answer else []
    hazard = "next" in answer and answer["next"]["kind"] in ("stop", "refer")
    lines = [_headline("Diagnosis", answer), *(step if hazard else [])]
    lines += _readings(answer["readings"])
    lines += _faults(answer)
    lines += _builds(answer["configurations"])
    lines += [] if hazard else step
    lines += _section("OTHERWISE", [_in_short(alternative) for alternative in answer["alternatives"]])
    parts = [f"{_percent(p['probability']).strip()} {p['title']} [{p['part']}]" for p in answer["parts"]]
    lines += _section("PARTS THE JOB MAY NEED", parts)
    lines += _section("BEFORE LEAVING", [check["text"] for check in answer["closing_checks"]])
    said = answer["next"]["cautions"] if "next" in answer else []
    lines += _section("ALWAYS MIND", [text for text in answer["cautions"] if text not in said], mark="!")
    return _end(lines, answer)


def render_readings(answer: Document) -> str:
    """Checked readings."""
    return _end([_headline("Readings", answer), *_readings(answer["readings"])], answer)


def render_problem(problem: Document) -> str:
    """Why there is no answer."""
    lines = [f"{problem['title']} [{problem['code']}]"]
    if problem["errors"]:
        lines += _bullets(f"{e['pointer'] or 'the whole body'}: {e['message']}" for e in problem["errors"])
    else:
        lines += _paragraph(problem["detail"], "  ")
    return _clean(lines)


def render_families(answer: Document) -> str:
    """The families that cases may be about."""
    width = max((len(f["id"]) for f in answer["families"]), default=0)
    return _clean(
        f"{f['id']:<{width}}  {f['title']}, version {f['version']}{' (demonstration: invented figures)' * f['demo']}"
        for f in answer["families"]
    )


def render_packs(answer: Document) -> str:
    """What was loaded and what was refused."""
    lines = [
        f"loaded   {p['family']} {p['family_version']}, entry point {p['entry_point']} of {p['distribution']} "
        f"{p['version']}, {p['digest']}"
        for p in answer["loaded"]
    ]
    for pack in answer["refused"]:
        lines.append(f"refused  entry point {pack['entry_point']} of {pack['distribution']} {pack['version']}")
        lines += _paragraph(pack["reason"], " " * 9)
    return _clean(lines)


def _headline(what: str, answer: Document) -> str:
    pack = answer["pack"]
    job = f" for {answer['reference']}" if "reference" in answer else ""
    return f"{what}{job}, by {pack['family']} {pack['version']} ({pack['digest'][:19]})"


def _end(lines: Sequence[str], answer: Document) -> str:
    assumed = [*answer["assumptions"], *(text for reading in answer["readings"] for text in reading["assumed"])]
    return _clean([*lines, *_section("ASSUMED", list(dict.fromkeys(assumed))), "", *_paragraph(answer["notice"], "")])


def _readings(readings: Sequence[Document]) -> list[str]:
    lines = ["", "READINGS"]
    for reading in readings:
        lines.append(f"  {_VERDICTS[reading['verdict']]:<10} {reading['test']}: {_value(reading)}{_chance(reading)}")
        if "expected" in reading:
            lines += _paragraph(_expected(reading["expected"]), " " * 13)
        for finding in reading["findings"]:
            remedy = f" {finding['remedy']}" if "remedy" in finding else ""
            lines += _paragraph(f"{finding['severity']}: {finding['message']}{remedy}", " " * 13)
    return lines if readings else [*lines, "  none"]


def _value(reading: Document) -> str:
    if reading["over_range"]:
        return "over range (OL)"
    if reading["under_range"]:
        return "under range"
    if "seen" in reading:
        return str(reading["seen"])
    if "value" not in reading:
        return "no usable value"
    spread = f" ± {reading['standard_uncertainty']:.2g}" if reading.get("standard_uncertainty") else ""
    return f"{_short(reading['value'])}{spread} {reading.get('unit', '')}".rstrip()


def _chance(reading: Document) -> str:
    if "probability_within" not in reading or reading["verdict"] == "rejected":
        return ""
    return f", within with a probability of {_percent(reading['probability_within']).strip()}"


def _expected(expected: Document) -> str:
    unit = f" {expected['unit']}" if "unit" in expected else ""
    low, high = expected.get("low"), expected.get("high")
    if "seen" in expected:
        band = " or ".join(expected["seen"])
    elif low is not None and high is not None:
        band = f"{_short(low)} to {_short(high)}{unit}"
    elif low is not None:
        band = f"at least {_short(low)}{unit}"
    else:
        band = f"at most {_short(high)}{unit}" if high is not None else "not known"
    basis = _BASES.get(expected["basis"], expected["basis"])
    source = f": {expected['source']}" if "source" in expected else ""
    used = [f"{name} {_short(c['value'])} {c['unit']} ({c['from']})" for name, c in expected["conditions"].items()]
    at = f" at {', '.join(used)}" if used else ""
    return f"a sound one: {band}{at} [{basis}{source}]"


def _faults(answer: Document) -> list[str]:
    lines = ["", "WHAT IS WRONG"]
    shown = [f for f in answer["faults"][:_MOST_FAULTS] if f["probability"] >= _LEAST_PROBABILITY]
    for fault in shown:
        lines.append(f"  {_bar(fault['probability'])} {fault['title']} [{fault['fault']}]")
        telling = [e for e in fault["evidence"] if abs(e["decibans"]) >= _LEAST_DECIBANS]
        lines += [f"{'':{_BAR + 11}}{_evidence(e)}" for e in telling[:_MOST_EVIDENCE]]
    rest = answer["faults"][len(shown) :]
    if rest:
        lines.append(f"{'':{_BAR + 11}}and {len(rest)} more, none above {_percent(rest[0]['probability']).strip()}")
    lines.append(f"  {_bar(answer['no_fault'])} nothing is wrong")
    lines.append(f"  {_bar(answer['unexplained'])} something that this pack does not know")
    for clash in answer["clashes"]:
        lines += _paragraph(f"Clash of {', '.join(clash['sources'])}: {clash['message']}", "  ! ")
    return lines


def _evidence(evidence: Document) -> str:
    decibans = evidence["decibans"]
    strength = next(word for least, word in _STRENGTHS if abs(decibans) >= least)
    side = "for" if decibans >= 0 else "against"
    factor = 10.0 ** (min(abs(decibans), 300.0) / 10)
    odds = f"odds {'x' if decibans >= 0 else '/'} {factor:.3g}"
    source = evidence["from"].replace(":", " ")
    return f"{source} speaks {strength} {side} it ({decibans:+.1f} decibans, {odds})"


def _builds(configurations: Sequence[Document]) -> list[str]:
    """The likeliest builds, each by the options that not all of them share."""
    shared = set.intersection(*(set(c["options"].items()) for c in configurations)) if configurations else set()
    said = []
    for build in configurations[:_MOST_BUILDS]:
        options = ", ".join(f"{o} {v}" for o, v in build["options"].items() if (o, v) not in shared)
        said.append(f"{_percent(build['probability']).strip()} {options or 'the only one likely'}")
    if len(configurations) > _MOST_BUILDS:
        said.append(f"and {len(configurations) - _MOST_BUILDS} less likely")
    return _section("BUILDS LEFT OPEN", said)


def _step(step: Document) -> list[str]:
    kind = {"stop": "STOP: ", "refer": "REFER: ", "repair": "Repair: ", "test": "Test: ", "done": "Done: "}
    lines = _paragraph(f"{kind[step['kind']]}{step['title']} [{step['id']}]", "  ")
    where = [f"{name} {step[name]}" for name in ("state", "zone") if name in step]
    if "minutes" in step:
        where.append(f"about {_short(step['minutes'])} min")
    if "expected_cost" in step:
        where.append(f"expected cost to a proven repair {_short(step['expected_cost'])}")
    lines += _paragraph(", ".join(where), "  ") if where else []
    lines += _paragraph(step["why"], "  ")
    for number, text in enumerate(step["steps"], start=1):
        lines += _paragraph(text, f"  {number:>2}. ")
    return lines + [line for text in step["cautions"] for line in _paragraph(text, "   ! ")]


def _in_short(step: Document) -> str:
    minutes = f", about {_short(step['minutes'])} min" if "minutes" in step else ""
    cost = f", expected cost {_short(step['expected_cost'])}" if "expected_cost" in step else ""
    return f"{step['kind']}: {step['title']} [{step['id']}]{minutes}{cost}"


def _section(title: str, texts: Sequence[str], mark: str = "-") -> list[str]:
    return ["", title, *_bullets(texts, mark)] if texts else []


def _bullets(texts: Iterable[str], mark: str = "-") -> list[str]:
    return [line for text in texts for line in _paragraph(text, f"  {mark} ")]


def _paragraph(text: str, lead: str) -> list[str]:
    """Wrapped lines, the first after ``lead``, the others under its end."""
    return wrap(" ".join(text.split()), WIDTH, initial_indent=lead, subsequent_indent=" " * len(lead)) or [lead]


def _bar(probability: float) -> str:
    filled = round(probability * _BAR)
    return f"{_percent(probability)} {'#' * filled}{'.' * (_BAR - filled)}"


def _percent(probability: float) -> str:
    """Seven characters that never round to certainty."""
    if 0 < probability < 0.001:
        return "<0.1 % "
    if 0.999 < probability < 1:
        return ">99.9 %"
    return f"{100 * probability:5.1f} %"


def _short(number: float) -> str:
    """Four significant digits, without an exponent where it can be read without."""
    return f"{number:.4g}" if not 1e4 <= abs(number) < 1e7 else f"{number:.0f}"


def _clean(lines: Iterable[str]) -> str:
    """Join lines; nothing that came in with a request reaches a terminal as a control character."""
    return "\n".join("".join(c if c.isprintable() else "?" for c in line) for line in lines)
