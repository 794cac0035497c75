"""Cases of any family, drawn without any regard to what goes together; every value is invented."""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from typing import TypeVar

from probewright.circuit.parts import holds
from probewright.packs.model import Family, Test
from probewright_schemas.records import Case, Conditions, Meter, Quantity, Reading, RepairDone

T = TypeVar("T")
METERS = {
    "dmm": Meter("multimeter", percent_of_reading=0.8, counts=3, id="dmm-1"),
    "low": Meter("multimeter", input="low_impedance", leads_zeroed=True),
}


def any_options(family: Family, chance: random.Random) -> dict[str, str]:
    """A build that there is."""
    options: dict[str, str] = {}
    for option in family.options:
        if holds(option.when, options):
            options[option.id] = chance.choice(option.values).id
    return options


def any_case(family: Family, chance: random.Random, options: Mapping[str, str] | None = None) -> Case:
    """Options left open or not, a few complaints and functions, readings and now and then a repair."""
    build = any_options(family, chance) if options is None else options
    given: dict[str, str] = {}
    for option in family.options:  # what an option hangs on is given with it
        if option.id in build and holds(option.when, given) and chance.random() < 0.7:
            given[option.id] = build[option.id]
    repairs = chance.sample([r.id for r in family.repairs], 1) if chance.random() < 0.1 else []
    return Case(
        family.id,
        options=given,
        complaints=tuple(complaint.id for complaint in some(family.complaints, 2, chance)),
        working=tuple(function.id for function in some(family.functions, 2, chance)),
        conditions=Conditions(
            ambient=Quantity(chance.randint(15, 30), "degC") if chance.random() < 0.8 else None,
            supply_voltage=Quantity(_volts(family, chance), "V") if chance.random() < 0.5 else None,
        ),
        meters=METERS,
        readings=tuple(any_reading(test, chance) for test in some(family.tests, 7, chance)),
        repairs_done=tuple(RepairDone(repair, chance.random() < 0.5) for repair in repairs),
    )


def some(records: Sequence[T], most: int, chance: random.Random) -> list[T]:
    """Some of them, at most so many, in any order."""
    return chance.sample(records, chance.randint(0, min(most, len(records))))


def _volts(family: Family, chance: random.Random) -> float:
    return round(float(family.supply.nominal) * chance.uniform(0.85, 1.06), 1)


def any_reading(test: Test, chance: random.Random) -> Reading:
    """What may stand on a sheet: an outcome, any number of a plausible size, or over range."""
    state = test.states[0] if chance.random() < 0.5 else None
    if test.outcomes:
        return Reading(test.id, seen=chance.choice(test.outcomes), state=state)
    meter = chance.choice([None, *METERS]) if test.kind in ("voltage", "resistance") else None
    if test.kind == "resistance" and chance.random() < 0.3:
        return Reading(test.id, over_range=True, state=state, meter=meter)
    values = [round(10 ** chance.uniform(-1, 3), 3) for _ in range(chance.choice([1, 1, 1, 3]))]
    if len(values) > 1:
        return Reading(test.id, values=tuple(values), unit=test.unit, state=state, meter=meter)
    return Reading(test.id, value=values[0], unit=test.unit, state=state, meter=meter)
