"""Families where nothing costs but the work itself."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

from probewright.figures import invented
from probewright.packs.model import Family, State, Zone
from probewright.planning.belief import Belief
from probewright_schemas.records import (
    Case,
    CheckedReading,
    Reading,
    RepairDone,
    Verdict,
)

FREE = State("bench", "On the bench", powered=False, gas_on=False, minutes=invented(0.0), steps=(), cautions=(), risk=0)
BENCH = Zone("bench", "Bench", invented(0.0))


def bench(
    make: SimpleNamespace, tests: Sequence[Any], repairs: Sequence[Any], callback: float = 1000.0, **more: Any
) -> Family:
    """A family where nothing costs but the work itself, at 1 a minute."""
    costs = make.family().costs
    here = [replace(t, states=("bench",), zone="bench") for t in tests]
    mends = [replace(r, state="bench", zones=("bench",)) for r in repairs]
    costs = replace(costs, callback=invented(callback), verification_minutes=invented(0.0))
    return make.family(here, mends, states=(FREE,), zones=(BENCH,), costs=costs, **more)


def two_faults(make: SimpleNamespace, minutes: float = 1.0, callback: float = 1000.0) -> tuple[Family, Belief]:
    """Chances .6 and .4, perfect repairs at 10, a test that is right in 9 of 10."""
    repairs = [make.repair("mend_a", {"a": 1.0}), make.repair("mend_b", {"b": 1.0})]
    family = bench(make, [make.test("probe", minutes=invented(minutes))], repairs, callback)
    return family, make.belief({"a": 0.6, "b": 0.4}, {"probe": [0.5, 0.9, 0.1, 0.5]})


def done_case(remains: bool) -> Case:
    return Case("appliance", repairs_done=(RepairDone("mend", complaint_remains=remains),))


def proven(seen: str) -> tuple[Case, tuple[CheckedReading, ...]]:
    """A case whose repair helped, and whose closing check was made."""
    reading = Reading("heat_seen", seen=seen, after_repair="mend")
    verdict: Verdict = "within" if seen == "good" else "outside"
    return replace(done_case(remains=False), readings=(reading,)), (CheckedReading("heat_seen", verdict, seen=seen),)
