"""The visit planned before anybody drives: what to ask, what to carry, who can go, and how long it takes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from probewright.engine.answers import assumptions
from probewright.engine.asking import Asker
from probewright.engine.machine import Machine, machine_of, problem_of
from probewright.engine.van import in_stock
from probewright.errors import Fault, InvalidCase
from probewright.inference.evaluate import Evaluation, evaluate
from probewright.inference.ids import Faults
from probewright.packs.model import Family
from probewright.packs.registry import LoadedPack
from probewright.planning.carrying import Bounds, Carrier
from probewright.planning.finish import ClosingState
from probewright.planning.following import Followed, follow
from probewright.planning.grouping import grouped
from probewright.planning.interlocks import raised
from probewright.planning.next_step import Job, lay_out
from probewright.planning.steps import interlock_step
from probewright.settings import Settings
from probewright_schemas.records import Case, PlannerNote
from probewright_schemas.visit_records import (
    FaultChance,
    PlannedPart,
    SkillChance,
    ToolChance,
    VisitMinutes,
    VisitPlan,
    VisitRequest,
)

#: Faults that are told.
MOST_FAULTS: Final = 5
#: Parts, instruments and skills that are less likely needed are not told, unless a part is carried.
LEAST: Final = 0.005
#: Share from which branches are advised on while it is only asked which parts come into question.
_COARSE: Final = 0.1
#: The range of the minutes: one visit in ten takes less, and one in ten takes more.
LOW, HIGH = 0.1, 0.9


def plan_visit(request: VisitRequest, pack: LoadedPack, settings: Settings) -> VisitPlan:
    """Plan a visit.

    What is on the family's van goes along whatever is chosen: it counts toward no budget and no number of parts.
    ``expected_cost``, ``first_visit_probability`` and the first work of ``order`` are what :func:`diagnose` says of the
    same case with the carried parts, and the rest of the van, at hand.  Where an interlock holds nothing is planned:
    ``stop`` is all there is.

    Raises
    ------
    InvalidCase
        When the request names what the family does not have, or gives a reading of what is not looked at.
    PackModelError
        As :func:`diagnose`.
    """
    machine, family, case = machine_of(pack), pack.family, in_stock(request.case(), pack.family)
    evaluation = evaluate(case, machine.store, machine.rules(settings))
    _check(request, family)
    interlocks = raised(family, case, evaluation.readings.checked)
    complained = [caution for c in family.complaints if c.id in case.complaints for caution in c.cautions]
    plan = VisitPlan(
        pack.identity,
        family.notice,
        case.reference,
        likeliest=_likeliest(evaluation, family),
        cautions=tuple(dict.fromkeys((*complained, *family.cautions))),
        assumptions=assumptions(case, evaluation.readings, family),
    )
    if interlocks:
        return replace(plan, stop=interlock_step(interlocks))
    return _planned(plan, request, case, machine, evaluation, settings)


def parts_to_carry(request: VisitRequest, pack: LoadedPack, settings: Settings) -> tuple[str, ...]:
    """The parts that :func:`plan_visit` carries, by id, without the rest of the plan; none where a hazard stops it.

    Raises
    ------
    InvalidCase, PackModelError
        As :func:`plan_visit`.
    """
    machine, case = machine_of(pack), in_stock(request.case(), pack.family)
    evaluation = evaluate(case, machine.store, machine.rules(settings))
    _check(request, pack.family)
    if raised(pack.family, case, evaluation.readings.checked):
        return ()
    return tuple(sorted(_load(request, case, machine, evaluation, settings).chosen))


def _check(request: VisitRequest, family: Family) -> None:
    """Readings are of what is looked at, and questions asked are the family's."""
    kinds, faults = {test.id: test.kind for test in family.tests}, Faults()
    for i, reading in enumerate(request.readings):
        if kinds[reading.test] != "seen":
            told = f"test {reading.test!r} is measured; before the visit only what was seen counts"
            faults.found.append(Fault(f"/readings/{i}/test", told, "not_seen"))
    known = [question.id for question in family.questions]
    for i, name in enumerate(request.asked):
        if name not in known:
            faults.unknown(f"/asked/{i}", "question", name, known)
    if faults.found:
        raise InvalidCase(faults.found)


