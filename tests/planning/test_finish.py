"""A job is closed when every closing check has passed, and never before."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from probewright.figures import invented
from probewright.packs.model import Closing, Repair, Table
from probewright.planning.belief import Belief
from probewright.planning.finish import Finish, closing_state, finish, foreseen
from probewright.planning.model import PlanningModel, compile_model
from probewright_schemas.records import Case, CheckedReading, Finding, Reading, RepairDone, Visit

CHECKS = ("tight", "heats", "on")
TEST_OF = {"tight": "leak", "heats": "lights", "on": "covers"}


@pytest.fixture
def model(make: SimpleNamespace) -> PlanningModel:
    """One repair behind the rear cover, with three checks."""
    tests = [
        make.test("leak", states=("live",), zone="rear", steps=("Brush solution on.",), cautions=("Never a flame.",)),
        make.test("lights", states=("live",), models=make.test("x").models),
        make.test("covers", states=("isolated", "live_gas_off", "live"), closing=True, steps=("Look.",)),
    ]
    closings = (Closing("tight", "Nothing leaks.", "leak"), Closing("heats", "It lights.", "lights"),
                Closing("on", "Covers are on.", "covers"), Closing("said", "The customer knows."))  # fmt: skip
    repair = make.repair("fit_pipe", {"a": 0.9}, zones=("rear",), closing_checks=(*CHECKS, "said"), steps=("Fit it.",))
    family = make.family(tests, [repair], [make.fault("a")], closings=closings)
    return compile_model(family, None, ("a",))


def ask(
    model: PlanningModel, shown: dict[str, str], left: float = 0.1, remains: Sequence[bool] = (False,),
    verdict: Any = "within", findings: tuple[Finding, ...] = (), times: int = 2,
) -> Finish:  # fmt: skip
    """What is left to do; ``left`` is the probability that the fault is there now, and all is read ``times``."""
    readings = times * tuple(Reading(TEST_OF[check], after_repair="fit_pipe") for check in shown)
    checked = times * [CheckedReading(TEST_OF[c], verdict, seen=seen, findings=findings) for c, seen in shown.items()]
    done = tuple(RepairDone("fit_pipe", complaint_remains=one) for one in remains)
    case = Case("appliance", readings=readings, repairs_done=done)
    belief = Belief(("a",), np.array([left]), 0.95 - left, 0.05)
    return finish(model, belief, case, closing_state(model.family, case, checked))


def test_only_what_all_has_passed_is_done(model: PlanningModel) -> None:
    for shown in itertools.product(("good", "bad", None), repeat=3):
        given = {check: seen for check, seen in zip(CHECKS, shown, strict=True) if seen is not None}
        found = ask(model, given)
        assert (found.kind == "done") is (shown == ("good", "good", "good")), shown


def test_what_is_open_is_shown_in_order(model: PlanningModel) -> None:
    shown: dict[str, str] = {}
    for check in CHECKS:
        found = ask(model, shown)
        assert (found.kind, found.step and found.step.id) == ("check", TEST_OF[check])
        shown[check] = "good"


def test_a_check_is_told_like_a_test_with_the_repair_that_it_proves(model: PlanningModel) -> None:
    step = ask(model, {}).step
    assert step is not None
    assert (step.kind, step.state, step.zone) == ("test", "live", "rear")
    assert step.why == "Closing check after: fit pipe. Nothing leaks."
    # The rear cover is open since the repair, and the appliance still runs; how to get there is told all the same.
    assert step.steps == ("Plug it in and open the gas.", "Brush solution on.")
    assert step.cautions[:2] == ("Gas and mains are on.", "Never a flame.")
    assert step.minutes == 1.0


def test_what_may_be_done_anywhere_needs_no_way(model: PlanningModel) -> None:
    step = ask(model, {"tight": "good", "heats": "good"}).step
    assert step is not None
    assert (step.state, step.steps, step.minutes) == ("live", ("Look.",), 1.0)


def test_done_tells_what_no_test_shows(model: PlanningModel) -> None:
    found = ask(model, dict.fromkeys(CHECKS, "good"))
    assert found.step is not None
    assert (found.step.kind, found.step.id) == ("done", "job_done")
    assert found.step.why == "The complaint is gone after: fit pipe. All 3 closing checks have passed."
    assert found.step.steps == ("The customer knows.",)


def test_while_the_complaint_remains_planning_goes_on(model: PlanningModel) -> None:
    assert ask(model, {}, remains=(True,)) == Finish("plan")
    assert ask(model, {}, remains=()) == Finish("plan")
    assert ask(model, {}, remains=(False, True)) == Finish("plan")


def test_a_failed_check_that_a_fault_explains_goes_back_to_planning(model: PlanningModel) -> None:
    assert ask(model, {"heats": "bad"}, left=0.6) == Finish("plan")


def failed(make: SimpleNamespace, *, guarded: bool, shown: str) -> Finish:
    """Fault ``b`` is there with 0.3; the one check, whose test shows ``shown``, has failed for sure."""
    looks = Table({"good": invented(1.0)}, by_fault={shown: {"bad": invented(1.0)}})
    test = make.test("lights", states=("live",), models=(looks,))
    repair = make.repair("mend", {"a": 0.9}, closing_checks=("heats",))
    closing = Closing("heats", "It lights.", "lights", guarded=guarded)
    family = make.family([test], [repair], [make.fault("a"), make.fault("b")], closings=(closing,))
    readings = 2 * (Reading("lights", after_repair="mend"),)
    case = Case("appliance", readings=readings, repairs_done=(RepairDone("mend", complaint_remains=False),))
    belief = Belief(("a", "b"), np.array([0.05, 0.3]), 0.6, 0.05)
    checked = 2 * [CheckedReading("lights", "outside", seen="bad")]
    return finish(compile_model(family, None, ("a", "b")), belief, case, closing_state(family, case, checked))


def test_only_faults_that_the_check_shows_explain_its_failure(make: SimpleNamespace) -> None:
    assert failed(make, guarded=False, shown="b").kind == "plan"
    assert failed(make, guarded=False, shown="a").kind == "again"


def test_what_safety_depends_on_is_made_good_before_anything_is_looked_for(make: SimpleNamespace) -> None:
    assert failed(make, guarded=True, shown="b").kind == "again"


def test_a_second_fault_is_mended_before_the_job_is_closed(model: PlanningModel) -> None:
    assert ask(model, dict.fromkeys(CHECKS, "good"), left=0.6) == Finish("plan")


def test_one_that_nothing_explains_points_to_the_work_just_done(model: PlanningModel) -> None:
    found = ask(model, {"heats": "bad"})
    assert found.kind == "again"
    assert found.step is not None
    assert (found.step.kind, found.step.id, found.step.state) == ("test", "lights", "live")
    assert "It lights." in found.step.why
    good = next(i for i, step in enumerate(found.step.steps) if step.startswith("Look over what was done (fit pipe)"))
    assert "Unplug it and prove it dead." in found.step.steps[:good]
    assert "Plug it in and open the gas." in found.step.steps[good:]


def test_what_failed_once_is_read_again(model: PlanningModel) -> None:
    found = ask(model, {"heats": "bad"}, times=1)
    assert found.kind == "check"
    assert found.step is not None
    assert (found.step.kind, found.step.id) == ("test", "lights")
    assert found.step.why.startswith("Measure again: it failed")


def test_what_was_made_good_in_vain_is_handed_over(model: PlanningModel) -> None:
    found = ask(model, {"heats": "bad"}, times=4)
    assert found.kind == "refer"
    assert found.step is not None
    assert (found.step.kind, found.step.id) == ("refer", "hand_over")
    assert "read 4 times" in found.step.why


@pytest.mark.parametrize(
    ("visit", "name"),
    [
        (Visit(tools=()), "instrument_needed"),
        (Visit(skills=()), "skill_needed"),
        (Visit(("mirror",), ("gas",)), "lights"),
    ],
)
def test_a_check_takes_what_the_visit_brought_along(make: SimpleNamespace, visit: Visit, name: str) -> None:
    lights = make.test("lights", states=("live",), instrument="mirror", skill="gas")
    repair = make.repair("mend", {"a": 0.9}, closing_checks=("heats",))
    family = make.family([lights], [repair], [make.fault("a")], closings=(Closing("heats", "It lights.", "lights"),))
    case = Case("appliance", repairs_done=(RepairDone("mend", complaint_remains=False),), visit=visit)
    belief = Belief(("a",), np.array([0.05]), 0.9, 0.05)
    found = finish(compile_model(family, None, ("a",)), belief, case, closing_state(family, case, []))
    assert found.step is not None
    assert found.step.id == name
    assert (found.kind == "refer") == (name != "lights")


def test_a_reading_that_can_be_put_right_says_how(make: SimpleNamespace) -> None:
    volts = make.test("volts", kind="voltage", unit="V", states=("live_gas_off",), outcomes=())
    repair = make.repair("mend", {"a": 0.9}, closing_checks=("fed",))
    family = make.family([volts], [repair], [make.fault("a")], closings=(Closing("fed", "It is fed.", "volts"),))
    case = Case("appliance", readings=(Reading("volts", after_repair="mend"),),
                repairs_done=(RepairDone("mend", complaint_remains=False),))  # fmt: skip
    doubt = Finding("high_impedance_source", "doubt", "It floats.", "Read again with a low-impedance input.")
    state = closing_state(family, case, [CheckedReading("volts", "inconclusive", value=40.0, findings=(doubt,))])
    found = finish(compile_model(family, None, ("a",)), Belief(("a",), np.array([0.1]), 0.85, 0.05), case, state)
    assert found.step is not None
    assert found.step.why == (
        "Measure again: Read again with a low-impedance input. Closing check after: mend. It is fed."
    )


def test_one_more_repair_brings_its_own_checks(model: PlanningModel) -> None:
    case = Case("appliance", readings=(Reading("leak", after_repair="fit_pipe"),),
                repairs_done=(RepairDone("fit_pipe", complaint_remains=False),))  # fmt: skip
    state = closing_state(model.family, case, [CheckedReading("leak", "within", seen="good")])
    again = Repair("light", "Light it", {}, model.repairs.records[0].minutes, "live", (), closing_checks=("heats",))
    told = foreseen(model, case, state, again)
    assert [(check.id, check.status) for check in told] == [
        ("tight", "passed"), ("heats", None), ("on", "open"), ("said", None),
    ]  # fmt: skip


def test_a_test_that_only_closes_is_never_proposed_to_find_a_fault(model: PlanningModel) -> None:
    assert [test.id for test in model.tests.records] == ["leak", "lights"]
