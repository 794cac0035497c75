"""What was read before a repair that could have changed it may be read again."""

from __future__ import annotations

from types import SimpleNamespace

import pytest

from probewright.circuit.laws import Resistance
from probewright.circuit.parts import Circuit, Open, Part
from probewright.figures import exactly, invented
from probewright.packs.model import Between, Table
from probewright.planning.model import PlanningModel, compile_model
from probewright.planning.standing import standing
from probewright_schemas.records import Case, CheckedReading, Reading, RepairDone


@pytest.fixture
def model(make: SimpleNamespace) -> PlanningModel:
    """``look`` shows fault a, ``ohms`` fault b through a circuit, ``other`` neither."""
    chances = {"good": invented(1.0), "bad": invented(0.0)}
    tests = [
        make.test("look", models=(Table(chances, {"a": chances}),)),
        make.test("ohms", kind="resistance", unit="ohm", outcomes=(), models=(Between("loop", "x", "earth"),)),
        make.test("other"),
    ]
    loop = Circuit("loop", "earth", (Part("wire", "x", "earth", Resistance(exactly(invented(1.0)))),),
                   {"b": (Open("wire"),)}, invented(50.0))  # fmt: skip
    repairs = [make.repair("mend_a", {"a": 0.9}), make.repair("mend_b", {"b": 0.9})]
    return compile_model(make.family(tests, repairs, [make.fault("a"), make.fault("b")], circuits=(loop,)), None,
                         ("a", "b"))  # fmt: skip


def read(model: PlanningModel, done: list[str], *readings: tuple[str, str | None]) -> set[str]:
    """The tests that count as read."""
    given = tuple(Reading(test, after_repair=after) for test, after in readings)
    repairs = tuple(RepairDone(repair, complaint_remains=True) for repair in done)
    case = Case("appliance", readings=given, repairs_done=repairs)
    return set(standing(model, case, [CheckedReading(test, "within") for test, _ in readings]).read)


EVERYTHING = (("look", None), ("ohms", None), ("other", None))


def test_without_repairs_every_reading_counts(model: PlanningModel) -> None:
    assert read(model, [], *EVERYTHING) == {"look", "ohms", "other"}


@pytest.mark.parametrize(
    ("repair", "left"), [("mend_a", {"ohms", "other"}), ("mend_b", {"look", "other"})]
)  # fmt: skip
def test_a_repair_outdates_the_tests_that_show_what_it_cures(
    model: PlanningModel, repair: str, left: set[str]
) -> None:
    assert read(model, [repair], *EVERYTHING) == left


def test_what_was_read_since_counts(model: PlanningModel) -> None:
    assert read(model, ["mend_a"], *EVERYTHING, ("look", "mend_a")) == {"look", "ohms", "other"}
    assert read(model, ["mend_a", "mend_b"], ("look", "mend_a"), ("ohms", "mend_a")) == {"look"}


def test_the_reading_since_decides_whatever_is_listed_last(model: PlanningModel) -> None:
    case = Case("appliance", readings=(Reading("look", after_repair="mend_a"), Reading("look")),
                repairs_done=(RepairDone("mend_a", complaint_remains=True),))  # fmt: skip
    checked = [CheckedReading("look", "rejected"), CheckedReading("look", "within")]
    assert standing(model, case, checked).read["look"] == "the reading could not be used"
