"""Many cases of one pack in one go: evaluated together, then answered one by one, in whole or in brief."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple, TypeVar

import numpy as np

from probewright.engine.answers import LEAST_PROBABILITY, converted
from probewright.engine.machine import answered, machine_of
from probewright.errors import ProbewrightError
from probewright.inference.evaluate import Evaluation, evaluate_many
from probewright.packs.model import Family
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


class Brief:
    """What a diagnosis comes to, without its reasons: its members are as those of ``Diagnosis``.

    ``faults`` are without titles and evidence; ``readings`` without what is said of them, and with values in the test's
    own unit; and ``next`` is a hazard's step alone.
    """

    __slots__ = ("_case", "_evaluation", "faults", "next", "no_fault", "readings", "unexplained")

    def __init__(self, case: Case, evaluation: Evaluation, following: Step | None) -> None:
        self._case, self._evaluation = case, evaluation
        self.readings = evaluation.readings.told
        self.faults = ranked(evaluation)
        self.unexplained, self.no_fault = evaluation.unknown, evaluation.none
        self.next = following

    def checked(self, place: int, family: Family) -> CheckedReading:
        """All that is said of the reading at a place of the case, in the unit that it was given in."""
        checked = self._evaluation.readings.checked[place]
        [test] = [test for test in family.tests if test.id == checked.test]
        return converted(checked, self._case.readings[place].unit, test)


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
    interlocks = raised(pack.family, case, evaluation.readings.told)
    return Brief(case, evaluation, interlock_step(interlocks) if interlocks else None)


def ranked(evaluation: Evaluation) -> list[FaultChance]:
    """The faults that a diagnosis would tell, likeliest first."""
    present, names = evaluation.present, evaluation.faults
    kept = np.flatnonzero(present >= LEAST_PROBABILITY).tolist()
    chances = [FaultChance(names[i], chance) for i, chance in zip(kept, present[kept].tolist(), strict=True)]
    chances.sort(key=lambda told: (-told[1], told[0]))
    return chances
