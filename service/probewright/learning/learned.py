"""Learning as a whole: a pack and closed jobs go in, a shop's numbers and how they did come out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from probewright.engine.machine import machine_of
from probewright.figures import Figure
from probewright.learning.jobs import Job
from probewright.learning.rates import PRIOR_WEIGHT, Rate, Rates, learn_rates
from probewright.learning.split import HELD_BACK, split_by_time
from probewright.learning.tables import ROW_WEIGHT, Row, Rows, learn_rows
from probewright.learning.trial import MOST_SCORED, Trial, try_out
from probewright.packs.overlay import OutcomeRow, Overlay, laid_over
from probewright.packs.registry import LoadedPack
from probewright.settings import Settings
from probewright_schemas.closed import UNKNOWN

LAYER = "closed_jobs"
#: Decimals of a learned number: far more than counts can tell, few enough to read.
_DECIMALS = 6


@dataclass(frozen=True, slots=True)
class Plan:
    """How to learn.

    ``prior_weight`` and ``row_weight`` are how many jobs, and looks, the pack's own numbers are worth; ``hold_back`` is
    the share of jobs that is held back; at most ``most_scored`` of these are scored.  ``layer`` names the result.
    """

    prior_weight: float = PRIOR_WEIGHT
    row_weight: float = ROW_WEIGHT
    hold_back: float = HELD_BACK
    most_scored: int = MOST_SCORED
    seed: int = 0
    layer: str = LAYER


@dataclass(frozen=True, slots=True)
class Period:
    """Some jobs, and the first and the last day on which they were closed."""

    jobs: int
    first: date
    last: date

    @classmethod
    def of(cls, jobs: Sequence[Job]) -> Period:
        """The period of some jobs, in the order of their days."""
        return cls(len(jobs), jobs[0].day, jobs[-1].day)


@dataclass(frozen=True, slots=True)
class Learned:
    """What was learned.

    ``overlay`` holds numbers learned from all jobs, as ``rates`` and ``rows`` say; ``trial`` how numbers did that were
    learned from the ``earlier`` jobs only, on the ``later`` ones.
    """

    overlay: Overlay
    rates: Rates
    rows: Rows
    trial: Trial
    period: Period
    earlier: Period
    later: Period


def learn(pack: LoadedPack, settings: Settings, jobs: Sequence[Job], plan: Plan | None = None) -> Learned:
    """Learn a shop's numbers from closed jobs.

    First from the earlier jobs only, to be tried on the later ones; then, by the same rules, from all of them: these
    are the numbers to use, for what happened last says most about what comes next.

    Parameters
    ----------
    pack : LoadedPack
        As it is, with whatever layers already lie over it.
    settings : Settings
    jobs : sequence of Job
        In the order in which :func:`~probewright.learning.jobs.read_jobs` gives them.
    plan : Plan, optional

    Raises
    ------
    TooFewJobsError
        When there are too few jobs, or too few to hold back.
    ValueError
        When a weight of the plan is not positive.
    """
    plan = Plan() if plan is None else plan
    split = split_by_time(jobs, plan.hold_back)
    tried, _, _ = _learned(pack, split.earlier, plan)
    trial = try_out(pack, with_overlay(pack, tried), settings, split.later, plan.seed, plan.most_scored)
    overlay, rates, rows = _learned(pack, jobs, plan)
    return Learned(
        overlay, rates, rows, trial, Period.of(jobs), Period.of(split.earlier), Period.of(split.later)
    )


def with_overlay(pack: LoadedPack, overlay: Overlay) -> LoadedPack:
    """A pack with learned numbers laid over its family; for forecasts only, so under the same digest."""
    return replace(pack, family=laid_over(pack.family, overlay))


def _learned(pack: LoadedPack, jobs: Sequence[Job], plan: Plan) -> tuple[Overlay, Rates, Rows]:
    store = machine_of(pack).store
    rates, rows = learn_rates(jobs, store, plan.prior_weight), learn_rows(jobs, store, plan.row_weight)
    return _overlay(pack.family.id, Period.of(jobs), rates, rows, plan), rates, rows


def _overlay(family: str, period: Period, rates: Rates, rows: Rows, plan: Plan) -> Overlay:
    pooled = _pooled(rates)
    figures = {rate.fault: _rate_figure(rate, period, plan) for rate in rates.learned}
    figures |= {rate.fault: _rate_figure(rate, period, plan, pooled) for rate in rates.pooled}
    unknown = figures.pop(UNKNOWN, None)
    outcomes = tuple(_outcome_row(row, period, plan) for row in rows.learned)
    return Overlay(plan.layer, family, unknown_rate=unknown, fault_rates=figures, outcomes=outcomes)


def _days(period: Period) -> str:
    return f"{period.first} to {period.last}"


def _rate_figure(rate: Rate, period: Period, plan: Plan, pooled: str = "") -> Figure:
    source = (
        f"proven in {rate.proven} of {rate.allowing} closed jobs that could have it ({rate.expected:.1f} expected), "
        f"{_days(period)}; before {rate.before:.4g}, worth {plan.prior_weight:g} jobs{pooled}"
    )
    return Figure(_short(rate.after), "shop", source)


def _pooled(rates: Rates) -> str:
    """What the source of a rate adds where it was learned together with others."""
    proven, expected = sum(rate.proven for rate in rates.pooled), sum(rate.expected for rate in rates.pooled)
    return f"; learned as one with all {len(rates.pooled)} rare ones, {proven} proven and {expected:.1f} expected"


def _short(number: float) -> float:
    return float(f"{number:.{_DECIMALS}g}")


def _outcome_row(row: Row, period: Period, plan: Plan) -> OutcomeRow:
    chances = [round(chance, _DECIMALS) for chance in row.after]
    most = chances.index(max(chances))
    chances[most] = round(1.0 - sum(chances[:most] + chances[most + 1 :]), _DECIMALS)
    counted, worth = f"of {sum(row.looks)} closed jobs, {_days(period)}", f"worth {plan.row_weight:g} looks"
    figures = {
        outcome: Figure(chance, "shop", f"seen in {looks} {counted}; before {before:.4g}, {worth}")
        for outcome, chance, looks, before in zip(row.outcomes, chances, row.looks, row.before, strict=True)
    }
    return OutcomeRow(row.test, figures, row.fault, row.when)