def _likeliest(evaluation: Evaluation, family: Family) -> tuple[FaultChance, ...]:
    titles = {fault.id: fault.title for fault in family.faults}
    ranked = sorted(zip(evaluation.present.tolist(), evaluation.faults, strict=True), key=lambda x: (-x[0], x[1]))
    return tuple(FaultChance(fault, titles[fault], round(chance, 4)) for chance, fault in ranked[:MOST_FAULTS])


@dataclass(frozen=True, slots=True, eq=False)
class _Load:
    """The parts that are carried, how likely each part is used when all are at hand, and what plans with parts."""

    carrier: Carrier
    used: Mapping[str, float]
    chosen: frozenset[str]


def _load(
    request: VisitRequest, case: Case, machine: Machine, evaluation: Evaluation, settings: Settings,
) -> _Load:  # fmt: skip
    family, named = machine.pack.family, case.visit.parts_on_hand
    stock = [part.id for part in family.parts] if named is None else list(named)
    job = lay_out(problem_of(machine, case, evaluation, ClosingState(), settings))
    carrier = Carrier(job, stock, family.van or ())
    used = follow(carrier.with_parts(frozenset(stock)), _COARSE).parts
    return _Load(carrier, used, carrier.choose(used, Bounds(request.budget, request.most_parts)))


def _planned(
    plan: VisitPlan, request: VisitRequest, case: Case, machine: Machine, evaluation: Evaluation, settings: Settings,
) -> VisitPlan:  # fmt: skip
    load = _load(request, case, machine, evaluation, settings)
    carrier, first = load.carrier, load.carrier.plan(load.chosen)
    job = carrier.with_parts(load.chosen)
    followed = follow(job)
    return replace(
        plan,
        questions=Asker(machine, case, evaluation, settings).questions(request.asked),
        parts=_parts(load, machine.pack.family),
        tools=tuple(ToolChance(name, chance) for name, chance in _ranked(followed.tools)),
        skills=tuple(SkillChance(name, chance) for name, chance in _ranked(followed.skills)),
        minutes=_minutes(followed),
        first_visit_probability=round(first.fixed, 4),
        expected_cost=round(first.cost, 2),
        order=grouped(job.problem.model, followed.works),
        planner=_note(carrier, job),
    )


def _minutes(followed: Followed) -> VisitMinutes:
    return VisitMinutes(
        round(followed.expected_minutes, 1),
        round(followed.quantile(LOW), 1),
        round(followed.quantile(HIGH), 1),
        round(float(followed.probability @ followed.closing), 1),
    )


def _ranked(chances: Mapping[str, float]) -> list[tuple[str, float]]:
    order = sorted(chances.items(), key=lambda item: (-round(item[1], 4), item[0]))
    return [(name, round(min(1.0, chance), 4)) for name, chance in order if chance >= LEAST]


def _parts(load: _Load, family: Family) -> tuple[PlannedPart, ...]:
    """The carried parts and those that the job may want, the likeliest first."""
    carrier, chosen, used = load.carrier, load.chosen, load.used
    titles = {part.id: part.title for part in family.parts}
    picked = chosen - carrier.van  # of what is on the van anyway only what the job may want is told
    told = {part: used.get(part, 0.0) for part in {*picked, *(p for p, c in used.items() if c >= LEAST)}}
    order: Sequence[str] = sorted(told, key=lambda part: (-round(told[part], 4), part))
    return tuple(
        PlannedPart(
            part,
            titles[part],
            round(carrier.price[part], 2),
            part in chosen,
            round(min(1.0, told[part]), 4),
            round(carrier.plan(chosen | {part}).fixed, 4),
            round(carrier.plan(chosen - {part}).fixed, 4),
            part in carrier.van,
        )
        for part in order
    )


def _note(carrier: Carrier, job: Job) -> PlannerNote:
    fell_back = job.frame.search.choose("quick").fell_back
    why = "the search came to its bound; what was left was priced by repairs alone, which is never too low"
    method = f"rollout, quick, with {carrier.plans} sets of parts"
    return PlannerNote(method, fell_back, why if fell_back else None)
