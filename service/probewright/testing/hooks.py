"""Check: a pack's own validator and scorer give what the contract says, the same each time, and change nothing."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from probewright.intake import load_case
from probewright.packs.context import ReadingContext, ScoringBatch
from probewright.packs.digest import digest
from probewright.packs.registry import Scorer, Validators
from probewright.testing.subject import Subject, ask
from probewright_schemas.records import Finding

Rows = list[NDArray[np.float64] | None]
_CODE = re.compile(r"[a-z][a-z0-9]*(_[a-z0-9]+)*")
#: Log-likelihoods of a row that is scored alone and in a batch may differ by this, in nats.
_SAME = 1e-9


def keep_the_contract(subject: Subject) -> None:
    """Diagnose every sample case with hooks that are watched; with typical readings of everything, too."""
    pack = subject.loaded
    watched = replace(
        pack,
        validators=None if pack.validators is None else _watched_validator(pack.validators),
        scorer=None if pack.scorer is None else _watched_scorer(pack.scorer),
    )
    everything = [subject.typical.case(fault) for fault in subject.typical.builds]
    for document in (*subject.cases.values(), *everything):
        ask(load_case(document), watched)
    if digest(pack.family) != pack.digest:
        raise AssertionError("expected hooks to leave the family as it is, but one of its records was changed")


def _watched_validator(validate: Validators) -> Validators:
    def watched(context: ReadingContext) -> tuple[Finding, ...]:
        where, before = f"probewright_validate for test {context.test.id!r}", _written([context])
        found = validate(context)
        for finding in found:
            _check_finding(where, finding)
        if validate(context) != found:
            raise AssertionError(f"{where} gives other findings the second time: use the context alone, keep no state")
        if _written([context]) != before:
            raise AssertionError(f"{where} changes what it is given: make a copy of what you want to change")
        return found

    return watched


def _written(contexts: Sequence[ReadingContext]) -> str:
    """All that a hook is given but for the family, which is looked at once, at the end."""
    return repr([(c.case, c.reading, c.checked, dict(c.configuration)) for c in contexts])


def _check_finding(where: str, finding: Finding) -> None:
    if not _CODE.fullmatch(finding.code):
        raise AssertionError(f"{where} gives code {finding.code!r}; expected a snake_case name that stays the same")
    if not finding.message.strip():
        raise AssertionError(f"{where} gives a finding without a message; say what is wrong with the reading")


def _watched_scorer(score: Scorer) -> Scorer:
    def watched(batch: ScoringBatch) -> Sequence[object]:
        before = _written(batch.readings)
        rows = _rows(score, batch)
        if not _alike(rows, _rows(score, batch)):
            raise AssertionError(f"{_named(batch)} gives other scores the second time: keep no state")
        for index in range(len(batch.readings)):
            alone = _rows(score, _only(batch, index))
            if not _alike(rows[index : index + 1], alone):
                told = f"{_short(rows[index])} in a batch and {_short(alone[0])} alone: no row may depend on another"
                raise AssertionError(f"{_named(_only(batch, index))} gives {told}")
        if _written(batch.readings) != before:
            raise AssertionError(f"{_named(batch)} changes the readings it is given; only 'declared' is a copy")
        return rows

    return watched


def _named(batch: ScoringBatch) -> str:
    return f"the scorer for {', '.join(sorted({reading.test.id for reading in batch.readings}))}"


def _only(batch: ScoringBatch, index: int) -> ScoringBatch:
    return replace(batch, readings=batch.readings[index : index + 1], declared=batch.declared[index : index + 1].copy())


def _rows(score: Scorer, batch: ScoringBatch) -> Rows:
    """What the scorer gives for each row of a copy, checked."""
    given = score(replace(batch, declared=batch.declared.copy()))
    return [None if row is None else _checked(row, batch) for row in given]


def _checked(row: object, batch: ScoringBatch) -> NDArray[np.float64]:
    array, wanted = np.asarray(row), (len(batch.hypotheses),)
    if array.dtype != np.float64:
        raise AssertionError(f"{_named(batch)} gives numbers of type {array.dtype}; expected float64, in nats")
    if array.shape != wanted:
        raise AssertionError(f"{_named(batch)} gives shape {array.shape}; expected {wanted}, one for each hypothesis")
    if np.isnan(array).any() or (array == np.inf).any():
        raise AssertionError(f"{_named(batch)} gives NaN or +inf; expected finite numbers, -inf for what is impossible")
    return array


def _alike(rows: Rows, others: Rows) -> bool:
    return all(
        (a is None) == (b is None) and (a is None or b is None or np.allclose(a, b, rtol=0.0, atol=_SAME))
        for a, b in zip(rows, others, strict=True)
    )


def _short(row: NDArray[np.float64] | None) -> str:
    return "None" if row is None else np.array2string(row, precision=3, threshold=6)
