"""Which questions to ask the customer before the visit, and what each is worth.

A question is worth the expected drop of the plan's expected cost: each answer that may be given is taken into the case
in turn, the job planned anew with whatever parts are in stock, and the costs weighed by how likely the answers are.  An
answer is as likely as what it adds is by the evidence so far; of options that is the share of the builds that have
them, by prior and evidence.  Where what the answers add does not cover everything, what is left goes to an answer that
adds nothing, or else to not knowing, which leaves the plan as it is.

What the case already tells is not asked, nor what concerns another build.  Safety is not weighed: questions that the
pack asks always come first.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import exp
from typing import Final

from probewright.circuit.parts import holds
from probewright.engine.machine import Machine, problem_of
from probewright.inference.configurations import configurations
from probewright.inference.evaluate import Evaluation, evaluate
from probewright.packs.model import Answer, Family, Question
from probewright.packs.questions import DOES_NOT_KNOW, used_in
from probewright.planning.finish import ClosingState
from probewright.planning.interlocks import raised
from probewright.planning.next_step import lay_out
from probewright.planning.steps import interlock_step
from probewright.settings import Settings
from probewright_schemas.records import Case, Reading
from probewright_schemas.visit_records import AnswerChoice, CaseFragment, CustomerQuestion

#: Questions that are put at most, besides those that safety asks always.
MOST_QUESTIONS: Final = 5
#: Share of the plan's expected cost that a question has to save to be worth asking.
LEAST_SAVING: Final = 0.01

_CANNOT_TELL: Final = AnswerChoice(DOES_NOT_KNOW, "I don't know.")


@dataclass(frozen=True, slots=True)
class Likely:
    """An answer, what it adds, how likely it is by the evidence so far, and what the evidence then amounts to.

    ``evaluation`` is None where nothing is added, or no appliance could be meant.
    """

    answer: Answer
    adds: CaseFragment
    probability: float
    evaluation: Evaluation | None


def added(case: Case, fragment: CaseFragment) -> Case:
    """A case with what an answer adds to it."""
    return replace(
        case,
        options={**case.options, **fragment.options},
        complaints=(*case.complaints, *(c for c in fragment.complaints if c not in case.complaints)),
        working=(*case.working, *(f for f in fragment.working if f not in case.working)),
        readings=(*case.readings, *fragment.readings),
    )


class Asker:
    """Asks about one case that no interlock stops.

    Parameters
    ----------
    machine : Machine
    case : Case
    evaluation : Evaluation
        Of the case.
    settings : Settings
    """

    def __init__(self, machine: Machine, case: Case, evaluation: Evaluation, settings: Settings) -> None:
        self._machine, self._settings = machine, settings
        self._family: Family = machine.pack.family
        self._case, self._evaluation = case, evaluation
        used = used_in(self._family.states)
        self._state = None if used is None else used.id
        self.cost = self._planned(case, evaluation)

    def questions(self, asked: Sequence[str] = (), most: int = MOST_QUESTIONS) -> tuple[CustomerQuestion, ...]:
        """The questions to put: those that safety asks, and then what saves most.

        Parameters
        ----------
        asked : sequence of str
            Questions that are not put again.
        most : int
            Besides those that safety asks.
        """
        always, worth = [], []
        for question in self._family.questions:
            left = self._left(question) if question.id not in asked else ()
            if not left:
                continue
            likely = self.likely(left)
            if question.always:
                always.append(self._told(question, likely, None))
                continue
            value = self._value(likely)
            if value >= LEAST_SAVING * self.cost:
                worth.append(self._told(question, likely, round(value, 2)))
        worth.sort(key=lambda q: (-(q.value or 0.0), q.id))
        return (*always, *worth[:most])

    def likely(self, answers: Sequence[Answer]) -> tuple[Likely, ...]:
        """The answers that may be given, and how likely each is."""
        adds = [self.fragment(answer) for answer in answers]
        found = [self._evaluated(fragment) for fragment in adds]
        weights = [self._weight(*pair) for pair in zip(adds, found, strict=True)]
        told, silent = sum(weights), adds.count(CaseFragment())
        rest, scale = max(0.0, 1.0 - told) / max(silent, 1), 1.0 / max(1.0, told)
        return tuple(
            Likely(answer, fragment, rest if fragment == CaseFragment() else weight * scale, evaluation)
            for answer, fragment, weight, evaluation in zip(answers, adds, weights, found, strict=True)
        )

    def fragment(self, answer: Answer) -> CaseFragment:
        """What an answer adds to a case; what is seen is seen on the appliance as it is used."""
        readings = tuple(Reading(test, seen=outcome, state=self._state) for test, outcome in answer.seen.items())
        return CaseFragment(dict(answer.options), answer.complaints, answer.working, readings)

    def _left(self, question: Question) -> tuple[Answer, ...]:
        """The answers that the case leaves open; none where the question needs not be put."""
        case = self._case
        known = {*case.complaints, *case.working, *(reading.test for reading in case.readings)}
        subjects = {name for a in question.answers for name in (*a.complaints, *a.working, *a.seen)}
        told = [a for a in question.answers if a.options and a.options.items() <= case.options.items()]
        if told or not known.isdisjoint(subjects) or not self._may_hold(question):
            return ()
        clashes = [any(case.options.get(o, value) != value for o, value in a.options.items()) for a in question.answers]
        left = tuple(a for a, clash in zip(question.answers, clashes, strict=True) if not clash)
        return left if len(left) > 1 else ()

    def _may_hold(self, question: Question) -> bool:
        """Whether an open build is one that the question is about."""
        builds = configurations(self._family, self._case.options, frozenset(question.when))
        return any(holds(question.when, build.options) for build in builds)

    def _weight(self, fragment: CaseFragment, found: Evaluation | None) -> float:
        """Probability of what an answer adds, given the case; 0 where it adds nothing."""
        if found is None:
            return 0.0
        return self._share(fragment) * exp(found.log_evidence - self._evaluation.log_evidence)

    def _share(self, fragment: CaseFragment) -> float:
        """Share of the builds that agree with the case and have the options of an answer, before the evidence."""
        if not fragment.options:
            return 1.0
        weighed = self._evaluation.readings.opened.weighed | fragment.options.keys()
        builds = configurations(self._family, self._case.options, weighed)
        wanted = fragment.options.items()
        return sum(build.share for build in builds if wanted <= build.options.items())

    def _value(self, likely: Sequence[Likely]) -> float:
        """What is saved on average once the answer is known."""
        saved = 0.0
        for one in likely:
            if one.evaluation is not None:
                planned = self._planned(added(self._case, one.adds), one.evaluation)
                saved += one.probability * (self.cost - planned)
        return saved

    def _evaluated(self, fragment: CaseFragment) -> Evaluation | None:
        """The evidence with what an answer adds."""
        if fragment == CaseFragment() or self._share(fragment) <= 0:
            return None
        case = added(self._case, fragment)
        return evaluate(case, self._machine.store, self._machine.rules(self._settings))

    def _planned(self, case: Case, evaluation: Evaluation) -> float:
        """Expected cost of a job, with all that is in stock at hand; where a hazard stops it, nothing is saved."""
        if raised(self._family, case, evaluation.readings.checked):
            return self.cost
        job = lay_out(problem_of(self._machine, case, evaluation, ClosingState(), self._settings))
        return job.frame.search.choose("quick").best.cost

    def _told(self, question: Question, likely: Sequence[Likely], value: float | None) -> CustomerQuestion:
        locks = {lock.id: lock for lock in self._family.interlocks}
        answers = [
            AnswerChoice(
                one.answer.id, one.answer.text, one.adds, round(one.probability, 4),
                None if one.answer.stop is None else interlock_step([locks[one.answer.stop]]),
            )
            for one in likely
        ]  # fmt: skip
        return CustomerQuestion(question.id, question.text, question.why, (*answers, _CANNOT_TELL), value)
