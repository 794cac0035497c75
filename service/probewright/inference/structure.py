"""Which hypotheses a piece of evidence can tell apart at all, whatever is read.

Most faults have nothing to do with most evidence.  Hypotheses that agree in every number that the evidence in hand
depends on get the same likelihoods, so they can be merged without changing a result; a case with eight readings then
needs some hundreds of them in place of thousands.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

import numpy as np
from numpy.typing import NDArray

from probewright.circuit.parts import holds
from probewright.inference.compiled import Compiled
from probewright.packs.model import Requirement, Stated, Table

Index = NDArray[np.intp]

#: Numbers are written in mixed radix as long as they stay below this: sorting them is what costs.
_MOST = 2**62


def labels(compiled: Compiled, records: Iterable[str]) -> Index:
    """Number the known hypotheses by what some records of evidence make of them.

    Parameters
    ----------
    compiled : Compiled
        With all its hypotheses.
    records : iterable of str
        ``"test:..."``, ``"complaint:..."``, ``"function:..."`` and ``"repair:..."``.

    Returns
    -------
    ndarray of int, shape (n_hypotheses - 1,)
        Equal where all of them agree; *no fault* stands alone.
    """
    number = np.zeros(len(compiled.hypotheses) - 1, dtype=np.intp)
    number[0], size = 1, 2
    for record in sorted(set(records)):
        for column in _columns(compiled, *record.split(":", 1)):
            radix = int(column.max()) + 1
            if size * radix > _MOST:
                number, size = _numbered(number)
            number, size = number * radix + column, size * radix
    return _numbered(number)[0]


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
    elif kind == "repair" and name in compiled.repairs:
        yield _by_values(compiled, compiled.repairs[name].cures)


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
