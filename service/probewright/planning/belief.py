"""What planning is told of the inference: how likely each fault is, and what each test would show under it.

This is the whole boundary between the two.  Whatever fills a :class:`Belief` (an exact posterior, a table from
another system) can be planned on, and whatever plans can be fed from one.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from probewright.errors import EngineError
from probewright.planning.hypotheses import Explanation, explanation

Array = NDArray[np.float64]
_NOTHING = "there is nothing to plan on: no hypothesis has any probability"
Tell = Callable[[str, tuple[float, ...]], tuple[str, ...]]
"""A test id and some of its cuts to the outcomes between them, in words that hold under the conditions of the case."""


@dataclass(frozen=True, slots=True, eq=False)
class OutcomeTable:
    """What one test would show next.

    Attributes
    ----------
    labels : tuple of str
        The outcomes that matter, in words: ``"dim_orange"``, ``"under 3.2 A"``.  Of a measured test they hold where
        nothing is known of the conditions; see :meth:`Belief.told`.
    given : ndarray of shape (n_faults + 2, n_outcomes)
        Probability of each outcome under each hypothesis; rows: no fault, each fault in the order of the belief,
        something unknown.  Each row adds up to 1.
    edges : tuple of float
        Of a measured test: where its axis is cut, ascending, in ``unit``, under the nominal conditions.  Its outcomes
        are those between the cuts, the lowest first.
    unit : str or None
        The unit of a measured test, None for what is seen.
    """

    labels: tuple[str, ...]
    given: Array
    edges: tuple[float, ...] = ()
    unit: str | None = None

    def cuts(self, groups: Sequence[int]) -> tuple[float, ...]:
        """The cuts of a measured test that are left when outcomes are merged; ``groups`` gives the group of each."""
        return tuple(edge for edge, (a, b) in zip(self.edges, pairwise(groups), strict=True) if a != b)


@dataclass(frozen=True, slots=True, eq=False)
class Belief:
    """What is believed of one appliance.

    Attributes
    ----------
    faults : tuple of str
        Fault ids.
    present : ndarray of shape (n_faults,)
        Probability that each fault is present, alone or with another.
    none, unknown : float
        Probability of no fault, and of something that the pack does not know.
    outcomes : mapping of test id to OutcomeTable
        The tests that can be predicted; others are never proposed.
    tell : callable or None
        Tells outcomes of measured tests under the conditions of the case.
    together : ndarray of shape (n_faults, n_faults), optional
        Probability of each fault alone (on the diagonal), and of each two at once (above it).

    Raises
    ------
    EngineError
        When the shapes do not fit together.
    """

    faults: tuple[str, ...]
    present: Array
    none: float
    unknown: float
    outcomes: Mapping[str, OutcomeTable] = field(default_factory=dict)
    tell: Tell | None = None
    together: Array | None = None

    def __post_init__(self) -> None:
        count = len(self.faults)
        if self.present.shape != (count,):
            raise EngineError(f"a belief about {count} faults has probabilities of shape {self.present.shape}")
        for test, table in self.outcomes.items():
            if table.given.shape != (count + 2, len(table.labels)):
                raise EngineError(
                    f"the outcomes of test {test!r} have shape {table.given.shape}, "
                    f"not {(count + 2, len(table.labels))}"
                )
            if table.unit is not None and len(table.edges) + 1 != len(table.labels):
                raise EngineError(f"test {test!r} has {len(table.labels)} outcomes between {len(table.edges)} cuts")

    def told(self, test: str, groups: Sequence[int] | None = None) -> tuple[str, ...]:
        """The outcomes of a test in words that hold under the conditions of the case.

        Costs some ten microseconds, so it is meant for the steps that are told and not for all.

        Parameters
        ----------
        test : str
        groups : sequence of int or None
            Outcomes merged: the group of each, numbered in the order in which they come first
            (:func:`probewright.planning.merging.merged_outcomes`); None leaves all apart.

        Returns
        -------
        tuple of str
            One for each group.
        """
        table = self.outcomes[test]
        groups = range(len(table.labels)) if groups is None else groups
        if table.unit is not None and self.tell is not None:
            return self.tell(test, table.cuts(groups))
        members: dict[int, list[str]] = {}
        for group, label in zip(groups, table.labels, strict=True):
            members.setdefault(group, []).append(label.replace("_", " "))
        return tuple(" or ".join(members[group]) for group in sorted(members))

    def explanation(self, prior: Array) -> Explanation:
        """What explains the job: each fault alone, or two together where that is known.

        Parameters
        ----------
        prior : ndarray of shape (n_faults,)
            Probability of each fault without any evidence.

        Raises
        ------
        EngineError
            When the belief is empty or not a number.
        """
        if self.together is None:
            return Explanation(self.weights(prior))
        if not self.none + self.unknown + float(self.together.sum()) > 0:
            raise EngineError(_NOTHING)
        return explanation(self.together, self.none, self.unknown, prior)

    def weights(self, prior: Array | float = 0.0) -> Array:
        """The belief as one hypothesis at a time: what explains the job.

        Planning reasons about single faults.  A fault may also be present as a bystander, with no part in the
        evidence, as it might have been before anybody called; then present = explains + (1 - explains) prior.  Solved
        for *explains*, faults that the evidence left where they were drop out, and the others are scaled to the share
        that faults have together.

        Parameters
        ----------
        prior : ndarray of shape (n_faults,), or 0
            Probability of each fault without any evidence; 0 when ``present`` has no bystanders.

        Returns
        -------
        ndarray of shape (n_faults + 2,), adding up to 1
            No fault, each fault, something unknown.

        Raises
        ------
        EngineError
            When the belief is empty or not a number.
        """
        weights = np.empty(len(self.faults) + 2)
        weights[0], weights[-1] = self.none, self.unknown
        explains = np.maximum((self.present - prior) / (1.0 - prior), 0.0)
        faulty = float(explains.sum())
        weights[1:-1] = explains * (max(0.0, 1.0 - self.none - self.unknown) / faulty if faulty > 0 else 0.0)
        total = float(weights.sum())
        if not total > 0:
            raise EngineError(_NOTHING)
        return weights / total
