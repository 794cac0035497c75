"""Steps as a technician reads them."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Literal

import numpy as np
import pytest

from probewright.decision.policy import Option
from probewright.packs.model import Interlock
from probewright.planning import steps
from probewright.planning.choosing import Action
from probewright.planning.model import PlanningModel, compile_model
from probewright.planning.standing import Standing, standing
from probewright_schemas.records import (
    Case,
    CheckedReading,
    Finding,
    Reading,
    RepairDone,
    Severity,
    Step,
    Verdict,
    Visit,
)


def stand(
    make: SimpleNamespace, *readings: Reading, checked: tuple[CheckedReading, ...] = (), **case: object
) -> Standing:
    family = make.family(
        [make.test("dead", zone="rear"), make.test("hot", zone="top", states=("live_gas_off",))],
        [make.repair("mend", {"f": 1.0}, zones=("top",))],
    )
    return standing(compile_model(family, None, ("f",)), Case("appliance", readings=readings, **case), checked)  # type: ignore[arg-type]


def test_nobody_knows_where_one_stands_before_a_reading(make: SimpleNamespace) -> None:
    here = stand(make)
    assert (here.state, here.closed.tolist()) == (3, [0.0, 1.0, 1.0])


def test_the_last_reading_says_the_state_and_all_open_their_zones(make: SimpleNamespace) -> None:
    states = ["isolated", "live", "live_gas_off"]
    here = stand(make, Reading("hot"), Reading("dead"))
    assert (states[here.state], here.closed.tolist()) == ("isolated", [0.0, 0.0, 0.0])
    here = stand(make, Reading("dead"), Reading("hot"))
    assert states[here.state] == "live_gas_off"
    here = stand(make, Reading("hot", state="live"))
    assert (states[here.state], here.closed.tolist()) == ("live", [0.0, 1.0, 0.0])


def test_a_reading_of_an_unknown_test_says_nothing(make: SimpleNamespace) -> None:
    here = stand(make, Reading("odd"))
    assert (here.state, here.closed.tolist()) == (3, [0.0, 1.0, 1.0])


def test_repairs_done_open_their_zones_and_count_as_tried(make: SimpleNamespace) -> None:
    here = stand(make, repairs_done=(RepairDone("mend", complaint_remains=True),))
    assert (here.closed.tolist(), here.tried) == ([0.0, 1.0, 0.0], {"mend"})


def tell(model: PlanningModel, here: Standing, kind: str) -> Step:
    """The first test or repair of a model as a step."""
    if kind == "test":
        return steps.test_step(model, here, action("test"), "Because.", ())
    return steps.repair_step(model, here, action("repair"), "Because.", ())


def action(kind: Literal["test", "repair", "refer"], cost: float = 12.345) -> Action:
    """The first test or repair, or the way out: 6 minutes of its own, 20 in all, and 0.7 to end there."""
    option = Option("way_out" if kind == "refer" else kind, 0, cost, 20.04, 0.7)
    return Action(kind, 0, "", cost, 20.04, 0.7, 0, 6.04, option)


def finding(severity: Severity, remedy: str | None) -> Finding:
    return Finding("code", severity, "What is wrong.", remedy)


@pytest.mark.parametrize(
    ("verdict", "findings", "again"),
    [
        ("within", (), None),
        ("outside", (finding("note", "Nothing to mend."),), None),
        ("inconclusive", (), None),
        ("inconclusive", (finding("doubt", None),), None),
        (
            "inconclusive",
            (finding("note", "Look closer."), finding("doubt", "Give the temperature.")),
            "Give the temperature.",
        ),
        ("rejected", (finding("doubt", "Later."), finding("reject", "Unplug it first.")), "Unplug it first."),
        ("rejected", (finding("reject", None),), "What is wrong."),
        ("rejected", (), "the reading could not be used"),
    ],
)
def test_when_a_test_is_worth_reading_again(
    make: SimpleNamespace, verdict: Verdict, findings: tuple[Finding, ...], again: str | None
) -> None:
    here = stand(make, checked=(CheckedReading("dead", verdict, findings=findings),))
    assert here.read == {"dead": again}


def test_the_latest_reading_of_a_test_decides(make: SimpleNamespace) -> None:
    bad, good = CheckedReading("dead", "rejected"), CheckedReading("dead", "within")
    assert stand(make, checked=(bad, good)).read == {"dead": None}
    assert stand(make, checked=(good, bad)).read["dead"] is not None


def test_a_live_test_behind_a_cover_opens_it_in_the_safe_state(make: SimpleNamespace) -> None:
    test = make.test(
        "hot", zone="rear", states=("live_gas_off",), steps=("Read it.",), cautions=("Hot part.", "Sharp edges.")
    )
    model = compile_model(make.family([test]), None, ())
    step = tell(model, standing(model, Case("appliance"), ()), "test")
    assert step.steps == (
        "Unplug it and prove it dead.",
        "Shut the gas.",
        "Take the rear cover off.",
        "Clip the probes on, then plug it in.",
        "Read it.",
    )
    assert step.cautions == (
        "Mains voltage: keep hands out.",
        "Hot part.",
        "Sharp edges.",
        "Wait for hot parts to cool.",
    )
    assert (step.kind, step.id, step.why) == ("test", "hot", "Because.")
    assert (step.state, step.zone, step.minutes, step.expected_cost) == ("live_gas_off", "rear", 6.0, 12.35)
    assert (step.expected_minutes, step.first_visit) == (20.0, 0.7)


def test_an_open_cover_is_not_opened_again_but_the_state_is_always_told(make: SimpleNamespace) -> None:
    test = make.test("hot", zone="rear", states=("live_gas_off",), steps=("Read it.",))
    model = compile_model(make.family([test]), None, ())
    here = standing(model, Case("appliance", readings=(Reading("hot"),)), ())
    assert tell(model, here, "test").steps == ("Clip the probes on, then plug it in.", "Read it.")


def test_a_repair_opens_all_its_zones(make: SimpleNamespace) -> None:
    repair = make.repair("mend", {"f": 1.0}, zones=("top", "rear"), steps=("Swap it.",), cautions=("Heavy.",))
    model = compile_model(make.family(repairs=[repair]), None, ("f",))
    step = tell(model, standing(model, Case("appliance"), ()), "repair")
    assert step.steps == (
        "Unplug it and prove it dead.",
        "Shut the gas.",
        "Lift the top.",
        "Take the rear cover off.",
        "Swap it.",
    )
    assert step.cautions == ("Heavy.", "Sharp edges.", "Wait for hot parts to cool.")
    assert (step.kind, step.state, step.zone, step.minutes) == ("repair", "isolated", "top", 6.0)


def test_a_repair_does_not_open_what_is_open(make: SimpleNamespace) -> None:
    repair = make.repair("mend", {"f": 1.0}, zones=("top", "rear"), steps=("Swap it.",))
    model = compile_model(make.family([make.test("look", zone="rear")], [repair]), None, ("f",))
    step = tell(model, standing(model, Case("appliance", readings=(Reading("look"),)), ()), "repair")
    assert step.steps == ("Unplug it and prove it dead.", "Shut the gas.", "Lift the top.", "Swap it.")


def test_an_interlock_says_all_hazards_once() -> None:
    gas = Interlock(
        "gas", "Gas smell", "stop", "Gas may ignite.", steps=("Leave.",), cautions=("No sparks.", "Call from outside.")
    )
    wet = Interlock(
        "wet", "Water inside", "refer", "Shock.", steps=("Dry it.",), cautions=("Do not touch.", "No sparks.")
    )
    step = steps.interlock_step((gas, wet))
    assert (step.kind, step.id, step.title, step.steps) == ("stop", "gas", "Gas smell", ("Leave.",))
    assert step.why == "Gas may ignite. Also: Water inside."
    assert step.cautions == ("No sparks.", "Call from outside.", "Do not touch.")


def test_why_names_the_two_causes_that_the_test_tells_apart() -> None:
    causes = ["igniter weak (61 %)", "valve stuck (20 %)", "lever closed (10 %)"]
    share = np.array([0.61, 0.20, 0.10])
    given = np.array([[0.9, 0.1], [0.1, 0.9], [0.9, 0.1]])
    said = steps.test_why(causes, share, given, 6.0, None)
    assert said == "Tells igniter weak (61 %) from valve stuck (20 %) for 6 minutes' work."
    # What looks alike for the first two is no news about them.
    alike = np.array([[0.9, 0.1], [0.9, 0.1], [0.1, 0.9]])
    assert "igniter weak (61 %) from lever closed (10 %) for 1 minute's" in steps.test_why(
        causes, share, alike, 0.4, None
    )
    # And what looks alike for all is no telling at all.
    same = np.array([[0.9, 0.1], [0.9, 0.1], [0.8, 0.2]])
    assert steps.test_why(causes, share, same, 6.0, None) == "Looks for rarer causes for 6 minutes' work."


def test_why_gives_the_reason_to_measure_again() -> None:
    said = steps.test_why(["a (9 %)", "b (8 %)"], np.array([0.5, 0.5]), np.eye(2), 2.0, "Give the temperature.")
    assert said == "Measure again: Give the temperature. Tells a (9 %) from b (8 %) for 2 minutes' work."


def test_why_with_a_single_cause_left_or_none() -> None:
    one = steps.test_why(["a (98 %)"], np.array([1.0]), np.array([[1.0, 0.0]]), 2.0, None)
    assert one == "Looks into a (98 %) for 2 minutes' work."
    nothing = np.zeros((0, 2))
    assert steps.test_why([], nothing[:, 0], nothing, 2.0, None) == "Looks into the complaint for 2 minutes' work."


def test_why_a_repair(make: SimpleNamespace) -> None:
    family = make.family(
        repairs=[make.repair("mend", {"weak": 0.95, "open": 0.95})], faults=[make.fault("weak"), make.fault("open")]
    )
    model = compile_model(family, None, ("weak", "open"))
    sure, unsure = make.belief({"weak": 0.7, "open": 0.3}), make.belief({"weak": 0.2, "open": 0.001}, none=0.799)
    assert steps.repair_why(model, sure, sure.weights(), 0) == "Cures weak (70 %) or open (30 %), the likeliest cause."
    said = steps.repair_why(model, unsure, unsure.weights(), 0)
    assert said == "Cures weak (20 %): not sure, but worth its cost before anything dearer."


@pytest.mark.parametrize(
    ("share", "text"), [(0.614, "61 %"), (0.001, "under 1 %"), (0.0, "under 1 %"), (0.999, "over 99 %"), (0.99, "99 %")]
)
def test_percent(share: float, text: str) -> None:
    assert steps.percent(share) == text


@pytest.mark.parametrize(
    ("none", "unknown", "name"), [(0.8, 0.1, "no_fault_found"), (0.1, 0.8, "unknown_cause"), (0.1, 0.1, "hand_over")]
)
def test_a_job_is_handed_over_with_the_reason(make: SimpleNamespace, none: float, unknown: float, name: str) -> None:
    model = compile_model(make.family(faults=[make.fault("f")]), None, ("f",))
    belief = make.belief({"f": 1 - none - unknown}, none=none, unknown=unknown)
    step = steps.refer_step(model, belief, belief.weights(), action("refer", 100.0))
    assert (step.kind, step.id, step.expected_cost) == ("refer", name, 100.0)
    assert "80 %" in step.why
    assert np.argmax([none, unknown, 1 - none - unknown]) == ["no_fault_found", "unknown_cause", "hand_over"].index(
        name
    )


def test_a_job_is_handed_over_for_the_want_of_a_skill(make: SimpleNamespace) -> None:
    gas = make.repair("mend", {"f": 1.0}, skill="gas_licence")
    model = compile_model(make.family(repairs=[gas], faults=[make.fault("f")]), None, ("f",))
    belief, out = make.belief({"f": 1.0}), action("refer")
    here = standing(model, Case("appliance"), ())

    def told(*skills: str) -> Step:
        visit = Visit(skills=skills)
        return steps.Teller(model, belief, here, belief.weights(), visit, out).step(out)

    assert (told().id, told("gas_licence").id) == ("skill_needed", "hand_over")
    assert told().why == "The likeliest cause, f (over 99 %), calls for: gas licence."


def test_a_part_that_is_not_at_hand_is_said(make: SimpleNamespace) -> None:
    mend = make.repair("mend", {"f": 1.0}, part="board")
    model = compile_model(make.family(repairs=[mend], faults=[make.fault("f")]), None, ("f",))
    belief, here = make.belief({"f": 1.0}), standing(model, Case("appliance"), ())

    def why(on_hand: tuple[str, ...] | None) -> str:
        visit = Visit(parts_on_hand=on_hand)
        return steps.Teller(model, belief, here, belief.weights(), visit, action("repair")).step(action("repair")).why

    missing = "The part is not at hand (board): leave the appliance safe, and come back with it."
    assert why(("heater",)).endswith(missing)
    assert why(("board",)) == why(None) == "Cures f (over 99 %), the likeliest cause."
