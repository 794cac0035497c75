"""``probewright simulate-visits``."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from probewright.cli.common import Exit, UnusableError, show
from probewright.cli.loading import prepared
from probewright.simulation import POLICIES, Plan, document, simulate, text
from probewright_schemas.suggest import did_you_mean


def simulate_visits(family: str, plan: Plan, workers: int, plot: str | None, *, as_json: bool, strict: bool) -> int:
    """Play whole jobs, and tell how each way of working fared."""
    _check(plan.policies)
    if plot is not None:
        _check_plot(plot)
    registry, settings = prepared(strict)
    pack = registry.get(family)
    results = simulate(pack, settings, plan, workers)
    told = document(pack, settings, plan, results)
    if plot is not None:
        from probewright.simulation.plot import save  # noqa: PLC0415  matplotlib is loaded only for a picture

        save(told, results, Path(plot))
    show(told, as_json, text)
    return Exit.OK


def _check(policies: Sequence[str]) -> None:
    for name in policies:
        if name not in POLICIES:
            raise UnusableError(
                f"unknown policy {name!r}{did_you_mean(name, POLICIES)}; one or more of {', '.join(POLICIES)}"
            )


def _check_plot(plot: str) -> None:
    """Fail before the work and not after it."""
    try:
        import matplotlib  # noqa: F401, PLC0415  only to see whether it is there
    except ImportError:
        raise UnusableError("--plot needs matplotlib: pip install 'probewright[plots]'") from None
    if not Path(plot).resolve().parent.is_dir():
        raise UnusableError(f"cannot write {plot}: its folder does not exist")
