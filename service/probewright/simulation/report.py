"""What came out, as a document and as text."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from probewright.calibration import scores
from probewright.packs.model import Family
from probewright.packs.registry import LoadedPack
from probewright.settings import Settings
from probewright.simulation.believed import held
from probewright.simulation.perturb import MISREAD
from probewright.simulation.play import Played
from probewright.simulation.run import GROUP, Plan, Results, parts_on_hand
from probewright.simulation.statistics import Estimate, mean, ratio, share

#: Confusions that are told of each policy.
MOST_TOLD = 12
_COMPARED = (("planner", "checklist"), ("planner", "one_step"), ("planner", "likeliest"), ("planner", "informed"))
TITLES = {
    "planner": "planner", "informed": "planner, told the perturbed numbers", "one_step": "one step of expected value",
    "checklist": "checklist", "likeliest": "likeliest part",
}  # fmt: skip
_LEGEND = (
    "Intervals hold with 95 %. A good part swapped is one that was replaced while nothing that this cures was there."
)
Document = dict[str, Any]


def document(pack: LoadedPack, settings: Settings, plan: Plan, results: Results) -> Document:
    """Everything that came out, for JSON."""
    any_policy, on_hand = next(iter(results.values())), parts_on_hand(pack, plan)
    return {
        "family": pack.family.id,
        "version": pack.family.version,
        "digest": pack.digest,
        "jobs": plan.jobs,
        "seed": plan.seed,
        "perturbed": plan.perturb,
        "worlds": (plan.jobs + GROUP - 1) // GROUP if plan.perturb else 1,
        "misread_rate": MISREAD if plan.perturb else settings.misread_rate,
        "effort": plan.effort,
        "parts_on_hand": "all" if on_hand is None else list(on_hand),
        "curable": sum(counts(job) for job in any_policy),
        "stopped_for_safety": sum(job.hazardous for job in any_policy),
        "policies": {name: _policy(jobs) for name, jobs in results.items()},
        "calibration": _calibration(pack.family, results.get("planner", ()), plan.seed),
        "cost_ratios": {
            f"{one}/{other}": _estimate(ratio(_costs(results[one]), _costs(results[other]), plan.seed))
            for one, other in _COMPARED
            if one in results and other in results
        },
    }


def _calibration(family: Family, jobs: Sequence[Played], seed: int) -> Document | None:
    """How far beliefs were from what was so when the planner decided on its first repair; None where none were kept.

    ``jobs`` with at most one fault, the ``error`` of the likeliest outcome's probability, and ``null_95``: what perfect
    forecasters with the same forecasts stay under in 95 % of such sets of jobs.
    """
    found = held(jobs, "decided", tuple(fault.id for fault in family.faults))
    if not len(found.truth):
        return None
    told = scores(found.probabilities, found.truth, seed)
    return {"jobs": told.count, "error": round(told.ece, 4), "null_95": round(told.null.ece_95, 4)}


def counts(job: Played) -> bool:
    """Whether a job is among those that should be fixed at the first visit."""
    return job.curable and not job.hazardous


def _costs(jobs: Sequence[Played]) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    return np.array([job.cost for job in jobs], dtype=np.float64)


def _policy(jobs: Sequence[Played]) -> Document:
    due = [job for job in jobs if counts(job)]
    numbers = {
        "fixed_at_first_visit": share(sum(job.first_visit for job in due), len(due)),
        "complaint_gone": share(sum(job.gone for job in due), len(due)),
        "good_parts_swapped": mean(np.array([len(job.swapped) for job in jobs], dtype=np.float64)),
        "minutes": mean(np.array([job.minutes for job in jobs], dtype=np.float64)),
        "closing_minutes": mean(np.array([job.closing for job in jobs], dtype=np.float64)),
        "cost": mean(_costs(jobs)),
        "tests": mean(np.array([job.tests for job in jobs], dtype=np.float64)),
        "repairs": mean(np.array([job.repairs for job in jobs], dtype=np.float64)),
    }
    ended = Counter(job.ended for job in jobs)
    swaps = Counter((job.wrong, repair) for job in jobs for repair in job.swapped)
    missed = Counter((job.wrong, job.ended, _last(job)) for job in due if not job.first_visit)
    return {
        **{name: _estimate(found) for name, found in numbers.items()},
        "ended": dict(sorted(ended.items())),
        "given_up": ended["given_up"],
        "good_parts_swapped_by_fault": [
            {"fault": fault, "repair": repair, "jobs": count} for (fault, repair), count in _most(swaps)
        ],
        "not_fixed_by_fault": [
            {"fault": fault, "ended": how, "last_step": last, "jobs": count}
            for (fault, how, last), count in _most(missed)
        ],
    }


def _last(job: Played) -> str:
    return job.steps[-1] if job.steps else ""


def _most(found: Counter[Any]) -> list[tuple[Any, int]]:
    return sorted(found.items(), key=lambda item: (-item[1], item[0]))[:MOST_TOLD]


def _estimate(found: Estimate) -> Document:
    return {name: round(value, 4) for name, value in found._asdict().items()}


def text(told: Mapping[str, Any]) -> str:
    """A report for people."""
    world = "perturbed worlds" if told["perturbed"] else "the pack's own world"
    lines = [
        f"{told['jobs']} simulated jobs of {told['family']} {told['version']} in {world}, seed {told['seed']}",
        f"{told['curable']} of them curable at the first visit; {told['stopped_for_safety']} show a hazard that stops "
        f"the work; {told['misread_rate']:.0%} of the readings are misread",
        "",
        _row("", "fixed at first visit", "good parts swapped", "minutes", "cost"),
        *(_row(TITLES[name], *_cells(numbers)) for name, numbers in told["policies"].items()),
        "",
        *(
            f"cost, {pair.replace('/', ' over ')}: {r['value']:.3f} ({r['low']:.3f} to {r['high']:.3f})"
            for pair, r in told["cost_ratios"].items()
        ),
    ]
    if told["calibration"] is not None:
        lines.append(_calibrated(told["calibration"]))
    for name, numbers in told["policies"].items():
        lines += _confusions(name, numbers)
    return "\n".join([*lines, "", _LEGEND])


def _calibrated(found: Mapping[str, Any]) -> str:
    return (
        f"calibration error at the planner's first repair: {found['error']:.3f}, of perfect forecasters under "
        f"{found['null_95']:.3f} in 95 % ({found['jobs']} jobs)"
    )


def _row(*cells: str) -> str:
    return f"{cells[0]:<36}" + "".join(f"{cell:>25}" for cell in cells[1:])


def _cells(numbers: Mapping[str, Any]) -> list[str]:
    fixed, swapped = numbers["fixed_at_first_visit"], numbers["good_parts_swapped"]
    return [
        f"{fixed['value']:.1%} ({fixed['low']:.1%}-{fixed['high']:.1%})",
        f"{swapped['value']:.3f} ({max(0.0, swapped['low']):.3f}-{swapped['high']:.3f})",
        *(
            f"{numbers[name]['value']:.1f} ({numbers[name]['low']:.1f}-{numbers[name]['high']:.1f})"
            for name in ("minutes", "cost")
        ),
    ]


def _confusions(name: str, numbers: Mapping[str, Any]) -> list[str]:
    ended = sorted(numbers["ended"].items(), key=lambda item: (-item[1], item[0]))
    gone, closing = numbers["complaint_gone"]["value"], numbers["closing_minutes"]["value"]
    lines = [
        "",
        f"{TITLES[name]}: ended with " + ", ".join(f"{how} {count}" for how, count in ended),
        f"  the complaint gone in {gone:.1%} of the curable jobs, closed or not; {closing:.1f} minutes a job to close",
    ]
    if numbers["good_parts_swapped_by_fault"]:
        lines += ["", f"{TITLES[name]}: good parts swapped"]
        lines += [f"  {e['jobs']:4d}  {e['fault']}: {e['repair']}" for e in numbers["good_parts_swapped_by_fault"]]
    if numbers["not_fixed_by_fault"]:
        lines += ["", f"{TITLES[name]}: curable and not fixed at the first visit"]
        lines += [
            f"  {e['jobs']:4d}  {e['fault']}: {e['ended']} after {e['last_step'] or 'nothing'}"
            for e in numbers["not_fixed_by_fault"]
        ]
    if numbers["given_up"]:
        lines += ["", f"{TITLES[name]}: {numbers['given_up']} jobs given up after too many steps"]
    return lines
