"""Runs many jobs under several policies, in as many processes as are wanted: the result does not depend on that.

Jobs are played in groups; each group has a world of its own when worlds are perturbed, and nothing that one group
leaves behind matters to another.
"""

from __future__ import annotations

import multiprocessing
import signal
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, replace
from functools import partial

from probewright.engine import forecast
from probewright.errors import EngineError, RequestError
from probewright.packs.registry import LoadedPack
from probewright.settings import Settings
from probewright.simulation import policies
from probewright.simulation.draw import Omissions, draw
from probewright.simulation.perturb import MISREAD, OMISSIONS, perturbed
from probewright.simulation.play import Forecaster, Played, play
from probewright.simulation.policies import Policy
from probewright.simulation.world import World
from probewright_schemas.records import Case, Effort

#: Jobs of one world.
GROUP = 25
POLICIES = ("planner", "informed", "one_step", "checklist", "likeliest")
#: Groups that one process plays, as a rule, before it is replaced.
_GROUPS_EACH = 4
#: Only perturbed worlds differ from what the planner is told.
_PERTURBED_ONLY = frozenset({"informed"})


@dataclass(frozen=True, slots=True)
class Plan:
    """What to simulate.

    ``on_hand`` are the parts on the van, None for those that the family says, or else all; ``effort`` is that of the
    planner.  With ``forecasts`` the planner's jobs keep what was believed
    (:class:`~probewright.simulation.play.Foreseen`).
    """

    jobs: int
    seed: int = 0
    perturb: bool = False
    policies: tuple[str, ...] = POLICIES
    effort: Effort = "quick"
    on_hand: tuple[str, ...] | None = None
    forecasts: bool = False

    @property
    def played(self) -> tuple[str, ...]:
        """The policies that these worlds give something to do."""
        return tuple(name for name in self.policies if self.perturb or name not in _PERTURBED_ONLY)


Carry = Callable[[Case], Collection[str]]
"""A case as it is known before the visit, to the parts that go along."""

Results = Mapping[str, tuple[Played, ...]]
"""Policy to its jobs, in order."""


def parts_on_hand(pack: LoadedPack, plan: Plan) -> tuple[str, ...] | None:
    """The parts on the van: those of the plan, or else of the family's van; None for all."""
    return pack.family.van if plan.on_hand is None else plan.on_hand


def simulate(
    pack: LoadedPack, settings: Settings, plan: Plan, workers: int = 1, carry: Carry | None = None,
) -> Results:  # fmt: skip
    """Play all jobs.

    Parameters
    ----------
    workers : int
        Processes; they need an operating system that can fork.
    carry : function of a case to parts, optional
        What to put on the van for a case as it is known before the visit; in place of the plan's ``on_hand``.

    Raises
    ------
    PackModelError
        When hardly any appliance of the family raises a complaint.
    """
    groups = range((plan.jobs + GROUP - 1) // GROUP)
    task = _Task(pack, settings, plan, carry)
    # Many perturbed worlds are kept in memory by the engine, so even one worker is a process that is replaced.
    apart = workers > 1 or plan.perturb
    if apart and len(groups) > 1 and "fork" in multiprocessing.get_all_start_methods():
        return _joined(plan, _in_processes(task, groups, min(workers, len(groups))))
    return _joined(plan, map(task.group, groups))


def _joined(plan: Plan, groups: Iterable[dict[str, list[Played]]]) -> Results:
    played: dict[str, list[Played]] = {name: [] for name in plan.played}
    for group in groups:
        for name, results in group.items():
            played[name] += results
    return {name: tuple(results) for name, results in played.items()}


class _Task:
    """Plays groups of jobs."""

    def __init__(self, pack: LoadedPack, settings: Settings, plan: Plan, carry: Carry | None = None) -> None:
        self.pack, self.settings, self.plan, self.carry = pack, settings, plan, carry
        self._own = World(pack.family, settings.misread_rate)
        self._policies = {
            name: self._policy(name, pack, settings) for name in plan.played if name not in _PERTURBED_ONLY
        }

    def group(self, number: int) -> dict[str, list[Played]]:
        """All jobs of one group under every policy."""
        try:
            return self._group(number)
        except RequestError as error:
            # Nothing that is drawn may be refused.  An error that carries records cannot be sent between processes.
            raise EngineError(f"a simulated job is refused: {error}") from None

    def _group(self, number: int) -> dict[str, list[Played]]:
        plan, world, deciding = self.plan, self._own, dict(self._policies)
        if plan.perturb:
            family = perturbed(self.pack.family, plan.seed, number)
            world = World(family, MISREAD)
            if "informed" in plan.played:
                knows = replace(self.settings, misread_rate=MISREAD)
                deciding["informed"] = self._policy("planner", replace(self.pack, family=family), knows)
        jobs = range(number * GROUP, min((number + 1) * GROUP, plan.jobs))
        drawn = [draw(world, plan.seed, job, OMISSIONS if plan.perturb else Omissions()) for job in jobs]
        on_hand = parts_on_hand(self.pack, plan)
        vans = [on_hand if self.carry is None else self.carry(job.case) for job in drawn]
        together = list(zip(drawn, vans, strict=True))
        return {
            name: [play(world, job, deciding[name], van, self._forecaster(name)) for job, van in together]
            for name in plan.played
        }

    def _forecaster(self, name: str) -> Forecaster | None:
        if not self.plan.forecasts or name != "planner":
            return None
        return partial(forecast, pack=self.pack, settings=self.settings)

    def _policy(self, name: str, pack: LoadedPack, settings: Settings) -> Policy:
        if name == "planner":
            return policies.planner(pack, settings, self.plan.effort)
        made = {"checklist": policies.checklist, "likeliest": policies.likeliest, "one_step": policies.one_step}
        return made[name](pack, settings)


_TASK: list[_Task] = []  # of a forked process, for a pack's hooks cannot be sent to one


def _begin(task: _Task) -> None:
    signal.signal(signal.SIGINT, signal.SIG_DFL)  # a terminal interrupts all of us, and only the parent says so
    _TASK.append(task)


def _group(number: int) -> dict[str, list[Played]]:
    return _TASK[-1].group(number)


def _in_processes(task: _Task, groups: Sequence[int], workers: int) -> list[dict[str, list[Played]]]:
    # Forked, so that hooks need no pickling.
    context, at_once = multiprocessing.get_context("fork"), workers * _GROUPS_EACH
    played: list[dict[str, list[Played]]] = []
    for start in range(0, len(groups), at_once):
        with ProcessPoolExecutor(workers, context, _begin, (task,)) as pool:
            try:
                played += pool.map(_group, groups[start : start + at_once])
            except BrokenProcessPool:
                told = "a process that plays jobs was ended: by a hook or law of the pack, or for want of memory"
                raise EngineError(told) from None
    return played
