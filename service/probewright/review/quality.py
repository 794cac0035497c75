"""How well a pack does on jobs that are simulated from its own model, as given and with its numbers perturbed.

``quality_document`` gives one JSON document:

``family``, ``title``, ``version``, ``digest``, ``jobs``, ``seed``, ``effort``
    What was simulated; ``jobs`` in each world.
``checklist``
    The tests of the family's checklist; without any there is nothing to compare with.
``goal``
    ``calibration_error``: what is aimed at.  It is no test; that is ``null_95``
    (:func:`probewright.review.quality_scores.stage_document`).
``names``
    Every outcome (no fault, each fault, something unknown) with its title, in the order of the pack.
``worlds``
    ``given``, ``perturbed``, or either: a mapping for each world that was measured.

and for each world:

``worlds``, ``misread_rate``
    How many different worlds the jobs were drawn from, and the share of readings that are misread there.
``curable``, ``stopped_for_safety``
    Jobs that listed repairs can fix, and jobs that show a hazard that stops the work.
``decided``, ``left``
    Scores of what was believed when the first repair was decided on (or to leave without one), and when the job ended,
    held against what was wrong at that moment: :func:`probewright.review.quality_scores.stage_document`.  None when
    no job counts.
``two_faults``
    Jobs with two faults at once: :func:`probewright.review.quality_scores.two_faults`.
``outcomes``, ``confusion``
    By what was wrong, and what was held to be likeliest instead, when the first repair was decided on.
``work``
    By policy (``planner``, ``checklist``) what :func:`probewright.simulation.document` tells of it: estimates with
    ``value``, ``low`` and ``high``, the interval that holds with 95 %.
``cost_ratio``
    The planner's mean cost over the checklist's; None without a checklist.
``costs``
    By policy 101 ``quantiles`` of the cost of a job, and ``jobs`` between ``edges``; the last one counts those beyond.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from probewright.packs.registry import LoadedPack
from probewright.review.quality_scores import by_outcome, confusion, stage_document, two_faults
from probewright.settings import Settings
from probewright.simulation import Plan, document, simulate
from probewright.simulation.believed import NONE, UNKNOWN, Held, held
from probewright.simulation.run import Results
from probewright_schemas.records import Effort

Array = NDArray[np.float64]
Document = dict[str, Any]

#: The calibration error that packs aim at, with as many jobs as it takes to see it.
GOAL = 0.03
#: Bars of the distribution of costs, and the share of the jobs that they reach to.
_BARS = 24
_REACH = 0.98


@dataclass(frozen=True, slots=True)
class Measured:
    """Jobs of one world, and how they went."""

    plan: Plan
    results: Results

    @property
    def name(self) -> str:
        """What the world is called in a document."""
        return "perturbed" if self.plan.perturb else "given"


def measure(
    pack: LoadedPack, settings: Settings, jobs: int, seed: int = 0, workers: int = 1, *,
    perturb: bool = False, effort: Effort = "quick",
) -> Measured:  # fmt: skip
    """Simulate jobs from a pack's own model: the planner's, and beside them the checklist's where there is one.

    The same seed gives the same result, whatever the number of workers.

    Parameters
    ----------
    jobs : int
        At least 1; a few hundred tell something.
    workers : int
        Processes.
    perturb : bool
        Whether the appliances come from worlds with other fault rates, wider tolerances and more misread readings,
        of which the pack is not told.

    Raises
    ------
    PackModelError
        When hardly any simulated appliance raises a complaint.
    """
    policies = ("planner", "checklist") if pack.family.checklist else ("planner",)
    plan = Plan(jobs, seed, perturb, policies, effort, forecasts=True)
    return Measured(plan, simulate(pack, settings, plan, workers))


def quality_document(pack: LoadedPack, settings: Settings, measured: Sequence[Measured]) -> Document:
    """All that came out, for JSON; the module describes the keys.

    Parameters
    ----------
    measured : sequence of Measured
        Of this pack under these settings, with the same jobs and seed: as given, perturbed, or both.
    """
    family, plan = pack.family, measured[0].plan
    return {
        "family": family.id,
        "title": family.title,
        "version": family.version,
        "digest": pack.digest,
        "jobs": plan.jobs,
        "seed": plan.seed,
        "effort": plan.effort,
        "checklist": list(family.checklist),
        "goal": {"calibration_error": GOAL},
        "names": {NONE: NONE.capitalize(), **{f.id: f.title for f in family.faults}, UNKNOWN: UNKNOWN.capitalize()},
        "worlds": {one.name: _world(pack, settings, one) for one in measured},
    }


def _world(pack: LoadedPack, settings: Settings, measured: Measured) -> Document:
    told = document(pack, settings, measured.plan, measured.results)
    faults = tuple(fault.id for fault in pack.family.faults)
    jobs, seed = measured.results["planner"], measured.plan.seed
    decided, left = held(jobs, "decided", faults), held(jobs, "left", faults)
    costs = {name: np.array([job.cost for job in played]) for name, played in measured.results.items()}
    return {
        "worlds": told["worlds"],
        "misread_rate": told["misread_rate"],
        "curable": told["curable"],
        "stopped_for_safety": told["stopped_for_safety"],
        "decided": _scored(decided, seed),
        "left": _scored(left, seed),
        "two_faults": two_faults(jobs),
        "outcomes": by_outcome(decided),
        "confusion": confusion(decided),
        "work": told["policies"],
        "cost_ratio": told["cost_ratios"].get("planner/checklist"),
        "costs": _costs(costs),
    }


def _scored(found: Held, seed: int) -> Document | None:
    return stage_document(found, seed, GOAL) if len(found.truth) else None


def _costs(costs: Mapping[str, Array]) -> Document:
    """What jobs cost under each policy, over one axis."""
    most = max(float(np.quantile(each, _REACH, method="inverted_cdf")) for each in costs.values())
    edges = np.linspace(0.0, most or 1.0, _BARS + 1)
    shares = np.linspace(0.0, 1.0, 101)
    return {
        "edges": np.round(edges, 4).tolist(),
        "policies": {
            name: {
                "quantiles": np.round(np.quantile(each, shares, method="inverted_cdf"), 2).tolist(),
                "jobs": [*np.histogram(each, edges)[0].tolist(), int((each > edges[-1]).sum())],
            }
            for name, each in costs.items()
        },
    }
