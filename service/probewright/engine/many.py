"""Many cases of one pack in one go."""

from __future__ import annotations

from collections.abc import Sequence

from probewright.engine.machine import diagnose
from probewright.errors import ProbewrightError
from probewright.packs.registry import LoadedPack
from probewright.settings import Settings
from probewright_schemas.records import Case, Diagnosis


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
    answers: list[Diagnosis | ProbewrightError] = []
    for case in cases:
        try:
            answers.append(diagnose(case, pack, settings))
        except ProbewrightError as error:
            answers.append(error)
    return answers
