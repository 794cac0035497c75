"""Many cases of one pack in one go: evaluated together, then answered one by one, in whole or in brief."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import NamedTuple, TypeVar

from probewright.engine.answers import LEAST_PROBABILITY, in_given_units
from probewright.engine.machine import answered, machine_of
from probewright.errors import ProbewrightError
from probewright.inference.evaluate import Evaluation, evaluate_many
from probewright.packs.registry import LoadedPack
from probewright.planning.interlocks import raised
from probewright.planning.steps import interlock_step
from probewright.settings import Settings
from probewright_schemas.records import Case, CheckedReading, Diagnosis, Step

T = TypeVar("T")


class FaultChance(NamedTuple):
    """A fault and how likely it is present."""

    fault: str
    probability: float


@dataclass(slots=True)  # not frozen: made too often for what freezing costs
class Brief:
    """What a diagnosis comes to, without its reasons: its members are as those of ``Diagnosis``.

    ``faults`` are without titles and evidence, and ``next`` is a hazard's step alone.
    """

    readings: tuple[CheckedReading, ...]
    faults: tuple[FaultChance, ...]
    unexplained: float
    no_fault: float
    next: Step | None


def diagnose_many(
    cases: Sequence[Case], pack: LoadedPack, settings: Settings,
) -> list[Diagnosis | ProbewrightError]:  # fmt: skip
    """Answer cases of one family; the same bits as :func:`probewright.engine.diagnose` gives for each.

    Parameters
    ----------
    cases : sequence of Case
        All of the pack's family.

    Returns
    -------
    list of Diagnosis or ProbewrightError
        One for each case: an error in the place of an answer, so that one bad case does not cost the others theirs.
    """
    return _each(cases, pack, settings, lambda case, found: answered(case, found, pack, settings))


def brief_many(
    cases: Sequence[Case], pack: LoadedPack, settings: Settings,
) -> list[Brief | ProbewrightError]:  # fmt: skip
    """As :func:`diagnose_many` with effort ``none``, but only what the answers come to."""
    return _each(cases, pack, settings, lambda case, found: _brief(case, found, pack))


def _each(
    cases: Sequence[Case], pack: LoadedPack, settings: Settings, answer: Callable[[Case, Evaluation], T],
) -> list[T | ProbewrightError]:  # fmt: skip
    machine = machine_of(pack)
    answers: list[T | ProbewrightError] = []
    for case, found in zip(cases, evaluate_many(cases, machine.store, machine.rules(settings)), strict=True):
        if isinstance(found, ProbewrightError):
            answers.append(found)
            continue
        try:
            answers.append(answer(case, found))
        except ProbewrightError as error:
            answers.append(error)
    return answers


def _brief(case: Case, evaluation: Evaluation, pack: LoadedPack) -> Brief:
    interlocks = raised(pack.family, case, evaluation.readings.checked)
    return Brief(
        in_given_units(case, pack.family, evaluation.readings),
        ranked(evaluation),
        evaluation.unknown,
        evaluation.none,
        interlock_step(interlocks) if interlocks else None,
    )


def ranked(evaluation: Evaluation) -> tuple[FaultChance, ...]:
    """The faults that a diagnosis would tell, likeliest first."""
    chances = map(FaultChance, evaluation.faults, evaluation.present.tolist())
    return tuple(sorted((c for c in chances if c[1] >= LEAST_PROBABILITY), key=lambda c: (-c[1], c[0])))
