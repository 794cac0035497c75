"""What is on the shop's van, where a case does not say what is at hand."""

from __future__ import annotations

from dataclasses import replace

from probewright.packs.model import Family
from probewright_schemas.records import Case


def at_hand(case: Case, family: Family) -> Case:
    """A case in which the parts of the family's van are at hand, where it does not say which are."""
    if family.van is None or case.visit.parts_on_hand is not None:
        return case
    return replace(case, visit=replace(case.visit, parts_on_hand=family.van))


def in_stock(case: Case, family: Family) -> Case:
    """A case before the visit: what is on the van can be had as well as what it names as in stock."""
    stock = case.visit.parts_on_hand
    if family.van is None or stock is None:
        return case
    return replace(case, visit=replace(case.visit, parts_on_hand=tuple(dict.fromkeys((*stock, *family.van)))))


def assumed(case: Case, family: Family) -> tuple[str, ...]:
    """What a diagnosis takes for granted about parts."""
    if family.van is None or case.visit.parts_on_hand is not None:
        return ()
    return (f"parts at hand are not given: those on the van count ({', '.join(family.van) or 'none'})",)
