"""Answers for one pack: its models compiled when first needed and kept as long as the pack."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from probewright.engine.answers import (
    assumptions,
    clashes_but_hazards,
    in_given_units,
    open_configurations,
    ranked_faults,
)
from probewright.engine.beliefs import belief, likely, teller
from probewright.engine.identity import computation
from probewright.engine.scores import hypotheses, scored
from probewright.engine.van import assumed, at_hand
from probewright.inference.configurations import configurations
from probewright.inference.evaluate import Evaluation, Readings, Rules, evaluate, read
from probewright.inference.evidence import Evidence, tell
from probewright.inference.outcomes import Axes, Tables, shared_stacks
from probewright.inference.scoring import replace_scores
from probewright.inference.store import ModelStore
from probewright.packs.model import Interlock
from probewright.packs.registry import LoadedPack
from probewright.planning.finish import ClosingState, closing_state
from probewright.planning.interlocks import raised
from probewright.planning.model import PlanningModel, compile_model
from probewright.planning.next_step import Job, Plan, Problem, lay_out, plan
from probewright.planning.steps import interlock_step
from probewright.settings import Settings
from probewright_schemas.records import Case, Diagnosis, ReadingsReport, ScoreReport

#: Packs whose compiled models are kept.
_MOST_PACKS = 64
#: A fault that is likely enough to be looked for, and odds that are.
_LIKELY = 0.3
_LIKELY_ODDS = _LIKELY / (1 - _LIKELY)
_TINY = 1e-12


class Machine:
    """The compiled models of one pack."""

    def __init__(self, pack: LoadedPack) -> None:
        self.pack = pack
        self.store = ModelStore(pack.family)
        axes = Axes()
        self.tables = lru_cache(maxsize=64)(lambda compiled: Tables(compiled, axes))
        self.stacks = lru_cache(maxsize=64)(shared_stacks)
        self.planning = lru_cache(maxsize=128)(self._planning)

    def _planning(self, options: tuple[tuple[str, str | None], ...], faults: tuple[str, ...]) -> PlanningModel:
        return compile_model(self.pack.family, dict(options), faults)

    def rules(self, settings: Settings) -> Rules:
        """What the deployment and the pack set."""
        return Rules(settings.thresholds, settings.misread_rate, self.pack.validators, self.pack.scorer)


@lru_cache(maxsize=_MOST_PACKS)
def machine_of(pack: LoadedPack) -> Machine:
    """The machine of a loaded pack."""
    return Machine(pack)


def warm_up(pack: LoadedPack, settings: Settings) -> None:
    """Answer a case of a pack's likeliest build, so that the first case does not wait for what that compiles."""
    configuration = configurations(pack.family, {})[0]
    complaints = tuple(machine_of(pack).store.compiled(configuration).complaints)[:1]
    case = Case(pack.family.id, options=configuration.options, complaints=complaints, effort="thorough")
    diagnose(case, pack, settings)


def diagnose(case: Case, pack: LoadedPack, settings: Settings) -> Diagnosis:
    """Answer a case: checked readings, ranked faults, and (unless ``effort`` is ``none``) the next step.

    A hazard is named whatever the effort.

    Raises
    ------
    InvalidCase
        When the case names what the family does not have; every place is listed.
    PackModelError
        When the pack's own hooks or wiring break their contract.
    """
    machine = machine_of(pack)
    return answered(case, evaluate(case, machine.store, machine.rules(settings)), pack, settings)


def answered(case: Case, evaluation: Evaluation, pack: LoadedPack, settings: Settings) -> Diagnosis:
    """The answer to a case that was evaluated; raises as :func:`diagnose`."""
    machine, family = machine_of(pack), pack.family
    interlocks = raised(family, case, evaluation.readings.checked)
    steps = _plan(machine, case, evaluation, interlocks, settings)
    told = assumptions(case, evaluation.readings, family) + (assumed(case, family) if steps else ())
    complained = [caution for c in family.complaints if c.id in case.complaints for caution in c.cautions]
    cautions = (*complained, *(steps.next.cautions if steps else ()), *family.cautions)
    return Diagnosis(
        pack=pack.identity,
        readings=in_given_units(case, family, evaluation.readings),
        faults=ranked_faults(evaluation, family),
        unexplained=evaluation.unknown,
        no_fault=evaluation.none,
        notice=family.notice,
        reference=case.reference,
        configurations=open_configurations(case, evaluation),
        clashes=clashes_but_hazards(evaluation, interlocks),
        next=steps.next if steps else None,
        alternatives=steps.alternatives if steps else (),
        parts=steps.parts if steps else (),
        closing_checks=steps.closing_checks if steps else (),
        planner=steps.planner if steps else None,
        outlook=steps.outlook if steps else None,
        cautions=tuple(dict.fromkeys(cautions)),
        assumptions=told,
        computation=computation(case, pack, settings),
    )


