"""Draws jobs: an appliance with something wrong, and what its owner says of it.

An appliance is drawn from the family's options, supplies, temperatures and hypotheses; every complaint that stands on
one is a call, and the jobs are such calls, all equally likely.  That is the world that the likelihoods of complaints
describe: what a customer does not speak of says nothing.  So the shop asks about functions, and writes down either
answer; complaints of anything else come up by themselves only where that is asked for (:attr:`Omissions.unasked`), for
then silence does tell something.  Calls that an interlock ends on the telephone (a smell of gas) are left out: no
policy has anything to decide there.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from probewright.circuit.lattice import POINTS
from probewright.circuit.parts import holds
from probewright.errors import PackModelError
from probewright.figures import from_memory
from probewright.inference.compiled import WRONG_REPORT, Compiled
from probewright.simulation.luck import Luck
from probewright.simulation.readings import Taking, take
from probewright.simulation.world import Job, World, Wrong
from probewright_schemas.records import Case, Conditions, Quantity

Array = NDArray[np.float64]

#: How often a customer mentions another complaint of what was called about, and is asked whether a function works.
MENTIONED = from_memory(0.3)
CONFIRMED = from_memory(0.3)
#: Complaints that an average appliance may raise; with more, appliances that raise many are met a little too seldom.
_MOST_COMPLAINTS = 1.0
_TRIALS = 100_000
#: The "time" of a reading that was taken before all those of the visit, by somebody else.
_BEFORE_THE_VISIT = -1


@dataclass(frozen=True, slots=True)
class Omissions:
    """How often something is not told: the temperature at the parts, the supply voltage, and each option.

    ``unasked`` is how often a complaint that stands comes up though nobody asks: one that does not come up is then one
    that less likely stands, which the engine does not reckon with.
    """

    ambient: float = 0.0
    supply: float = 0.0
    option: float = 0.0
    unasked: float = 0.0


def draw(world: World, seed: int, number: int, omissions: Omissions) -> Job:
    """Draw a job.

    Raises
    ------
    PackModelError
        When hardly any appliance of the family raises a complaint.
    """
    luck = Luck(seed, number)
    for trial in range(_TRIALS):
        job = _appliance(world, luck, number, trial)
        drawn = _call(world, job, trial)
        if drawn is not None:
            return _told(world, drawn, omissions)
    raise PackModelError(
        f"family {world.family.id!r}: of {_TRIALS} simulated appliances none raised a complaint: "
        "the rates of its faults and the chances of its complaints leave nothing to call about"
    )


def _appliance(world: World, luck: Luck, number: int, trial: int) -> Job:
    """An appliance with nothing wrong yet; how warm it is, only those about which somebody calls need."""
    family = world.family
    options: dict[str, str] = {}
    for option in family.options:
        if holds(option.when, options):
            value = luck.pick([float(v.share) for v in option.values], "option", option.id, trial)
            options[option.id] = option.values[value].id
    supply = luck.below(POINTS, "supply", trial)
    return Job(number, tuple(sorted(options.items())), Wrong(), supply, 0.0, luck, Case(family.id))


def _call(world: World, job: Job, trial: int) -> Job | None:
    """Something wrong with the appliance and the complaint that is made of it, or None when there is none."""
    compiled = world.compiled(job.options)
    names, calls = world.calls(job.options, job.supply)
    if job.luck.uniform("calls", trial) >= float(calls.sum()) / _MOST_COMPLAINTS:
        return None
    # First the complaint, then what is wrong, by what the number has left.
    left = job.luck.uniform("wrong", trial) * float(calls.sum())
    place = min(int(np.searchsorted(np.cumsum(calls), left, side="right")), len(names) - 1)
    complaint, left = names[place], left - float(calls[:place].sum())
    joint = world.caused(job.options, complaint, job.supply)
    hypothesis = min(int(np.searchsorted(np.cumsum(joint), left, side="right")), len(joint) - 1)
    unknown = hypothesis == len(joint) - 1
    wrong = Wrong((), True) if unknown else Wrong(compiled.hypotheses.set_of(hypothesis))
    ambient = float(world.family.ambient.quantile(np.array(job.luck.uniform("ambient", trial))))
    job = replace(job, wrong=wrong, ambient=ambient, case=replace(job.case, complaints=(complaint,)))
    return replace(job, luck=replace(job.luck, fixed=_why(world, compiled, job, trial)))


def _why(world: World, compiled: Compiled, job: Job, trial: int) -> dict[tuple[str | int, ...], float]:
    """Uniforms under which the complaint stands: it shows by itself, or its function fails, or it has no ground."""
    (complaint,), luck = job.case.complaints, job.luck
    record = compiled.complaints[complaint]
    shown = world.shown(compiled, job.wrong, complaint)
    works, if_failed, if_working = 1.0, 0.0, float(record.if_working)
    if record.function in compiled.functions:
        supply = float(world.volts[job.supply])
        works = float(compiled.working(str(record.function), supply)[world.place(job.options, job.wrong)])
        if_failed = float(record.if_failed if record.if_failed is not None else record.if_working)
    ways = (shown, (1 - shown) * (1 - works) * if_failed, (1 - shown) * works * if_working)
    if not sum(ways):  # a complaint that the engine allows against all reason: it never goes
        return {("shows", complaint): 1.0, ("says", complaint): 0.0}
    way = luck.pick(ways, "why", trial)

    def between(low: float, high: float, label: str) -> float:
        return low + (high - low) * luck.uniform("within", label, trial)

    if way == 0:
        return {("shows", complaint): between(0.0, shown, "shows")}
    fixed: dict[tuple[str | int, ...], float] = {
        ("shows", complaint): between(shown, 1.0, "shows"),
        ("says", complaint): between(0.0, if_failed if way == 1 else if_working, "says"),
    }
    if record.function in compiled.functions:
        low, high = (works, 1.0) if way == 1 else (0.0, works)
        fixed["works", str(record.function)] = between(low, high, "works")
    return fixed


def _told(world: World, job: Job, omissions: Omissions) -> Job:
    """What the shop writes down: more complaints, what works, the build, and the conditions."""
    compiled, luck = world.compiled(job.options), job.luck
    (first,) = job.case.complaints
    asked = _asked(world, job)
    others = [
        c for c in sorted(compiled.complaints)
        if c != first and c not in world.alone
        and (compiled.complaints[c].function in asked or _mentioned(world, job, c, omissions.unasked))
        and world.stands(job, job.wrong, c)
    ]  # fmt: skip
    complaints = (first, *others)
    denied = {compiled.complaints[c].function for c in complaints}
    working = tuple(f for f in sorted(asked) if f not in denied and _says_it_works(world, job, f))
    options = {o: v for o, v in job.options if luck.uniform("gives", o) >= omissions.option}
    conditions = _conditions(world, job, omissions)
    forgets = frozenset({"ambient"}) if conditions.ambient is None else frozenset[str]()
    case = Case(
        world.family.id, f"job {job.number}", options, complaints, working, conditions
    )
    return replace(job, case=case, forgets=forgets)


def _asked(world: World, job: Job) -> frozenset[str]:
    """The functions that the shop asks about: those of which it can write down either answer.

    Were only one of the two written down, silence would tell the other, and the engine hears nothing in silence.
    """
    compiled = world.compiled(job.options)
    told = compiled.complaints[job.case.complaints[0]].function
    both = {c.function for c in compiled.complaints.values() if c.id not in world.alone and c.function != told}
    return frozenset(f for f in compiled.functions if f in both and job.luck.uniform("asked", f) < CONFIRMED)


def _mentioned(world: World, job: Job, complaint: str, unasked: float) -> bool:
    """Whether a customer mentions a complaint that nobody asks about, should it stand."""
    records = world.compiled(job.options).complaints
    function = records[complaint].function
    about_the_first = function is not None and function == records[job.case.complaints[0]].function
    return job.luck.uniform("mentions", complaint) < (MENTIONED if about_the_first else unasked)


def _says_it_works(world: World, job: Job, function: str) -> bool:
    mistaken = job.luck.uniform("mistaken", function) < WRONG_REPORT
    return world.works(job, job.wrong, function) != mistaken


def _conditions(world: World, job: Job, omissions: Omissions) -> Conditions:
    ambient = supply = None
    if job.luck.uniform("gives ambient") >= omissions.ambient:
        ambient = Quantity(round(job.ambient, 1), "degC")
    if job.luck.uniform("gives supply") >= omissions.supply:
        supply = _stated_supply(world, job)
    return Conditions(ambient, supply)


def _stated_supply(world: World, job: Job) -> Quantity:
    """The supply as the shop was told it: a reading like any other, where the family has a test for it."""
    compiled = world.compiled(job.options)
    for test in world.family.tests:
        if test.measures == "supply_voltage" and test.id in compiled.tests:
            read = take(world, job, job.wrong, Taking(test, _BEFORE_THE_VISIT))
            return Quantity(float(read.value or 0.0), str(test.unit))
    return Quantity(round(world.supply_voltage(job, job.wrong), 1), "V")
