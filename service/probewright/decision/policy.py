"""Policies: repairs alone, one step of expected value, information for its cost, and the rollout of both.

``choose`` improves on its base policies by one step of policy improvement (rollout, Bertsekas and Castañón 1998): every
promising step is priced with the better of two policies followed after each of its outcomes, exactly, without
sampling.  The bases are one step of expected value, and asking for what tells most for its cost until one repair is
sure enough.  The first is good; the second never gets stuck where only two tests together pay.  The cost shown is an
upper bound of what following the advice costs, and never more than repairs alone.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from probewright.decision import kernels
from probewright.decision.arrays import arrays, space
from probewright.decision.kernels import Arrays, Space
from probewright.decision.problem import Decision

Kind = Literal["test", "repair", "way_out"]

#: Chance to cure from which the telling base repairs.
SURE_ENOUGH: Final = 0.7
#: Share of the weight under which repairs alone are followed.
SLIGHT: Final = 0.05


@dataclass(frozen=True, slots=True)
class Effort:
    """How far to look: how many candidates are followed, by one base or both, and how many sequences at most."""

    candidates: int
    both: bool
    slight: float
    most: int


#: ``quick`` follows the telling base only.  ``most`` bounds the time: a sequence takes a few microseconds.
EFFORTS: Final = {
    "quick": Effort(candidates=3, both=False, slight=0.05, most=2_000),
    "thorough": Effort(candidates=6, both=True, slight=0.05, most=30_000),
}


@dataclass(frozen=True, slots=True)
class Option:
    """Something that can be done now, with all that follows.

    Attributes
    ----------
    kind : "test", "repair" or "way_out"
    index : int
        Position among the tests or repairs of the decision; -1 for the way out.
    cost : float
        Expected money until the end.
    minutes : float
        Expected minutes until then.
    fixed : float
        Probability that the job ends at this visit with the complaint gone.
    followed : bool
        Whether the cost is that of the policies; else of repairs alone after this step, which is no less.
    """

    kind: Kind
    index: int
    cost: float
    minutes: float
    fixed: float
    followed: bool = True


@dataclass(frozen=True, slots=True)
class Choice:
    """All that can be done, the best first.

    Attributes
    ----------
    options : tuple of Option
        At equal cost tests come before repairs, and each in the order of the decision.
    sequences : int
        Sequences of repairs that were worked out.
    fell_back : bool
        Whether there were more than the effort allows, so that some branches were priced by repairs alone.
    """

    options: tuple[Option, ...]
    sequences: int
    fell_back: bool

    @property
    def best(self) -> Option:
        """The first."""
        return self.options[0]


def choose(decision: Decision, effort: str = "thorough") -> Choice:
    """Price everything that can be done now, and put it in order.

    Parameters
    ----------
    decision : Decision
    effort : "quick" or "thorough"
    """
    how = EFFORTS[effort]
    p, s = arrays(decision), space(decision, how.most)
    w = s.levels[0]
    mass = float(w.sum())
    values, followed = kernels.survey(p, s, how.candidates, how.both, SURE_ENOUGH, how.slight * mass)
    values, tests, out = values / mass, len(p.test_minutes), float(w @ decision.way_out) / mass
    kinds: list[tuple[Kind, int]] = [("test", t) for t in range(tests)]
    kinds += [("repair", r) for r in range(len(values) - tests)]
    options = [
        Option(kind, index, money, minutes, fixed, was)
        for (kind, index), (money, minutes, fixed), was in zip(kinds, values.tolist(), followed.tolist(), strict=True)
    ]
    options.append(Option("way_out", -1, out, 0.0, 0.0))
    done = int(s.tally[0])
    return Choice(tuple(sorted(options, key=_order)), done, done >= how.most)


def _order(option: Option) -> tuple[float, str, int]:
    # The way out last: where going on costs no more, go on.
    return option.cost, {"test": "a", "repair": "b", "way_out": "c"}[option.kind], option.index


def repairs_only(decision: Decision) -> Option:
    """The best sequence of repairs with the way out; tests are left aside."""
    return _by_repairs(arrays(decision), space(decision))


def one_step(decision: Decision) -> Option:
    """One step of expected value: the test after which repairs alone cost least, if that is less than without it."""
    p, s = arrays(decision), space(decision)
    plain, w, at = _by_repairs(p, s), s.levels[0], s.at[0]
    test = kernels.one_step(p, s, w, at[kernels.OPENED], at[kernels.HERE], 0, 0, False, plain.cost * w.sum())
    return plain if test < 0 else _tested(p, s, test)


def telling(decision: Decision, threshold: float = SURE_ENOUGH) -> Option:
    """What tells most for its cost, until a repair is sure enough or nothing tells anything."""
    p, s = arrays(decision), space(decision)
    plain, w, at = _by_repairs(p, s), s.levels[0], s.at[0]
    if kernels.sure_enough(w, p.cured_from, p.cured, p.chance, 0, threshold):
        return plain
    test = kernels.most_telling(p, s, w, at[kernels.OPENED], at[kernels.HERE], 0)
    return plain if test < 0 else _tested(p, s, test)


def _by_repairs(p: Arrays, s: Space) -> Option:
    w, at = s.levels[0], s.at[0]
    money, minutes, fixed, first = kernels.by_repairs(p, s, w, at[kernels.OPENED], at[kernels.HERE], 0, False)
    mass = float(w.sum())
    kind: Kind = "repair" if first >= 0 else "way_out"
    return Option(kind, first, money / mass, minutes / mass, fixed / mass)


def _tested(p: Arrays, s: Space, test: int) -> Option:
    mass = float(s.levels[0].sum())
    money, minutes, fixed = (x / mass for x in kernels.price(p, s, test, False, False, 0.0, 0.0))
    return Option("test", test, money, minutes, fixed, followed=False)
