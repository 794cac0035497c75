"""``probewright simulate-visits``."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from probewright.cli.arguments import check_plots, new_file
from probewright.cli.common import Exit, UnusableError, show
from probewright.cli.loading import prepared
from probewright.simulation import POLICIES, Plan, document, simulate, text
from probewright.simulation.van import planned
from probewright_schemas.suggest import did_you_mean

#: In place of parts: those that each visit's plan carries.
PLANNED = "planned"


def simulate_visits(
    family: str, plan: Plan, workers: int, plot: str | None, *, as_json: bool, strict: bool, shop: Sequence[str] = (),
) -> int:  # fmt: skip
    """Play whole jobs, and tell how each way of working fared."""
    _check("policy", plan.policies, POLICIES)
    if not plan.played:
        raise UnusableError(f"no policy to play; one or more of {', '.join(POLICIES)} (informed: with --perturb)")
    picture = None if plot is None else _picture(plot)
    registry, settings = prepared(strict, shop)
    pack = registry.get(family)
    by_plan = plan.on_hand == (PLANNED,)
    if not by_plan:
        _check("part", plan.on_hand or (), [part.id for part in pack.family.parts])
    results = simulate(pack, settings, plan, workers, planned(pack, settings) if by_plan else None)
    told = document(pack, settings, plan, results)
    if picture is not None:
        from probewright.simulation.plot import save  # noqa: PLC0415  matplotlib is loaded only for a picture

        save(told, results, picture)
    show(told, as_json, text)
    return Exit.OK


def _check(what: str, names: Sequence[str], known: Sequence[str]) -> None:
    for name in names:
        if name not in known:
            raise UnusableError(f"unknown {what} {name!r}{did_you_mean(name, known)}; known: {', '.join(known)}")


def _picture(plot: str) -> Path:
    """Where the picture goes; fails before the work and not after it."""
    check_plots("--plot")
    return new_file(plot)