def laid_out(case: Case, pack: LoadedPack, settings: Settings) -> Job | None:
    """A case as the planner sees it, for whoever wants to decide in another way; None while an interlock holds.

    Raises
    ------
    InvalidCase, PackModelError
        As :func:`diagnose`.
    """
    machine = machine_of(pack)
    evaluation = evaluate(case, machine.store, machine.rules(settings))
    if raised(pack.family, case, evaluation.readings.checked):
        return None
    closing = closing_state(pack.family, case, evaluation.readings.checked, settings.thresholds)
    return lay_out(problem_of(machine, at_hand(case, pack.family), evaluation, closing, settings))


def _plan(
    machine: Machine, case: Case, evaluation: Evaluation, interlocks: Sequence[Interlock], settings: Settings,
) -> Plan | None:  # fmt: skip
    readings = evaluation.readings
    if case.effort == "none":
        return Plan(interlock_step(interlocks)) if interlocks else None
    closing = closing_state(machine.pack.family, case, readings.checked, settings.thresholds)
    if interlocks:
        return Plan(interlock_step(interlocks), closing_checks=closing.records)
    return plan(problem_of(machine, at_hand(case, machine.pack.family), evaluation, closing, settings))


def problem_of(
    machine: Machine, case: Case, evaluation: Evaluation, closing: ClosingState, settings: Settings,
) -> Problem:  # fmt: skip
    """What planning is asked."""
    readings = evaluation.readings
    builds = readings.opened.builds
    tables = tuple(machine.tables(builds[i].compiled) for i in likely(evaluation))
    stacks = machine.stacks(tables, settings.misread_rate, supply_known=readings.supply is not None)
    model = machine.planning(_known_options(machine, readings), evaluation.faults)
    believed = belief(evaluation, stacks, teller(case, evaluation))
    clashing = frozenset(source for clash in evaluation.clashes for source in clash.sources)
    return Problem(model, believed, case, readings.checked, closing, clashing, _deciding(evaluation))


def _deciding(evaluation: Evaluation) -> frozenset[str]:
    """The pieces of evidence without which some fault would be likely, though it is not."""
    present = np.clip(evaluation.present, _TINY, 1 - _TINY)
    without = present / (1 - present) * 10.0 ** (-evaluation.decibans / 10)
    decides = (without >= _LIKELY_ODDS) & (evaluation.present < _LIKELY)
    return frozenset(evaluation.sources[i] for i in np.flatnonzero(decides.any(axis=1)).tolist())


def _known_options(machine: Machine, readings: Readings) -> tuple[tuple[str, str | None], ...]:
    """Each option that any open build has: its value, or None where builds differ."""
    builds = [build.compiled.configuration for build in readings.opened.builds]
    if len(builds) == 1:
        return tuple(sorted(builds[0].items()))
    values = {o.id: {b.get(o.id) for b in builds} for o in machine.pack.family.options}
    return tuple((o, next(iter(v)) if len(v) == 1 else None) for o, v in sorted(values.items()) if v != {None})


def check_readings(case: Case, pack: LoadedPack, settings: Settings) -> ReadingsReport:
    """Validate a case's readings, and nothing else.

    Raises
    ------
    InvalidCase, PackModelError
        As :func:`diagnose`.
    """
    machine = machine_of(pack)
    readings = read(case, machine.store, machine.rules(settings))
    told = assumptions(case, readings, pack.family)
    return ReadingsReport(
        pack.identity, in_given_units(case, pack.family, readings), pack.family.notice, case.reference, told
    )


def score_readings(case: Case, pack: LoadedPack, settings: Settings) -> ScoreReport:
    """Log-likelihoods of each usable reading under no fault, each single fault, and something unknown.

    Where options are open the likelihoods are averaged over the builds that have the fault, by their shares.

    Raises
    ------
    InvalidCase, PackModelError
        As :func:`diagnose`.
    """
    machine = machine_of(pack)
    rules = machine.rules(settings)
    readings = read(case, machine.store, rules)
    evidence = Evidence(readings.opened, (), (), readings.supply, readings.weighed)
    pieces = evidence.pieces(tell([evidence], rules.misread)[0], rules.misread)
    pieces = replace_scores(pieces, readings.opened.builds, readings.contexts, rules.scorer)
    skipped = tuple(checked for checked in readings.checked if checked.verdict == "rejected")
    scores = scored(readings, pieces)
    return ScoreReport(pack.identity, hypotheses(readings), scores, pack.family.notice, skipped, case.reference)
