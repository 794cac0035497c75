"""What to ask the customer before a visit."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from probewright.circuit.parts import When


@dataclass(frozen=True, slots=True)
class Answer:
    """One answer to a question, and what it adds to a case.

    ``seen`` gives outcomes of tests that a customer can tell: looked at from outside, on the appliance as it is used.
    ``stop`` names the interlock that the answer raises: the customer is told at once what to do.  An answer that adds
    nothing leaves things as they are; that the customer may not know needs no answer of its own.

    >>> Answer("yes", "Yes, it hums.", seen={"hum": "hums"}).seen["hum"]
    'hums'
    """

    id: str
    text: str
    options: Mapping[str, str] = field(default_factory=dict)
    complaints: tuple[str, ...] = ()
    working: tuple[str, ...] = ()
    seen: Mapping[str, str] = field(default_factory=dict)
    stop: str | None = None


@dataclass(frozen=True, slots=True)
class Question:
    """Something to ask the customer before the visit, in words for a lay person.

    Nothing is opened, taken off, plugged in or lit for it.  ``why`` is its reason in plain words.  A question is asked
    when answers to it may change the plan; one that is for safety is asked ``always``, and comes first.

    >>> question = Question(
    ...     "hums", "Does it hum when it should turn?", (Answer("yes", "Yes."), Answer("no", "No.")),
    ...     "A motor that hums has power and cannot turn.",
    ... )
    >>> [answer.id for answer in question.answers]
    ['yes', 'no']
    """

    id: str
    text: str
    answers: tuple[Answer, ...]
    why: str
    always: bool = False
    when: When = field(default_factory=dict)
