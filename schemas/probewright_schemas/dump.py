"""Answers to JSON documents.

Written out by hand, for this is on the path of every request; tests hold it against the schemas.  Absent values are
left out, arrays are always there.  Probabilities, bands, uncertainties, minutes and costs carry six significant digits,
readings nine, decibans two decimals; log-likelihoods keep every digit, and one of minus infinity, which JSON cannot
say, becomes :data:`IMPOSSIBLE`.  The rounding hides no last-bit noise of the
platform's logarithms behind an answer's text, so stored answers can be compared as text.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import singledispatch
from math import inf, isfinite
from typing import Any

from probewright_schemas import records, visit_records

Document = dict[str, Any]

IMPOSSIBLE = -1e9  # no sum of real log-likelihoods comes near


def finite(number: float) -> float:
    """A plain float that JSON can say; NaN and infinities are our own fault, never an answer."""
    if not isfinite(number):
        raise ValueError(f"{number!r} is not a number of an answer")
    return float(number)


def significant(number: float) -> float:
    """Six significant digits."""
    return float(f"{finite(number):.6g}")


def nine(number: float) -> float:
    """Nine significant digits."""
    return float(f"{finite(number):.9g}")


def _log_likelihood(number: float) -> float:
    return IMPOSSIBLE if number == -inf else finite(number)


def _decibans(number: float) -> float:
    return round(finite(number), 2) + 0.0  # no negative zero


def _put(document: Document, key: str, value: Any, convert: Callable[[Any], Any] | None = None) -> None:
    if value is not None:
        document[key] = convert(value) if convert else value


@singledispatch
def to_document(result: object) -> Document:
    """An answer (of a diagnosis, of readings or scores, or of a visit's plan) as a JSON document."""
    raise TypeError(f"{type(result).__name__} is not an answer")


@to_document.register
def _(result: records.Diagnosis) -> Document:
    document = _head(result)
    document["readings"] = [checked_reading(r) for r in result.readings]
    document["faults"] = [_fault(f) for f in result.faults]
    document["unexplained"] = significant(result.unexplained)
    document["no_fault"] = significant(result.no_fault)
    document["configurations"] = [_configuration(c) for c in result.configurations]
    document["clashes"] = [{"sources": list(c.sources), "message": c.message} for c in result.clashes]
    _put(document, "next", result.next, step)
    document["alternatives"] = [step(s) for s in result.alternatives]
    document["parts"] = [
        {"part": p.part, "title": p.title, "probability": significant(p.probability)} for p in result.parts
    ]
    document["closing_checks"] = [_closing_check(c) for c in result.closing_checks]
    _put(document, "outlook", result.outlook, _outlook)
    _put(document, "planner", result.planner, _planner)
    document["cautions"] = list(result.cautions)
    document["assumptions"] = list(result.assumptions)
    document["notice"] = result.notice
    _put(document, "computation", result.computation)
    return document


@to_document.register
def _(result: records.ReadingsReport) -> Document:
    document = _head(result)
    document["readings"] = [checked_reading(r) for r in result.readings]
    document["assumptions"] = list(result.assumptions)
    document["notice"] = result.notice
    return document


@to_document.register
def _(result: records.ScoreReport) -> Document:
    document = _head(result)
    document["hypotheses"] = list(result.hypotheses)
    document["readings"] = [
        {"test": r.test, "log_likelihoods": [_log_likelihood(x) for x in r.log_likelihoods]} for r in result.readings
    ]
    document["skipped"] = [checked_reading(r) for r in result.skipped]
    document["notice"] = result.notice
    return document


@to_document.register
def _(result: visit_records.VisitPlan) -> Document:
    document = _head(result)
    _put(document, "stop", result.stop, step)
    document["questions"] = [_question(q) for q in result.questions]
    document["parts"] = [_planned_part(p) for p in result.parts]
    document["tools"] = [{"tool": t.tool, "probability": significant(t.probability)} for t in result.tools]
    document["skills"] = [{"skill": s.skill, "probability": significant(s.probability)} for s in result.skills]
    _put(document, "minutes", result.minutes, _minutes)
    _put(document, "first_visit_probability", result.first_visit_probability, significant)
    _put(document, "expected_cost", result.expected_cost, significant)
    document["order"] = [_work_group(g) for g in result.order]
    document["likeliest"] = [
        {"fault": f.fault, "title": f.title, "probability": significant(f.probability)} for f in result.likeliest
    ]
    _put(document, "planner", result.planner, _planner)
    document["cautions"] = list(result.cautions)
    document["assumptions"] = list(result.assumptions)
    document["notice"] = result.notice
    return document


def _head(
    result: records.Diagnosis | records.ReadingsReport | records.ScoreReport | visit_records.VisitPlan,
) -> Document:
    document: Document = {} if result.reference is None else {"reference": result.reference}
    document["pack"] = pack_identity(result.pack)
    return document


def pack_identity(pack: records.PackIdentity) -> Document:
    """Which model answered."""
    return {"family": pack.family, "version": pack.version, "digest": pack.digest}


def checked_reading(reading: records.CheckedReading) -> Document:
    """A reading after validation."""
    document: Document = {"test": reading.test, "verdict": reading.verdict}
    _put(document, "value", reading.value, nine)
    _put(document, "as_read", reading.as_read, nine)
    _put(document, "unit", reading.unit)
    _put(document, "seen", reading.seen)
    document["over_range"] = reading.over_range
    document["under_range"] = reading.under_range
    _put(document, "expected", reading.expected, _expected)
    _put(document, "standard_uncertainty", reading.standard_uncertainty, significant)
    _put(document, "probability_within", reading.probability_within, significant)
    document["assumed"] = list(reading.assumed)
    document["findings"] = [_finding(f) for f in reading.findings]
    return document


def _expected(expected: records.Expected) -> Document:
    document: Document = {"basis": expected.basis}
    _put(document, "unit", expected.unit)
    _put(document, "low", expected.low, significant)
    _put(document, "high", expected.high, significant)
    _put(document, "seen", expected.seen, list)
    _put(document, "source", expected.source)
    document["conditions"] = {name: _condition(used) for name, used in expected.conditions.items()}
    return document


def _condition(used: records.UsedCondition) -> Document:
    return {"value": nine(used.value), "unit": used.unit, "from": used.source}


def _finding(finding: records.Finding) -> Document:
    document: Document = {"code": finding.code, "severity": finding.severity, "message": finding.message}
    _put(document, "remedy", finding.remedy)
    return document


def _fault(fault: records.RankedFault) -> Document:
    document: Document = {
        "fault": fault.fault,
        "title": fault.title,
        "probability": significant(fault.probability),
    }
    _put(document, "part", fault.part)
    document["evidence"] = [{"from": e.source, "decibans": _decibans(e.decibans)} for e in fault.evidence]
    return document


def _configuration(configuration: records.OpenConfiguration) -> Document:
    return {"options": dict(configuration.options), "probability": significant(configuration.probability)}


def step(step: records.Step) -> Document:
    """Something to do next."""
    document: Document = {"kind": step.kind, "id": step.id, "title": step.title, "why": step.why}
    _put(document, "state", step.state)
    _put(document, "zone", step.zone)
    _put(document, "minutes", step.minutes, significant)
    _put(document, "expected_cost", step.expected_cost, significant)
    _put(document, "expected_minutes", step.expected_minutes, significant)
    _put(document, "first_visit", step.first_visit, significant)
    document["outcomes"] = [_step_outcome(o) for o in step.outcomes]
    document["steps"] = list(step.steps)
    document["cautions"] = list(step.cautions)
    return document


def _step_outcome(outcome: records.StepOutcome) -> Document:
    follows = outcome.leads_to
    return {
        "outcome": outcome.outcome,
        "text": outcome.text,
        "probability": significant(outcome.probability),
        "leads_to": {"kind": follows.kind, "id": follows.id, "title": follows.title},
    }


def _closing_check(check: records.ClosingCheck) -> Document:
    document: Document = {"id": check.id, "text": check.text}
    _put(document, "test", check.test)
    _put(document, "status", check.status)
    return document


def _outlook(outlook: records.Outlook) -> Document:
    return {
        "expected_cost": significant(outlook.expected_cost),
        "expected_minutes": significant(outlook.expected_minutes),
        "first_visit_probability": significant(outlook.first_visit_probability),
    }


def _planner(note: records.PlannerNote) -> Document:
    document: Document = {"method": note.method, "fell_back": note.fell_back}
    _put(document, "why", note.why)
    return document


def _question(question: visit_records.CustomerQuestion) -> Document:
    document: Document = {"id": question.id, "text": question.text, "why": question.why}
    document["answers"] = [_answer(a) for a in question.answers]
    _put(document, "value", question.value, significant)
    return document


def _answer(answer: visit_records.AnswerChoice) -> Document:
    document: Document = {"id": answer.id, "text": answer.text, "adds": case_fragment(answer.adds)}
    _put(document, "probability", answer.probability, significant)
    _put(document, "stop", answer.stop, step)
    return document


def case_fragment(fragment: visit_records.CaseFragment) -> Document:
    """Members to be added to a case; those that would be empty are left out."""
    readings = [
        {"test": r.test, "seen": r.seen} | ({} if r.state is None else {"state": r.state}) for r in fragment.readings
    ]
    members = {
        "options": dict(fragment.options),
        "complaints": list(fragment.complaints),
        "working": list(fragment.working),
        "readings": readings,
    }
    return {name: value for name, value in members.items() if value}


def _planned_part(part: visit_records.PlannedPart) -> Document:
    return {
        "part": part.part,
        "title": part.title,
        "price": significant(part.price),
        "carry": part.carry,
        "probability_used": significant(part.probability_used),
        "ends_with": significant(part.ends_with),
        "ends_without": significant(part.ends_without),
        "on_van": part.on_van,
    }


def _minutes(minutes: visit_records.VisitMinutes) -> Document:
    return {
        "expected": significant(minutes.expected),
        "low": significant(minutes.low),
        "high": significant(minutes.high),
        "closing_checks": significant(minutes.closing_checks),
    }


def _work_group(group: visit_records.WorkGroup) -> Document:
    document: Document = {"state": group.state}
    _put(document, "zone", group.zone)
    document["steps"] = list(group.steps)
    document["work"] = [
        {
            "kind": w.kind,
            "id": w.id,
            "title": w.title,
            "minutes": significant(w.minutes),
            "probability": significant(w.probability),
        }
        for w in group.work
    ]
    document["cautions"] = list(group.cautions)
    return document
