"""Assertions on answers that show, when they fail, what the service believes and why.

All take an answer of :meth:`probewright.testing.Client.diagnose`.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

Document = Mapping[str, Any]

_MOST_FAULTS = 5
_MOST_EVIDENCE = 4


def assert_leads(answer: Document, fault: str, at_least: float | None = None) -> None:
    """The fault is the likeliest, and where ``at_least`` is given at least so likely.

    Examples
    --------
    >>> assert_leads(answer, "heater_open", at_least=0.9)
    """
    first = answer["faults"][0]["fault"] if answer["faults"] else None
    if first != fault:
        _fail(f"expected {fault} to lead, but {first or 'no fault'} does", answer, fault)
    probability = answer["faults"][0]["probability"]
    if at_least is not None and probability < at_least:
        _fail(f"{fault} leads with {_percent(probability)}, expected at least {_percent(at_least)}", answer, fault)


def assert_ruled_out(answer: Document, fault: str, below: float = 0.01) -> None:
    """The fault is less likely than ``below``; faults that an answer leaves out are all but ruled out.

    Examples
    --------
    >>> assert_ruled_out(answer, "motor_open")
    """
    probability = next((f["probability"] for f in answer["faults"] if f["fault"] == fault), 0.0)
    if probability >= below:
        _fail(f"expected {fault} below {_percent(below)}, but it has {_percent(probability)}", answer, fault)


def assert_next(answer: Document, kind: str, id: str) -> None:  # noqa: A002  as the answer calls it
    """The next step is of this kind (``test``, ``repair``, ``stop``, ``refer`` or ``done``) and has this id.

    Examples
    --------
    >>> assert_next(answer, "test", "cutout_continuity")
    """
    step = answer.get("next")
    if step is None:
        _fail(f"expected {kind} {id} next, but no step is advised (was the effort none?)", answer)
    elif (step["kind"], step["id"]) != (kind, id):
        _fail(f"expected {kind} {id} next, but it is {step['kind']} {step['id']}", answer)


def assert_verdict(answer: Document, test: str, verdict: str) -> None:
    """The last reading of a test was judged so: ``within``, ``outside``, ``inconclusive`` or ``rejected``.

    Examples
    --------
    >>> assert_verdict(answer, "heater_resistance", "outside")
    """
    found = [reading for reading in answer["readings"] if reading["test"] == test]
    if not found:
        _fail(f"expected {test} to be {verdict}, but the case has no reading of it", answer)
    elif found[-1]["verdict"] != verdict:
        _fail(f"expected {test} to be {verdict}, but it is {_judged(found[-1])}", answer)


def assert_hazard(answer: Document, id: str) -> None:  # noqa: A002  as the answer calls it
    """The hazard comes before everything else.

    Examples
    --------
    >>> assert_hazard(client.diagnose({"complaints": ["felt_a_shock"]}), "shock")
    """
    step = answer.get("next")
    if step is None or step["kind"] not in ("stop", "refer") or step["id"] != id:
        found = "no step is advised" if step is None else f"{step['kind']} {step['id']} is next"
        _fail(f"expected hazard {id} to stop everything, but {found}", answer)


def explain(answer: Document, fault: str | None = None) -> str:
    """What an answer believes and why, in a few lines: ranking, evidence, rejected readings, clashes, next step.

    Parameters
    ----------
    answer : dict
        Of a diagnosis.
    fault : str, optional
        A fault to explain, wherever it stands in the ranking.
    """
    ranked = answer["faults"]
    shown = [f for i, f in enumerate(ranked) if i < _MOST_FAULTS or f["fault"] == fault]
    lines = [f"  {_percent(f['probability']):>7}  {f['fault']}{_evidence(f['evidence'])}" for f in shown]
    left_out = len(ranked) - len(shown)
    lines += [f"           and {left_out} more"] if left_out else []
    if fault is not None and all(f["fault"] != fault for f in ranked):
        lines.append(f"           {fault} is all but ruled out, or not a fault of this family or build")
    lines.append(f"  nothing wrong {_percent(answer['no_fault'])}, unexplained {_percent(answer['unexplained'])}")
    lines += [f"  {r['test']} {_judged(r)}" for r in answer["readings"] if r["verdict"] == "rejected" or r["findings"]]
    lines += [f"  clash: {clash['message']}" for clash in answer["clashes"]]
    if "next" in answer:
        step = answer["next"]
        lines.append(f"  next: {step['kind']} {step['id']}: {step['why']}")
    return "\n".join(lines)


def _fail(expected: str, answer: Document, fault: str | None = None) -> None:
    __tracebackhide__ = True
    raise AssertionError(f"{expected}\n{explain(answer, fault)}")


def _percent(probability: float) -> str:
    return f"{100 * probability:.1f} %" if probability >= 0.001 else f"{100 * probability:.2g} %"


def _evidence(evidence: list[Mapping[str, Any]]) -> str:
    """The pieces that moved a fault most, with what each did to its odds."""
    strongest = sorted(evidence, key=lambda piece: -abs(piece["decibans"]))[:_MOST_EVIDENCE]
    told = ", ".join(f"{piece['from']} {piece['decibans']:+.1f} dB" for piece in strongest)
    return f"  ({told})" if told else ""


def _judged(reading: Mapping[str, Any]) -> str:
    """A verdict, with what was found."""
    findings = "; ".join(finding["message"] for finding in reading["findings"])
    return reading["verdict"] + (f": {findings}" if findings else "")
