"""What is compiled of a family: who stays, where tests are done, what ways cost, and what is refused."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest

from probewright.errors import PackModelError
from probewright.packs.model import TestKind
from probewright.planning.model import PlanningModel, compile_model, in_sentence


def ids(records: tuple[object, ...]) -> list[str]:
    return [record.id for record in records]  # type: ignore[attr-defined]


@pytest.mark.parametrize("kind", ["resistance", "continuity", "capacitance"])
def test_dead_readings_are_taken_without_power_only(make: SimpleNamespace, kind: TestKind) -> None:
    family = make.family(
        [
            make.test("both", kind=kind, states=("live_gas_off", "isolated")),
            make.test("live", kind=kind, states=("live",)),
        ]
    )
    model = compile_model(family, None, ())
    assert ids(model.tests.records) == ["both"]
    assert model.ground.states[model.tests.state[0]].id == "isolated"


def test_other_readings_are_taken_in_the_recommended_state(make: SimpleNamespace) -> None:
    model = compile_model(
        make.family([make.test("volts", kind="voltage", states=("live_gas_off", "isolated"))]), None, ()
    )
    assert model.ground.states[model.tests.state[0]].id == "live_gas_off"


def test_configuration_keeps_what_may_hold(make: SimpleNamespace) -> None:
    family = make.family(
        [make.test("gas", when={"fuel": "gas"}), make.test("oil", when={"fuel": "oil"}), make.test("always")],
        [make.repair("clean", {}, when={"fuel": ("gas", "oil")}), make.repair("swap", {}, when={"burner": "flat"})],
    )
    for configuration, tests, repairs in [
        ({"fuel": "gas"}, ["always", "gas"], ["clean"]),
        ({"fuel": None}, ["always", "gas", "oil"], ["clean"]),
        ({"fuel": "oil", "burner": None}, ["always", "oil"], ["clean", "swap"]),
        ({}, ["always"], []),
        (None, ["always", "gas", "oil"], ["clean", "swap"]),
    ]:
        model = compile_model(family, configuration, ())
        assert (ids(model.tests.records), ids(model.repairs.records)) == (tests, repairs), configuration


def test_of_records_that_share_an_id_the_first_that_holds_counts(make: SimpleNamespace) -> None:
    family = make.family(
        [make.test("amps", zone="rear", when={"fuel": "oil"}), make.test("amps", zone="top", when={"fuel": "gas"})]
    )
    assert [t.zone for t in compile_model(family, {"fuel": "gas"}, ()).tests.records] == ["top"]
    assert [t.zone for t in compile_model(family, None, ()).tests.records] == ["rear"]


def minutes(model: PlanningModel, present: str | None, test: str, closed: bool) -> float:
    at = len(model.ground.states) if present is None else model.ground.state_at[present]
    return float(model.tests.reach[int(closed), at, ids(model.tests.records).index(test)])


def test_ways_lead_through_the_safe_state_to_open_a_cover(make: SimpleNamespace) -> None:
    # Minutes: isolated 2, live_gas_off 3, live 4.
    family = make.family([make.test("dead", zone="rear"), make.test("hot", zone="rear", states=("live_gas_off",))])
    model = compile_model(family, None, ())
    assert minutes(model, "isolated", "dead", closed=True) == 0
    assert minutes(model, "live", "dead", closed=True) == 2
    assert minutes(model, None, "dead", closed=False) == 2
    assert minutes(model, "live_gas_off", "hot", closed=False) == 0
    assert minutes(model, "live_gas_off", "hot", closed=True) == 2 + 3
    assert minutes(model, "isolated", "hot", closed=True) == 3
    assert minutes(model, None, "hot", closed=True) == 2 + 3


def test_repairs_start_and_end_in_the_running_state(make: SimpleNamespace) -> None:
    family = make.family(repairs=[make.repair("mend", {}), make.repair("unlock", {}, state="live")])
    model = compile_model(family, None, ())
    assert model.ground.states[model.ground.running].id == "live"
    running, isolated = model.ground.running, model.ground.state_at["isolated"]
    np.testing.assert_allclose(model.repairs.reach[running], [2, 0])
    np.testing.assert_allclose(model.repairs.reach[isolated], [0, 4])
    np.testing.assert_allclose(model.repairs.reach[-1], [2, 4])
    np.testing.assert_allclose(model.repairs.back, [4, 0])


def test_outside_is_always_open(make: SimpleNamespace) -> None:
    model = compile_model(make.family(), None, ())
    assert dict(zip(ids(model.ground.zones), model.ground.opens.tolist(), strict=True)) == {
        "outside": 0.0,
        "rear": 1.0,
        "top": 1.0,
    }


@pytest.mark.parametrize(
    ("records", "message"),
    [
        ({"tests": ["state"]}, "test 't' names state 'cellar'"),
        ({"tests": ["zone"]}, "test 't' names zone 'cellar'"),
        ({"repairs": ["state"]}, "repair 'r' names state 'cellar'"),
        ({"repairs": ["zone"]}, "repair 'r' names zone 'cellar'"),
        ({"repairs": ["part"]}, "repair 'r' names part 'cellar'"),
        ({"repairs": ["closing"]}, "repair 'r' names closing check 'cellar'"),
    ],
)
def test_what_does_not_exist_is_refused_by_name(
    make: SimpleNamespace, records: dict[str, list[str]], message: str
) -> None:
    wrong = {
        "tests": {"state": {"states": ("cellar",)}, "zone": {"zone": "cellar"}},
        "repairs": {
            "state": {"state": "cellar"}, "zone": {"zones": ("cellar",)}, "part": {"part": "cellar"},
            "closing": {"closing_checks": ("cellar",)},
        },
    }  # fmt: skip
    tests = [make.test("t", **wrong["tests"][name]) for name in records.get("tests", [])]
    repairs = [make.repair("r", {}, **wrong["repairs"][name]) for name in records.get("repairs", [])]
    with pytest.raises(PackModelError, match=message):
        compile_model(make.family(tests, repairs), None, ())


def test_a_family_without_states_is_refused(make: SimpleNamespace) -> None:
    with pytest.raises(PackModelError, match="no states"):
        compile_model(make.family(states=()), None, ())


def test_titles_inside_a_sentence() -> None:
    assert [in_sentence(t) for t in ("Bake igniter weak", "DC supply dead", "", "x")] == [
        "bake igniter weak",
        "DC supply dead",
        "",
        "x",
    ]
