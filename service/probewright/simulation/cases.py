"""Draws cases with their readings, and what was truly wrong: something to try batches and re-evaluation on.

Each case is drawn by itself from names and the seed alone: the tenth is the same whether ten are drawn or a million.
The appliances and calls are those of :mod:`probewright.simulation.draw`; what a technician makes of them is not
planned but cheap: tests that bear on the complaint, now and then a part replaced for nothing, then the remedy.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from datetime import date, timedelta

from probewright.figures import invented
from probewright.packs.model import Repair, Test
from probewright.packs.registry import LoadedPack
from probewright.simulation.asking import Asking, chosen
from probewright.simulation.draw import Omissions, draw
from probewright.simulation.instruments import NAMES, Shop, wanted
from probewright.simulation.perturb import OMISSIONS
from probewright.simulation.play import cured_by
from probewright.simulation.readings import LOADING, METERS, Taking, misreads, take
from probewright.simulation.world import Job, World, Wrong
from probewright_schemas.records import Case, Effort, Meter, Reading, RepairDone

FEWEST, MOST = 3, 10
#: How often a test has nothing to do with the complaint.
OTHERS = invented(0.1)
#: How often a case tells of repairs, a part was replaced for nothing before them, and they took another day.
REPAIRED, SWAPPED, RETURNED = invented(0.4), invented(0.3), invented(0.3)
#: Days of the year in which the invented shop worked, and until it came again.
FIRST_DAY, DAYS, AWAY = date(2026, 1, 1), 365, 14
#: Readings after the last repair, where that leaves some before it.
_AFTERWARDS = 2


@dataclass(frozen=True, slots=True)
class Drawn:
    """A case, what was wrong before any repair, how the appliance was built, and which readings were misread.

    ``gains`` is how many times what was there each of its instruments shows, by its ``id`` and the kind of test; of the
    kinds that were read as numbers.
    """

    case: Case
    wrong: Wrong
    options: dict[str, str]
    misread: tuple[int, ...]
    gains: dict[str, dict[str, float]]


class Drawing:
    """A family, and how cases of it are drawn.

    Parameters
    ----------
    pack : LoadedPack
    seed : int
    misread : float
        Share of readings that are misread.
    omissions : Omissions
        What is not told, and how often.
    effort : str
        What the cases say of it.
    """

    def __init__(
        self, pack: LoadedPack, seed: int, misread: float, omissions: Omissions = OMISSIONS, effort: Effort = "none",
    ) -> None:  # fmt: skip
        self.world, self.seed, self.omissions, self.effort = World(pack.family, misread), seed, omissions, effort
        self.asking, self.shop = Asking(self.world), Shop(seed)

    def case(self, number: int) -> Drawn:
        """Draw the case of a number.

        Raises
        ------
        PackModelError
            When hardly any appliance of the family raises a complaint.
        """
        call = _Call(self, draw(self.world, self.seed, number, self.omissions))
        call.work()
        return call.drawn()


class _Call:
    """One job: what is done about it, and written down."""

    def __init__(self, of: Drawing, job: Job) -> None:
        self.of, self.world, self.job, self.wrong = of, of.world, job, job.wrong
        self.carried = of.shop.carried(job.luck)
        self.day = FIRST_DAY + timedelta(days=job.luck.below(DAYS, "day"))
        self.taken: Counter[str] = Counter()
        self.readings: list[Reading] = []
        self.misread: list[int] = []
        self.used: dict[str, Meter] = {}
        self.gains: dict[str, dict[str, float]] = {}
        self.done: list[RepairDone] = []
        self.fitted = 0
        self.later: date | None = None

    def work(self) -> None:
        """Make the tests, and in some jobs the repairs."""
        job, luck = self.job, self.job.luck
        count = FEWEST + luck.below(MOST - FEWEST + 1, "readings")
        repairs = self._repairs() if luck.uniform("repaired") < REPAIRED else []
        after = min(_AFTERWARDS, count - _AFTERWARDS) if repairs else 0
        called = self.of.asking.called(job.options, job.case.complaints[0])
        tests = chosen(called, count - after, float(OTHERS), luck)
        for test in tests:
            self._take(test)
        if repairs and luck.uniform("returned") < RETURNED:
            self.later = self.day + timedelta(days=1 + luck.below(AWAY, "away"))
        for repair in repairs:
            if self._repair(repair):
                break
        if self.done:
            self._look_after(tests, after)

    def _repairs(self) -> list[Repair]:
        """What is repaired, in this order: perhaps a part for nothing, and then what is wrong."""
        job, asking = self.job, self.of.asking
        found: list[Repair | None] = []
        if job.luck.uniform("swaps") < SWAPPED:
            found.append(asking.tempting(job.options, job.case.complaints[0], job.wrong.faults, job.luck))
        found += [asking.remedy(job.options, fault) for fault in job.wrong.faults]
        return list({repair.id: repair for repair in found if repair is not None}.values())

    def _repair(self, repair: Repair) -> bool:
        """Do a repair; whether the complaint is gone."""
        self.fitted += repair.part is not None
        self.wrong = self.wrong.without(cured_by(self.job, repair))
        remains = self.world.complains(self.job, self.wrong)
        self.done.append(RepairDone(repair.id, remains))
        return not remains

    def _look_after(self, tests: list[Test], most: int) -> None:
        """After the last repair: what closes it, and what had been read before."""
        last = {repair.id: repair for repair in self.world.family.repairs}[self.done[-1].repair]
        here = self.world.compiled(self.job.options).tests
        closings = {closing.id: closing.test for closing in self.world.family.closings}
        checks = [here[name] for name in map(closings.get, last.closing_checks) if name is not None and name in here]
        again = [test for test in reversed(tests) if test not in checks]
        for test in [*checks, *again][:most]:
            self._take(test)

    def _take(self, test: Test) -> None:
        done = len(self.done)
        after = self.done[-1].repair if done else None
        solved = bool(done) and not self.done[-1].complaint_remains
        taking = Taking(test, self.taken[test.id], None, after, done, self.fitted, solved)
        kind = None if taking.loading else wanted(test)
        instrument = None if kind is None else self.carried[kind]
        tool = None if instrument is None else instrument.tool(test.kind)
        reading = take(self.world, self.job, self.wrong, taking, tool)
        if taking.loading:
            self.used[LOADING] = METERS[LOADING]
        elif instrument is not None and kind is not None:
            self.used[NAMES[kind]] = instrument.meter
        if tool is not None and instrument is not None and not test.outcomes:
            self.gains.setdefault(str(instrument.meter.id), {})[test.kind] = tool.gain
        if misreads(self.world, self.job, taking):
            self.misread.append(len(self.readings))
        self.taken[test.id] += 1
        self.readings.append(reading if not done or self.later is None else replace(reading, day=self.later))

    def drawn(self) -> Drawn:
        """The case as it is written down, and what is true of it."""
        case = replace(
            self.job.case, reference=f"invented job {self.job.number}", meters=self.used,
            readings=tuple(self.readings), repairs_done=tuple(self.done), effort=self.of.effort, day=self.day,
        )  # fmt: skip
        return Drawn(case, self.job.wrong, dict(self.job.options), tuple(self.misread), self.gains)
