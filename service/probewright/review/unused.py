"""Records that nothing uses."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from probewright.circuit.parts import When
from probewright.packs.model import Family, Option
from probewright.review.catalogue import remark
from probewright.review.records import all_records, conditions_in, requirements, values_of
from probewright.review.remark import Remark
from probewright.review.subject import build_with


def unused(family: Family) -> Iterator[Remark]:
    """Everything that this module looks for."""
    yield from _options(family)
    yield from _in_no_build(family)
    used = {state for test in family.tests for state in test.states}
    used |= {repair.state for repair in family.repairs} | {r.state for _, r in requirements(family)}
    for state in family.states:
        if state.id not in used:
            yield remark("state_unused", f"state {state.id}", "nothing is done in it")
    opened = {test.zone for test in family.tests} | {zone for repair in family.repairs for zone in repair.zones}
    for zone in family.zones:
        if zone.id not in opened:
            yield remark("zone_unused", f"zone {zone.id}", "nothing is done in it")
    fitted = {repair.part for repair in family.repairs}
    for part in family.parts:
        if part.id not in fitted:
            yield remark("part_unused", f"part {part.id}", "no repair takes it")
    named = {closing for repair in family.repairs for closing in repair.closing_checks}
    for closing in family.closings:
        if closing.id not in named:
            yield remark("closing_check_unused", f"closing check {closing.id}", "no repair names it")


def _in_no_build(family: Family) -> Iterator[Remark]:
    known: dict[tuple[tuple[str, str | tuple[str, ...]], ...], bool] = {}
    for kind, name, record in all_records(family):
        for when in conditions_in(record) if kind != "question" else ():
            key = tuple(sorted(when.items()))
            if key not in known:
                known[key] = not when or build_with(family, when) is not None
            if not known[key]:
                told = " and ".join(f"{o} is {' or '.join(values_of(allowed))}" for o, allowed in when.items())
                yield remark("in_no_build", name, f"no build has what its condition asks for: {told}")


def _options(family: Family) -> Iterator[Remark]:
    """An option matters when something that matters is conditioned on it, other options that matter among it."""
    records = [getattr(family, field) for field in (
        "circuits", "functions", "complaints", "tests", "faults", "repairs", "questions")]  # fmt: skip
    conditions: list[When] = [when for when in conditions_in(records) if when]
    mattering = {option for when in conditions for option in when}
    for option in reversed(family.options):  # a condition names options that come earlier
        if option.id in mattering:
            conditions.append(option.when)
            mattering |= set(option.when)
    for option in family.options:
        if option.id not in mattering:
            yield remark("option_unused", f"option {option.id}", "no fault, test, circuit part or repair depends on it")
        else:
            yield from _alike(option, [when[option.id] for when in conditions if option.id in when])


def _alike(option: Option, allowed: list[str | tuple[str, ...]]) -> Iterator[Remark]:
    for one, other in combinations(option.values, 2):
        if all((one.id in values_of(a)) == (other.id in values_of(a)) for a in allowed):
            told = f"nothing differs between its values {one.id} and {other.id}"
            yield remark("values_alike", f"option {option.id}", told)
