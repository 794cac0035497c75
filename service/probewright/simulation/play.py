"""Plays one job: a policy decides, the hidden appliance answers, the ledger charges."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection
from dataclasses import dataclass, replace

from probewright.circuit.parts import When, holds
from probewright.engine import Forecast
from probewright.packs.model import Repair, Test
from probewright.simulation.ledger import Ledger, remedy
from probewright.simulation.policies import Policy, Scene
from probewright.simulation.readings import METERS, Taking, seen, take, value
from probewright.simulation.world import Job, World, Wrong
from probewright_schemas.records import Case, RepairDone

#: Steps after which a job counts as given up: nobody goes on for ever.
MOST_STEPS = 60

Forecaster = Callable[[Case], Forecast]
"""What is believed of a case."""


@dataclass(frozen=True, slots=True)
class Foreseen:
    """What was believed at one moment of a job, and what was wrong with the appliance then."""

    forecast: Forecast
    wrong: Wrong


@dataclass(frozen=True, slots=True)
class Played:
    """How one policy fared with one job.

    ``ended`` is the last move: ``done``, ``refer`` or ``stop`` with its reason, or ``given_up``.  ``gone`` says that
    nothing complained of is left, ``resolved`` that the job was closed besides.  ``closing`` are the minutes of tests
    made when the complaint was gone, ``swapped`` the repairs that replaced good parts, ``steps`` what was done.
    ``decided`` is what was believed when the first repair was decided on, or to leave without one, and ``left`` when
    the job ended; None where nobody asked for it.
    """

    job: int
    wrong: str
    curable: bool
    hazardous: bool
    resolved: bool
    gone: bool
    first_visit: bool
    ended: str
    minutes: float
    closing: float
    cost: float
    tests: int
    repairs: int
    swapped: tuple[str, ...]
    steps: tuple[str, ...]
    decided: Foreseen | None = None
    left: Foreseen | None = None


def curable(world: World, job: Job) -> bool:
    """Whether listed repairs take away what the customer complains of: those that work on this very appliance."""
    able = {fault for repair in _repairs(world, job) for fault in cured_by(job, repair)}
    left = job.wrong.without(able)
    return not job.wrong.unknown and bool(job.wrong.faults) and not world.complains(job, left)


def cured_by(job: Job, repair: Repair) -> list[str]:
    """The faults that a repair cures on a job's appliance; the same each time that it is done."""
    return [fault for fault, cure in repair.cures.items() if job.luck.uniform("cures", repair.id, fault) < cure]


def hazardous(world: World, job: Job) -> bool:
    """Whether the appliance shows what an interlock stops the job for: then no first-visit repair is due."""
    tests = world.compiled(job.options).tests
    for lock in world.family.interlocks:
        for name, outcomes in lock.seen.items():
            if name in tests and tests[name].outcomes[seen(world, job, job.wrong, Taking(tests[name], 0))] in outcomes:
                return True
        for name, limit in lock.above.items():
            true = value(world, job, job.wrong, tests[name]) if name in tests else None
            if true is not None and true > limit:
                return True
    return False


def _repairs(world: World, job: Job) -> list[Repair]:
    return [world.compiled(job.options).repairs[name] for name in sorted(world.compiled(job.options).repairs)]


