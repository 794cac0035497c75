"""Checks: the loader takes the pack, the family is the same each time, and it can be described."""

from __future__ import annotations

import warnings

from marshmallow import ValidationError

from probewright.packs import ContractWarning
from probewright.testing.clients import load
from probewright.testing.subject import Subject
from probewright_schemas.family import FamilySchema


def loads(subject: Subject) -> None:
    """The loader alone takes it, and warns of nothing that the next version of the contract will refuse."""
    with warnings.catch_warnings(record=True) as caught:
        warnings.simplefilter("always", ContractWarning)
        load(subject.pack)
    told = [str(warning.message) for warning in caught if issubclass(warning.category, ContractWarning)]
    if told:
        raise AssertionError("the next minor version of the contract will refuse this pack: " + "; ".join(told))


def same_family(subject: Subject) -> None:
    """Called again, it gives the same family, to the last figure and word."""
    again = next(iter(load(subject.pack).packs.values()))
    if again.digest != subject.loaded.digest:
        raise AssertionError(
            f"expected probewright_family to give the same family each time, but its digest was first "
            f"{subject.loaded.digest} and then {again.digest}. Build the family from constants alone: no clock, no "
            "chance, no environment."
        )


def description(subject: Subject) -> None:
    """Its description is as the published contract says."""
    document = subject.client.family()
    try:
        FamilySchema().load(document)
    except ValidationError as error:
        raise AssertionError(
            f"the family's description does not keep its schema: {error.messages}. Give each field what its record's "
            "docstring asks for."
        ) from error
