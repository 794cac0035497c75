"""A case of each fault of a pack, drawn from its own model."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from probewright.inference.compiled import Compiled
from probewright.simulation.bearing import told, verdicts
from probewright.simulation.luck import Luck
from probewright.simulation.readings import Taking, take
from probewright.simulation.world import Job, Wrong
from probewright.testing.clients import load
from probewright.testing.typical import Typical
from probewright_schemas.records import Case, Conditions, Quantity, Reading

Array = NDArray[np.float64]
Document = dict[str, Any]

#: Tests that a case holds readings of: those that tell most of its fault.
_MOST_READINGS = 4
#: Nats under which a test tells next to nothing.
_LEAST_TOLD = 0.02


def sample_cases(pack: object, seed: int = 0) -> Mapping[str, Document]:
    """Draw a case of each fault: an appliance that has it and nothing else, what is said of it, and a few readings.

    Parts have values within their tolerances, tables are drawn from, meters err; nothing is misread.  The readings are
    those that tell most of the fault.  The same pack and seed give the same cases.

    Parameters
    ----------
    pack : module or object
        As an entry point names it.
    seed : int

    Returns
    -------
    mapping of fault id to case
        JSON documents, ready for :meth:`probewright.testing.Client.diagnose`, in the order of the family's faults.

    Raises
    ------
    AssertionError
        When the loader refuses the pack.

    Examples
    --------
    >>> sorted(sample_cases(ice_maker)["heater_open"])
    ['complaints', 'family', 'options', 'readings', 'reference']
    """
    [loaded] = load(pack).packs.values()
    drawn = _Drawn(Typical(loaded.family), seed)
    return {fault: drawn.case(number, fault) for number, fault in enumerate(drawn.typical.builds)}


class _Drawn:
    """Draws cases of one family."""

    def __init__(self, typical: Typical, seed: int) -> None:
        self.typical, self.world, self.seed = typical, typical.world, seed

    def case(self, number: int, fault: str) -> Document:
        """The case of one fault; ``number`` is its place among the family's."""
        options = self.typical.builds[fault]
        compiled = self.typical.compiled(options)
        job = Job(number, tuple(sorted(options.items())), Wrong((fault,)), 0, self.typical.ambient,
                  Luck(self.seed, number), Case(self.typical.family.id))  # fmt: skip
        job = replace(job, supply=job.luck.below(len(self.world.volts), "supply"))
        readings = [take(self.world, job, job.wrong, Taking(compiled.tests[test], 0, compiled.tests[test].states[0]))
                    for test in _telling(compiled, fault)]  # fmt: skip
        return {
            "family": self.typical.family.id,
            "reference": f"sample of {fault}",
            "options": dict(options),
            "complaints": self._complaints(job, compiled, fault),
            "readings": [_document(reading) for reading in readings],
        }

    def _complaints(self, job: Job, compiled: Compiled, fault: str) -> list[str]:
        """What stands, but for what a hazard would end the case with; else the complaint that speaks most clearly."""
        names = [name for name in sorted(compiled.complaints) if name not in self.world.alone]
        standing = [name for name in names if self.world.stands(job, job.wrong, name)]
        likeliest = self.typical.complaint(fault, dict(job.options))
        return standing or ([likeliest] if likeliest is not None else [])


def _telling(compiled: Compiled, fault: str) -> list[str]:
    """The tests that tell a fault from all others, one after another.

    Each is the one that tells most of whether it is this fault, given what those before it typically show.
    """
    singly = compiled.singly()
    tables = {test.id: verdicts(singly, test) for test in singly.tests.values() if not (test.closing or test.reported)}
    place, others = singly.hypotheses.faults.index(fault) + 1, np.exp(singly.hypotheses.log_prior)
    others[place] = 0.0
    chosen: list[str] = []
    while len(chosen) < min(_MOST_READINGS, len(tables)) and others.any():
        weights = others / others.sum()
        weights[place] = 1.0
        nats = {test: _tells(weights / 2, place, table) for test, table in tables.items() if test not in chosen}
        best = min(nats, key=lambda test: (-nats[test], test))
        if nats[best] < _LEAST_TOLD:
            break
        chosen.append(best)
        others = others * tables[best][:, int(np.argmax(tables[best][place]))]
    return chosen


def _tells(weights: Array, place: int, table: Array) -> float:
    """Nats that a test tells of whether it is the hypothesis at a place or any other."""
    rest = weights.copy()
    rest[place] = 0.0
    return told(np.array([0.5, 0.5]), np.stack([table[place], rest @ table / rest.sum()]))


def _document(reading: Reading) -> Document:
    """A reading as a case gives it."""
    given = {"test": reading.test, "state": reading.state, "value": reading.value, "unit": reading.unit,
             "seen": reading.seen, "conditions": _conditions(reading.conditions)}  # fmt: skip
    flags = {name: True for name in ("over_range", "under_range") if getattr(reading, name)}
    return {name: value for name, value in given.items() if value is not None} | flags


def _conditions(conditions: Conditions | None) -> Document | None:
    if conditions is None:
        return None
    named = {"ambient": conditions.ambient, "set_point": conditions.set_point}
    return {name: _quantity(quantity) for name, quantity in named.items() if quantity is not None}


def _quantity(quantity: Quantity) -> Document:
    return {"value": quantity.value, "unit": quantity.unit}
