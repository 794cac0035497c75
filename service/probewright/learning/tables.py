"""Outcome tables from closed jobs.

A row of a stated table says what is seen of a test under one fault, or on a sound appliance.  What was seen in jobs
with just that fault proven is a sample of it, as long as nothing else had a hand in it:

- the first look before any repair counts, and of each job one: looks of the same eyes at the same thing are no two
  samples;
- jobs in which exactly one fault was proven count for its row, and jobs in which nothing was wrong for the sound one.
  Two faults at once show the worse of both, and something unknown anything;
- the table is the one that holds in the builds that the job's options leave open, in all of them;
- where the table says what is seen without something that the test needs (no supply, no spark), jobs count only for
  faults under which that is there.

That a test was done at all depends on what was seen before, not on what it was going to show: given the fault, and as
long as every job is recorded, the counts are a fair sample.  The row is then the Dirichlet posterior mean, the pack's
own row being worth :data:`ROW_WEIGHT` looks.  Rows with fewer than :data:`LEAST_LOOKS` stay as they are, and circuits
always do: what a circuit gives is computed.  Misread looks count as they were read; the share that the engine allows
for them is less than such counts can tell.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from probewright.circuit.parts import When
from probewright.inference.chances import NO_METER
from probewright.inference.configurations import Configuration, configurations
from probewright.inference.situation import Situation
from probewright.inference.store import ModelStore
from probewright.learning.dirichlet import posterior_mean
from probewright.learning.jobs import Job, Options
from probewright.packs.model import Table, Test
from probewright_schemas.closed import UNKNOWN

Array = NDArray[np.float64]

#: Looks that a row of the pack is worth.
ROW_WEIGHT = 10.0
#: Looks without which a row stays as it is.
LEAST_LOOKS = 10
#: What a need that is not met may change of a row's probabilities, at most.
_NEXT_TO_NOTHING = 0.01


@dataclass(frozen=True, slots=True)
class Row:
    """A row of a table before and after; ``fault`` is None for the sound one, ``when`` the table's own.

    ``looks`` counts each outcome, in the order of the test's.
    """

    test: str
    fault: str | None
    when: When
    outcomes: tuple[str, ...]
    before: tuple[float, ...]
    after: tuple[float, ...]
    looks: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Rows:
    """Learned rows, in the order of the family's tests; ``few`` are those with some looks, but too few."""

    learned: tuple[Row, ...]
    few: tuple[Row, ...]


_Key = tuple[str, int, str | None]
"""Test, place of its model, fault."""


def learn_rows(jobs: Sequence[Job], store: ModelStore, weight: float = ROW_WEIGHT) -> Rows:
    """Learn rows of outcome tables; see the module.

    Parameters
    ----------
    jobs : sequence of Job
        The order does not matter.
    store : ModelStore
        Of the family as it is.
    weight : float
        How many looks a row of the pack is worth; more than 0.

    Raises
    ------
    ValueError
        When the weight is not positive.
    """
    looks = _looks(jobs, store)
    rows = [
        _row(test, place, fault, looks[test.id, place, fault], weight)
        for test in store.family.tests
        for place, model in enumerate(test.models)
        if isinstance(model, Table)
        for fault in (None, *model.by_fault)
        if (test.id, place, fault) in looks
    ]
    enough = [sum(row.looks) >= LEAST_LOOKS for row in rows]
    return Rows(
        tuple(row for row, e in zip(rows, enough, strict=True) if e),
        tuple(row for row, e in zip(rows, enough, strict=True) if not e),
    )


def _looks(jobs: Sequence[Job], store: ModelStore) -> Mapping[_Key, Counter[str]]:
    """What was seen of each row."""
    pure = Counter(
        (job.options, job.proven[0] if job.proven else None, test, seen)
        for job in jobs
        if len(job.proven) <= 1 and UNKNOWN not in job.proven
        for test, seen in job.seen
    )
    sample = lru_cache(maxsize=None)(_Samples(store).place)
    looks: dict[_Key, Counter[str]] = {}
    for (options, fault, test, seen), count in pure.items():
        place = sample(options, fault, test)
        if place is not None:
            looks.setdefault((test, place, fault), Counter())[seen] += count
    return looks


class _Samples:
    """Says of which row a look is a sample."""

    def __init__(self, store: ModelStore) -> None:
        self._store = store
        self._tests = {test.id: test for test in store.family.tests}

    def place(self, options: Options, fault: str | None, test_id: str) -> int | None:
        """The place of the table among the test's models; None where a look is a sample of no row."""
        builds = configurations(self._store.family, dict(options))
        having = [build for build in builds if test_id in self._store.compiled(build).tests]
        test = self._tests[test_id]
        places = {test.models.index(self._store.compiled(build).model(test)) for build in having}
        if len(places) != 1:
            return None
        (place,) = places
        model = test.models[place]
        if not isinstance(model, Table) or (fault is not None and fault not in model.by_fault):
            return None
        fair = not model.without or all(self._needs_met(build, test, model, fault) for build in having)
        return place if fair else None

    def _needs_met(self, build: Configuration, test: Test, table: Table, fault: str | None) -> bool:
        """Whether the row is what the engine reckons with: nothing that the test needs is missing under the fault."""
        compiled = self._store.compiled(build)
        sets = compiled.hypotheses.sets()
        wanted = () if fault is None else (fault,)
        if wanted not in sets:
            return False
        reckoned = compiled.chances(test.id, Situation(), NO_METER)[sets.index(wanted)]
        return bool(np.abs(reckoned - _before(test, table, fault)).max() <= _NEXT_TO_NOTHING)


def _before(test: Test, table: Table, fault: str | None) -> Array:
    chances = table.healthy if fault is None else table.by_fault[fault]
    return np.array([float(chances.get(outcome, 0.0)) for outcome in test.outcomes])


def _row(test: Test, place: int, fault: str | None, seen: Counter[str], weight: float) -> Row:
    table = test.models[place]
    if not isinstance(table, Table):
        raise TypeError(f"model {place} of test {test.id!r} is no table")
    counts = np.array([seen[outcome] for outcome in test.outcomes], dtype=np.float64)
    before = _before(test, table, fault)
    after = posterior_mean(before, counts, weight)
    return Row(
        test.id, fault, table.when, test.outcomes, tuple(before.tolist()), tuple(after.tolist()),
        tuple(int(count) for count in counts),
    )  # fmt: skip
