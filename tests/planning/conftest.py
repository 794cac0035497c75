"""Small families and beliefs to plan on.  All numbers are invented for the tests."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from probewright.figures import exactly, invented, normal
from probewright.packs.model import (
    Closing,
    DefaultCosts,
    Family,
    Fault,
    Interlock,
    OptionValue,
    Repair,
    ReplaceablePart,
    State,
    Supply,
    Table,
    Test,
    Zone,
)
from probewright.packs.model import Option as FamilyOption
from probewright.planning.belief import Belief, OutcomeTable
from probewright.planning.finish import closing_state
from probewright.planning.model import PlanningModel, compile_model
from probewright.planning.next_step import Plan, Problem, plan
from probewright_schemas.records import Case, CheckedReading

ISOLATED = State(
    "isolated", "Isolated", powered=False, gas_on=False, minutes=invented(2.0), risk=0,
    steps=("Unplug it and prove it dead.", "Shut the gas."), cautions=("Wait for hot parts to cool.",),
)  # fmt: skip
LIVE_GAS_OFF = State(
    "live_gas_off", "Powered, gas shut", powered=True, gas_on=False, minutes=invented(3.0), risk=1,
    steps=("Clip the probes on, then plug it in.",), cautions=("Mains voltage: keep hands out.",),
)  # fmt: skip
LIVE = State(
    "live", "Powered, gas on", powered=True, gas_on=True, minutes=invented(4.0), risk=2,
    steps=("Plug it in and open the gas.",), cautions=("Gas and mains are on.",),
)  # fmt: skip
OUTSIDE = Zone("outside", "Outside", invented(0.0))
REAR = Zone("rear", "Rear panel", invented(8.0), steps=("Take the rear cover off.",), cautions=("Sharp edges.",))
HEATER = ReplaceablePart("heater", "Heater", invented(40.0))
BOARD = ReplaceablePart("board", "Board", invented(200.0))
TOP = Zone("top", "Under the top", invented(5.0), steps=("Lift the top.",))


def make_test(name: str, **changes: Any) -> Test:
    """A test in the isolated state, outside, of one minute."""
    fields: dict[str, Any] = {
        "id": name, "title": name.replace("_", " ").capitalize(), "kind": "seen", "states": ("isolated",),
        "zone": "outside", "minutes": invented(1.0), "models": (Table({"good": invented(1.0)}),),
        "outcomes": ("good", "bad"),
    }  # fmt: skip
    return Test(**(fields | changes))


def make_repair(name: str, cures: Mapping[str, float], **changes: Any) -> Repair:
    """A repair in the isolated state, outside, of ten minutes, without a part."""
    fields: dict[str, Any] = {
        "id": name, "title": name.replace("_", " ").capitalize(), "minutes": invented(10.0), "state": "isolated",
        "zones": ("outside",), "cures": {fault: invented(chance) for fault, chance in cures.items()},
    }  # fmt: skip
    return Repair(**(fields | changes))


def make_fault(name: str, **changes: Any) -> Fault:
    """A fault; its rate does not matter to planning."""
    return Fault(**({"id": name, "title": name.replace("_", " ").capitalize(), "rate": invented(0.01)} | changes))


def make_family(
    tests: Sequence[Test] = (),
    repairs: Sequence[Repair] = (),
    faults: Sequence[Fault] = (),
    interlocks: Sequence[Interlock] = (),
    **changes: Any,
) -> Family:
    """A family around the given records: labour 60 an hour (1 a minute), callback 100, verification 5 minutes."""
    fields: dict[str, Any] = {
        "id": "appliance", "title": "Appliance", "version": "1.0.0",
        "supply": Supply(invented(120.0), normal(invented(120.0), invented(2.0))), "ambient": exactly(invented(20.0)),
        "options": (FamilyOption("fuel", "Fuel", (OptionValue("gas", "Gas", invented(1.0)),)),),
        "states": (ISOLATED, LIVE_GAS_OFF, LIVE), "zones": (OUTSIDE, REAR, TOP), "circuits": (), "functions": (),
        "complaints": (), "tests": tuple(tests), "faults": tuple(faults),
        "parts": (HEATER, BOARD),
        "repairs": tuple(repairs), "interlocks": tuple(interlocks),
        "closings": (Closing("leak", "No leak with solution."), Closing("heats", "It heats.", "heat_seen")),
        "costs": DefaultCosts(invented(60.0), invented(100.0), invented(5.0), invented(80.0)),
        "unknown_rate": invented(0.001), "cautions": (), "notice": "Invented.",
    }  # fmt: skip
    return Family(**(fields | changes))


def make_belief(
    present: Mapping[str, float],
    outcomes: Mapping[str, Sequence[float]] | None = None,
    none: float = 0.0,
    unknown: float = 0.0,
) -> Belief:
    """A belief; ``outcomes`` gives P(bad) of two-valued tests for no fault, each fault, and unknown."""
    tables = {
        test: OutcomeTable(("good", "bad"), np.array([[1 - p, p] for p in bad]))
        for test, bad in (outcomes or {}).items()
    }
    return Belief(tuple(present), np.array(list(present.values()), dtype=float), none, unknown, tables)


def make_plan(
    family: Family,
    belief: Belief,
    case: Case | None = None,
    readings: Sequence[CheckedReading] = (),
) -> Plan:
    """Compile and plan."""
    model: PlanningModel = compile_model(family, None, belief.faults)
    case = case or Case(family.id)
    return plan(Problem(model, belief, case, readings, closing_state(family, case, readings)))


@pytest.fixture(scope="session")
def make() -> SimpleNamespace:
    """Builders of records."""
    return SimpleNamespace(
        test=make_test, repair=make_repair, fault=make_fault, family=make_family, belief=make_belief, plan=make_plan
    )
