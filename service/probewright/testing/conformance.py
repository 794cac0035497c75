"""Whether a pack keeps the contract: a suite to subclass, or a function to call."""

from __future__ import annotations

import warnings
from dataclasses import dataclass
from typing import ClassVar

import pytest

from probewright.testing import answering, closing, hooks, imports, leading, loading, ordering
from probewright.testing.subject import Subject

#: Every check by its name, in the order in which they are made.
CHECKS = {
    "loads_through_the_loader": loading.loads,
    "imports_the_contract_alone": imports.contract_alone,
    "gives_the_same_family_each_time": loading.same_family,
    "description_keeps_its_schema": loading.description,
    "hooks_keep_the_contract": hooks.keep_the_contract,
    "sample_cases_are_answered": answering.sample_cases_are_answered,
    "answers_are_the_same_each_time": answering.same_answers,
    "outcomes_add_up": answering.outcomes_add_up,
    "every_fault_can_lead": leading.every_fault_can_lead,
    "closing_checks_can_be_passed": closing.can_be_passed,
    "order_of_records_does_not_matter": ordering.does_not_matter,
}


class AmbiguityWarning(UserWarning):
    """Some faults of a pack show the same in every test, so that none of its readings can tell them apart."""


@dataclass(frozen=True, slots=True)
class Conformance:
    """A pack that keeps the contract.

    Attributes
    ----------
    family : str
        Its family.
    checks : tuple of str
        What was checked.
    ambiguous : tuple of tuple of str
        Groups of faults that show the same in every test.
    """

    family: str
    checks: tuple[str, ...]
    ambiguous: tuple[tuple[str, ...], ...]


def check_conformance(pack: object, *, seed: int = 0) -> Conformance:
    """Check that a pack keeps the contract.

    Parameters
    ----------
    pack : module or object
        As an entry point names it.
    seed : int
        Of the sample cases.

    Returns
    -------
    Conformance

    Raises
    ------
    AssertionError
        When a check fails; the message has one paragraph for each, with what was expected, what was found, and what
        to change.

    Examples
    --------
    >>> check_conformance(ice_maker).ambiguous
    ()
    """
    subject = Subject(pack, seed)
    CHECKS["loads_through_the_loader"](subject)  # without it nothing else can be checked
    failed = []
    for name, check in CHECKS.items():
        try:
            check(subject)
        except AssertionError as error:
            failed.append(f"{name}: {error}")
    if failed:
        raise AssertionError(f"{len(failed)} of {len(CHECKS)} checks failed\n\n" + "\n\n".join(failed))
    return Conformance(subject.family.id, tuple(CHECKS), leading.ambiguous(subject))


class PackConformance:
    """Tests that any pack must pass: subclass it, and say which ``pack`` (a module or object).

    Attributes
    ----------
    pack : module or object
        As an entry point names it.
    seed : int
        Of the sample cases.

    Examples
    --------
    >>> class TestIceMaker(PackConformance):
    ...     pack = ice_maker
    """

    pack: object
    seed: int = 0

    _tested: ClassVar[Subject]

    @pytest.fixture
    def subject(self) -> Subject:
        """The pack under test, loaded once for all tests of the class."""
        return self._subject()

    @classmethod
    def _subject(cls) -> Subject:
        if not hasattr(cls, "pack"):
            raise AssertionError(f"say which pack {cls.__name__} tests: class {cls.__name__}(...): pack = my_pack")
        if "_tested" not in vars(cls):
            cls._tested = Subject(cls.pack, cls.seed)
        return cls._tested

    def test_loads_through_the_loader(self, subject: Subject) -> None:
        loading.loads(subject)

    def test_imports_the_contract_alone(self, subject: Subject) -> None:
        imports.contract_alone(subject)

    def test_gives_the_same_family_each_time(self, subject: Subject) -> None:
        loading.same_family(subject)

    def test_description_keeps_its_schema(self, subject: Subject) -> None:
        loading.description(subject)

    def test_hooks_keep_the_contract(self, subject: Subject) -> None:
        if subject.loaded.validators is None and subject.loaded.scorer is None:
            pytest.skip("the pack has no validator and no scorer of its own")
        hooks.keep_the_contract(subject)

    def test_sample_cases_are_answered(self, subject: Subject) -> None:
        answering.sample_cases_are_answered(subject)

    def test_answers_are_the_same_each_time(self, subject: Subject) -> None:
        answering.same_answers(subject)

    def test_outcomes_add_up(self, subject: Subject) -> None:
        answering.outcomes_add_up(subject)

    def test_every_fault_can_lead(self, subject: Subject) -> None:
        leading.every_fault_can_lead(subject)
        for group in leading.ambiguous(subject):
            warnings.warn(f"no test tells {', '.join(group)} apart", AmbiguityWarning, stacklevel=2)

    def test_closing_checks_can_be_passed(self, subject: Subject) -> None:
        closing.can_be_passed(subject)

    def test_order_of_records_does_not_matter(self, subject: Subject) -> None:
        ordering.does_not_matter(subject)
