"""What was learned, as a document for scripts and as text for people."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from textwrap import wrap
from typing import Any

from probewright.calibration import Scores
from probewright.learning.jobs import BadLine
from probewright.learning.learned import Learned, Period, Plan
from probewright.learning.rates import LEAST_COUNT, Rate
from probewright.learning.tables import LEAST_LOOKS, Row
from probewright.learning.trial import Change
from probewright.packs.registry import LoadedPack
from probewright.simulation.statistics import Estimate

Document = dict[str, Any]

_DECIMALS = 6
_WIDTH = 100
_MOMENTS = {"at_the_call": "at the call", "before_repairs": "before any repair"}
_SCORES = (("truth", "probability of what was proven"), ("top_1", "top 1"), ("top_3", "top 3"),
           ("brier", "Brier score"), ("log", "log score"), ("ece", "calibration error"))  # fmt: skip
_WORDS = {
    "better": "The learned numbers forecast the held-back jobs better.",
    "worse": "The learned numbers forecast the held-back jobs worse than the pack as it is: think twice before using "
             "them.",
    "no clear difference": "The held-back jobs do not show the learned numbers to be better, nor worse: the difference "
                           "may be chance.",
}  # fmt: skip


def document(pack: LoadedPack, plan: Plan, learned: Learned, bad: Sequence[BadLine]) -> Document:
    """Everything that was found, for JSON."""
    rates, rows, trial = learned.rates, learned.rows, learned.trial
    return {
        "family": pack.family.id,
        "version": pack.family.version,
        "digest": pack.digest,
        "layer": plan.layer,
        "prior_weight": plan.prior_weight,
        "row_weight": plan.row_weight,
        "jobs": _period(learned.period),
        "learned_from": _period(learned.earlier),
        "held_back": _period(learned.later),
        "scored": trial.scored,
        "without_complaint": rates.silent,
        "bad_lines": [{"line": one.line, "reason": one.reason} for one in bad],
        "verdict": trial.verdict,
        "scores": {name: _change(change) for name, change in trial.changes.items()},
        "fault_rates": [_rate(rate) for rate in rates.learned],
        "pooled_fault_rates": [_rate(rate) for rate in rates.pooled],
        "kept_fault_rates": [rate.fault for rate in rates.kept],
        "outcomes": [_row(row) for row in rows.learned],
        "kept_outcomes": [_name(row) | {"looks": sum(row.looks)} for row in rows.few],
    }


def _period(period: Period) -> Document:
    return {"jobs": period.jobs, "first": period.first.isoformat(), "last": period.last.isoformat()}


def _change(change: Change) -> Document:
    return {
        "verdict": change.verdict,
        "as_is": _scores(change.as_is),
        "as_learned": _scores(change.as_learned),
        "difference": {"log": _estimate(change.log), "brier": _estimate(change.brier)},
    }


def _scores(found: Scores) -> Document:
    numbers = {name: round(float(getattr(found, name)), _DECIMALS) for name, _ in _SCORES}
    return numbers | {"ece_null_95": round(found.null.ece_95, _DECIMALS), "calibrated": found.calibrated}


def _estimate(found: Estimate) -> Document:
    return {name: round(value, _DECIMALS) for name, value in found._asdict().items()}


def _rate(rate: Rate) -> Document:
    return {
        "fault": rate.fault, "before": rate.before, "after": rate.after, "proven": rate.proven,
        "jobs": rate.allowing, "expected": round(rate.expected, 2),
    }  # fmt: skip


def _name(row: Row) -> Document:
    named: Document = {"test": row.test}
    if row.fault is not None:
        named["fault"] = row.fault
    if row.when:
        named["when"] = {option: v if isinstance(v, str) else list(v) for option, v in row.when.items()}
    return named


def _row(row: Row) -> Document:
    cells = zip(row.outcomes, row.before, row.after, row.looks, strict=True)
    return _name(row) | {
        "chances": {outcome: {"before": b, "after": a, "looks": looks} for outcome, b, a, looks in cells}
    }


def text(told: Mapping[str, Any]) -> str:
    """A report for people, within 100 columns."""
    jobs, held = told["jobs"], told["held_back"]
    lines = [
        f"{jobs['jobs']} closed jobs of {told['family']} {told['version']}, {jobs['first']} to {jobs['last']}",
        *_bad(told["bad_lines"]),
        "",
        f"Tried: learned from the {told['learned_from']['jobs']} jobs up to {told['learned_from']['last']}, scored on "
        f"{_scored(told)} from {held['first']} on",
        *(line for name, change in told["scores"].items() for line in _compared(_MOMENTS[name], change)),
        "",
        *wrap(_WORDS[told["verdict"]], _WIDTH),
        "",
        "Learned from all jobs:",
        *_rates(told),
        *_rows(told),
    ]
    return "\n".join(lines)


def _scored(told: Mapping[str, Any]) -> str:
    held = told["held_back"]["jobs"]
    return f"the {held}" if told["scored"] == held else f"{told['scored']} of the {held}"


def _bad(lines: Sequence[Mapping[str, Any]]) -> list[str]:
    count = len(lines)
    return [f"{count} bad line{'s were' if count > 1 else ' was'} left out"] if count else []


def _compared(moment: str, change: Mapping[str, Any]) -> list[str]:
    before, after = change["as_is"], change["as_learned"]
    log = change["difference"]["log"]
    lines = ["", f"  {moment:<30}{'as it is':>12}{'as learned':>12}"]
    for name, title in _SCORES:
        lines.append(f"  {title:<30}{before[name]:>12.3f}{after[name]:>12.3f}")
    lines += [
        f"  {'  of a perfect forecaster, 95 %':<32}{before['ece_null_95']:>10.3f}{after['ece_null_95']:>12.3f}",
        f"  log score {log['value']:+.3f} ({log['low']:+.3f} to {log['high']:+.3f}): {change['verdict']}",
    ]
    return lines


def _rates(told: Mapping[str, Any]) -> list[str]:
    pooled, kept = told["pooled_fault_rates"], told["kept_fault_rates"]
    lines = ["", f"  {'fault':<36}{'rate':>9}{'learned':>10}{'proven':>8}{'of':>7}{'expected':>10}"]
    for rate in told["fault_rates"]:
        lines.append(
            f"  {rate['fault']:<36}{rate['before']:>9.5f}{rate['after']:>10.5f}{rate['proven']:>8}{rate['jobs']:>7}"
            f"{rate['expected']:>10.1f}"
        )
    few = f"proven and expected in fewer than {LEAST_COUNT} jobs"
    if pooled:
        proven, expected = (sum(rate[name] for rate in pooled) for name in ("proven", "expected"))
        factor = pooled[0]["after"] / pooled[0]["before"]
        jobs = told["jobs"]["jobs"] - told["without_complaint"]
        lines += [
            f"  {len(pooled):>3} {'rare ones together':<32}{f'times {factor:.2f}':>19}{proven:>8}{jobs:>7}"
            f"{expected:>10.1f}",
            f"  (rare: {few}; their rates are multiplied alike)",
        ]
    return lines + ([f"  {len(kept)} rates stay as they are: {few}, even together"] if kept else [])


def _rows(told: Mapping[str, Any]) -> list[str]:
    lines = [""]
    for row in told["outcomes"]:
        lines.append(f"  {row['test']}, {row.get('fault', 'nothing wrong')}")
        for outcome, chance in row["chances"].items():
            lines.append(f"    {outcome:<34}{chance['before']:>9.4f}{chance['after']:>10.4f}{chance['looks']:>8}")
    few = len(told["kept_outcomes"])
    kept = "1 row of outcomes stays as it is" if few == 1 else f"{few} rows of outcomes stay as they are"
    return [*lines, f"  {kept}: seen in fewer than {LEAST_LOOKS} jobs"]
