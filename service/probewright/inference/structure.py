"""Which hypotheses a piece of evidence can tell apart at all, whatever is read.

Most faults have nothing to do with most evidence.  Hypotheses that agree in every number that a record of evidence
depends on get the same likelihoods, so a likelihood is worked out once for each class of them: some tens in place of
thousands.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from probewright.circuit.parts import holds
from probewright.inference.compiled import Compiled
from probewright.packs.model import Requirement, Stated, Table

Index = NDArray[np.intp]

#: Numbers are written in mixed radix as long as they stay below this: sorting them is what costs.
_MOST = 2**62
#: Sets of records whose classes are kept for one configuration; there are more only of reports of one function.
_MOST_KEPT = 512


@dataclass(frozen=True, slots=True, eq=False)
class Classes:
    """Classes of hypotheses that some records of evidence cannot tell apart.

    Attributes
    ----------
    index : ndarray of int, shape (n_hypotheses,)
        The class of each; the unknown one has the last to itself.
    members : ndarray of int, shape (n_classes,)
        A hypothesis of each class; last the unknown one.
    kept : dict
        What is prepared for these classes (:meth:`probewright.inference.compiled.Compiled.seen`).
    """

    index: Index
    members: Index
    kept: dict[Any, Any] = field(default_factory=dict)


def classes(compiled: Compiled, records: tuple[str, ...]) -> Classes:
    """Class the hypotheses by what some records of evidence make of them; remembered, bounded.

    Parameters
    ----------
    compiled : Compiled
    records : tuple of str
        ``"test:..."``, ``"complaint:..."`` and ``"function:..."``.
    """
    found: Classes | None = compiled.kept.get(records)
    if found is None:
        if len(compiled.kept) >= _MOST_KEPT:
            compiled.kept.clear()
        found = compiled.kept[records] = _classed(compiled, records)
    return found


def _classed(compiled: Compiled, records: Iterable[str]) -> Classes:
    _, members, index = np.unique(labels(compiled, records), return_index=True, return_inverse=True)
    return Classes(np.append(index, len(members)), np.append(members, len(compiled.hypotheses) - 1))


def labels(compiled: Compiled, records: Iterable[str]) -> Index:
    """Number the known hypotheses by what some records of evidence make of them.

    Returns
    -------
    ndarray of int, shape (n_hypotheses - 1,)
        Equal where all of the records agree.
    """
    number, size = np.zeros(len(compiled.hypotheses) - 1, dtype=np.intp), 1
    for record in sorted(set(records)):
        for column in _columns(compiled, *record.split(":", 1)):
            radix = int(column.max()) + 1
            if size * radix > _MOST:
                number, size = _numbered(number)
            number, size = number * radix + column, size * radix
    return number


def _numbered(number: Index) -> tuple[Index, int]:
    """The same partition, numbered from 0 without gaps, and how many numbers there are."""
    distinct, found = np.unique(number, return_inverse=True)
    return found.astype(np.intp), len(distinct)


def _columns(compiled: Compiled, kind: str, name: str) -> Iterator[Index]:
    if kind == "test" and name in compiled.tests:
        yield from _of_test(compiled, name)
    elif kind == "function":
        yield from _of_function(compiled, name)
    elif kind == "complaint" and name in compiled.complaints:
        complaint = compiled.complaints[name]
        yield _by_values(compiled, complaint.shown_by)
        yield from _of_function(compiled, complaint.function or "")


def _of_test(compiled: Compiled, name: str) -> Iterator[Index]:
    test = compiled.tests[name]
    model = compiled.model(test)
    if isinstance(model, Table):
        faults, classes, _ = compiled.dictionaries.table(test, model)
        yield compiled.classes(faults, classes)
        for requirement, _outcome in model.without:
            yield from _of_requirement(compiled, requirement)
    elif isinstance(model, Stated) or not test.outcomes:
        yield compiled.index(name)[:-1]
    else:
        dictionary = compiled.dictionaries.of_test(test, model)
        yield compiled.classes(dictionary.faults, dictionary.classes)


def _of_function(compiled: Compiled, name: str) -> Iterator[Index]:
    function = compiled.functions.get(name)
    if function is None:
        return
    yield _by_values(compiled, function.fails_with)
    for requirement in function.requires:
        yield from _of_requirement(compiled, requirement)


def _of_requirement(compiled: Compiled, requirement: Requirement) -> Iterator[Index]:
    if holds(requirement.when, compiled.configuration):
        dictionary = compiled.dictionaries.of_requirement(requirement)
        yield compiled.classes(dictionary.faults, dictionary.classes)


def _by_values(compiled: Compiled, values: Mapping[str, float]) -> Index:
    """Number hypotheses by the unordered pair of their faults' values."""
    hypotheses = compiled.hypotheses
    distinct, number = np.unique(hypotheses.per_fault(values), return_inverse=True)
    a, b = number[hypotheses.first], number[hypotheses.second]
    return np.asarray(np.minimum(a, b) * len(distinct) + np.maximum(a, b))
