"""Probabilities that the loader lets pass and that say nothing, or too much."""

from __future__ import annotations

from collections.abc import Iterator

from probewright.packs.model import Family, Shows, Stated, Table, Test
from probewright.review.catalogue import remark
from probewright.review.records import listed
from probewright.review.remark import Remark
from probewright.review.subject import Subject

#: A first outcome that sound wiring shows no more often than this is not the healthy one.
HARDLY_EVER = 0.05


def chances(subject: Subject) -> Iterator[Remark]:
    """Everything that this module looks for."""
    family = subject.family
    yield from _rates(subject)
    yield from _zeros(family)
    for test in family.tests:
        for model in test.models:
            if isinstance(model, Table):
                yield from _table(test, model)
            elif isinstance(model, Stated):
                yield from _alike(test, [f for f, spread in model.by_fault.items() if spread == model.healthy])
        yield from _never_shown(test)
        if test.outcomes and not test.reported:
            yield from _seen_in_wiring(subject, test)


def _rates(subject: Subject) -> Iterator[Remark]:
    rates = {fault.id: float(fault.rate) for fault in subject.family.faults}
    unknown = float(subject.family.unknown_rate)
    totals = {build: unknown + sum(rates[fault] for fault in build.faults) for build in subject.builds}
    over = [build for build, total in totals.items() if total > 1]
    if over:
        where = subject.where(over, subject.builds)
        told = f"with unknown_rate they add up to {max(totals.values()):.2f}{where}"
        yield remark("rates_add_up", "fault rates", told)


def _zeros(family: Family) -> Iterator[Remark]:
    for option in family.options:
        for value in option.values:
            if float(value.share) == 0.0:
                yield remark("zero_chance", f"option {option.id}", f"the share of value {value.id} is 0")
    for kind, field in (("complaints", "shown_by"), ("functions", "fails_with"), ("repairs", "cures")):
        for record in getattr(family, kind):
            none = [fault for fault, chance in getattr(record, field).items() if float(chance) == 0.0]
            if none:
                yield remark("zero_chance", f"{kind[:-1]} {record.id}", f"{field} is 0 for {listed(none)}")


def _table(test: Test, model: Table) -> Iterator[Remark]:
    healthy = {outcome: float(model.healthy.get(outcome, 0.0)) for outcome in test.outcomes}
    first, likeliest = test.outcomes[0], max(test.outcomes, key=healthy.__getitem__)
    if healthy[first] < healthy[likeliest]:
        told = f"healthy shows {likeliest} more often ({healthy[likeliest]:.0%}) than the first outcome, {first}"
        yield remark("healthy_outcome_unlikely", f"test {test.id}", f"{told} ({healthy[first]:.0%})")
    rows = {fault: {o: float(row.get(o, 0.0)) for o in test.outcomes} for fault, row in model.by_fault.items()}
    yield from _alike(test, [fault for fault, row in rows.items() if row == healthy])


def _seen_in_wiring(subject: Subject, test: Test) -> Iterator[Remark]:
    """What wiring makes of a sound appliance; a beeper may well stay silent at one, but not nearly always."""
    having = [build for build in subject.builds if test.id in build.compiled.tests]
    wired = [build for build in having if not isinstance(build.compiled.model(test), Table)]
    sound = {build: build.healthy(test) for build in wired}
    wrong = [build for build, chance in sound.items() if chance[0] < HARDLY_EVER]
    if wrong:
        chance = sound[wrong[0]]
        told = f"a sound appliance shows {test.outcomes[chance.argmax()]} more often ({chance.max():.0%})"
        where = f"({chance[0]:.0%}){subject.where(wrong, having)}"
        told += f" than the first outcome, {test.outcomes[0]} {where}"
        yield remark("healthy_outcome_unlikely", f"test {test.id}", told)


def _alike(test: Test, faults: list[str]) -> Iterator[Remark]:
    if faults:
        told = f"by_fault repeats the healthy row for {listed(faults)}"
        yield remark("same_as_healthy", f"test {test.id}", told)


def _never_shown(test: Test) -> Iterator[Remark]:
    shown: set[str] = set()
    for model in test.models:
        if isinstance(model, Shows):
            shown |= set(model.outcomes)
        elif isinstance(model, Table):
            rows = (model.healthy, *model.by_fault.values())
            shown |= {outcome for row in rows for outcome, chance in row.items() if chance > 0}
            shown |= {outcome for _, outcome in model.without}
        else:
            return
    missing = [outcome for outcome in test.outcomes if outcome not in shown]
    if missing:
        yield remark("outcome_never_shown", f"test {test.id}", f"nothing shows {listed(missing)}")