class _Play:
    """One job under one policy."""

    def __init__(self, world: World, job: Job, on_hand: Collection[str] | None) -> None:
        self.world, self.job, self.wrong = world, job, job.wrong
        self.case = replace(job.case, meters=METERS)
        self.ledger = Ledger(world.family)
        self.on_hand = None if on_hand is None else set(on_hand)
        self._tell_parts()
        self.first_visit = True
        self.taken: Counter[str] = Counter()
        self.swapped: list[str] = []
        self.steps: list[str] = []
        self.tests = {test.id: test for test in world.family.tests}
        self.repairs = {repair.id: repair for repair in world.family.repairs}
        self.after: str | None = None
        self.closing = 0.0
        self.fitted = 0
        self.confirmed: set[str] = set()

    def scene(self) -> Scene:
        compiled = self.world.compiled(self.job.options)
        return Scene(self.case, self.ledger, compiled.tests, _repairs(self.world, self.job))

    def reveal(self, when: When) -> bool:
        """Advice for another build: whoever stands before the appliance says which it is."""
        true = dict(self.job.options)
        if holds(when, true):
            return False
        seen_now = {o: true[o] for o in when if o in true and o not in self.case.options}
        self.case = replace(self.case, options={**self.case.options, **(seen_now or true)})
        return True

    def look(self, zones: Collection[str]) -> None:
        """Whoever takes a cover off sees how the appliance is built."""
        opened = {zone.id for zone in self.world.family.zones if zone.minutes > 0 or zone.steps}
        if not opened.isdisjoint(zones):
            self.case = replace(self.case, options=dict(self.job.options))

    def confirm(self, name: str) -> bool:
        """Make the readings that would clear a hazard once, for the one that raised it may be misread.

        False where nothing read raised it, or that was done before.
        """
        lock = next((lock for lock in self.world.family.interlocks if lock.id == name), None)
        if lock is None or name in self.confirmed or not set(lock.complaints).isdisjoint(self.case.complaints):
            return False
        self.confirmed.add(name)
        raising = [r.test for r in self.case.readings if r.test in lock.seen or r.test in lock.above]
        tests = self.world.compiled(self.job.options).tests
        for test in lock.cleared_by or dict.fromkeys(raising[-1:]):
            if test in tests:
                self.test(tests[test])
        return True

    def _tell_parts(self) -> None:
        if self.on_hand is not None:
            visit = replace(self.case.visit, parts_on_hand=tuple(sorted(self.on_hand)))
            self.case = replace(self.case, visit=visit)

    def test(self, test: Test) -> None:
        self.look([test.zone])
        before = self.ledger.minutes
        state = self.ledger.test(test)
        if self.scene().solved:
            self.closing += self.ledger.minutes - before
        repairs = len(self.case.repairs_done)
        taking = Taking(test, self.taken[test.id], state, self.after, repairs, self.fitted, self.scene().solved)
        reading = take(self.world, self.job, self.wrong, taking)
        self.taken[test.id] += 1
        self.case = replace(self.case, readings=(*self.case.readings, reading))

    def repair(self, repair: Repair) -> None:
        if repair.part is not None and self.on_hand is not None and repair.part not in self.on_hand:
            self.first_visit = False
            self.on_hand.add(repair.part)
            self._tell_parts()
            self.ledger.second_trip()
        self.look(repair.zones)
        self.ledger.repair(repair)
        self.fitted += repair.part is not None
        present = set(self.wrong.faults)
        if repair.part is not None and not any(cure > 0 and f in present for f, cure in repair.cures.items()):
            self.swapped.append(repair.id)
        self.wrong = self.wrong.without(cured_by(self.job, repair))
        done = RepairDone(repair.id, self.world.complains(self.job, self.wrong))
        self.case = replace(self.case, repairs_done=(*self.case.repairs_done, done))
        self.after = repair.id

    def foreseen(self, forecaster: Forecaster | None) -> Foreseen | None:
        return None if forecaster is None else Foreseen(forecaster(self.case), self.wrong)

    def remedies(self) -> list[Repair]:
        """What is still to be done about what the customer complains of; nothing where no fault is behind it."""
        world, job = self.world, self.job
        if not world.complains(job, self.wrong) or world.complains(job, Wrong()):
            return []
        left = [f for f in self.wrong.faults if world.complains(job, Wrong((f,)))] or self.wrong.faults
        found = [remedy(world.family, _repairs(world, job), fault) for fault in left]
        return list({repair.id: repair for repair in found if repair is not None}.values())


def play(
    world: World, job: Job, policy: Policy, on_hand: Collection[str] | None = None,
    forecaster: Forecaster | None = None,
) -> Played:  # fmt: skip
    """Play a job to its end.

    Parameters
    ----------
    on_hand : collection of str or None
        The parts on the van; None: all.
    forecaster : function of a case to a Forecast, optional
        Asked what is believed when the first repair is decided on and when the job ends.
    """
    game, ended, decided = _Play(world, job, on_hand), "given_up", None
    for _ in range(MOST_STEPS):
        move = policy(game.scene())
        if move.kind not in ("test", "repair") and move.id and game.confirm(move.id):
            continue
        if move.kind not in ("test", "repair"):
            ended = f"{move.kind}: {move.id}" if move.kind in ("stop", "refer") and move.id else move.kind
            break
        record = game.tests[move.id] if move.kind == "test" else game.repairs[move.id]
        if game.reveal(record.when):
            continue
        game.steps.append(move.id)
        if isinstance(record, Test):
            game.test(record)
        else:
            decided = decided or game.foreseen(forecaster)
            game.repair(record)
    left = game.foreseen(forecaster)
    return _closed(game, ended, decided or left, left)


def _closed(game: _Play, ended: str, decided: Foreseen | None, left: Foreseen | None) -> Played:
    """The bill, and how it went."""
    world, job = game.world, game.job
    gone = not world.complains(job, game.wrong)
    resolved = gone and ended == "done"
    if not resolved:
        game.ledger.unresolved(game.remedies())
    return Played(
        job.number, job.wrong.name, curable(world, job), hazardous(world, job), resolved, gone,
        resolved and game.first_visit, ended, game.ledger.minutes, game.closing, game.ledger.cost,
        sum(game.taken.values()), len(game.case.repairs_done), tuple(game.swapped), tuple(game.steps), decided, left,
    )  # fmt: skip
