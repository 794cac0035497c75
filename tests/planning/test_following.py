"""Following the advice to every end, against sums made by hand.

Labour costs 1 a minute, a callback 100, another visit for a part 80; a repair is checked in 5 minutes.  To enter the
isolated state takes 2 minutes, to enter the live one 4.
"""

from __future__ import annotations

from types import SimpleNamespace

import pytest

from probewright.figures import invented
from probewright.packs.model import Closing, ReplaceablePart
from probewright.planning.carrying import CARRYING, Carrier
from probewright.planning.finish import ClosingState
from probewright.planning.following import Followed, follow
from probewright.planning.grouping import grouped
from probewright.planning.model import compile_model
from probewright.planning.next_step import Job, Problem, lay_out
from probewright_schemas.records import Case, Visit


def job(make: SimpleNamespace, look: float = 1.0, **visit: object) -> Job:
    """A worn belt or a dead pump, as likely; looking at the belt tells which for certain.

    The pump's repair is proven by a reading with a gauge, in the live state; it takes a skill.
    """
    look_at = make.test("look", minutes=invented(look), instrument="lamp")
    gauge = make.test("gauge", states=("live",), minutes=invented(7.0), instrument="gauge", closing=True)
    family = make.family(
        tests=(look_at, gauge),
        repairs=(
            make.repair("replace_belt", {"belt": 1.0}, part="belt"),
            make.repair("replace_pump", {"pump": 1.0}, part="pump", skill="plumber", closing_checks=("pumps",)),
        ),
        faults=(make.fault("belt"), make.fault("pump")),
        parts=(ReplaceablePart("belt", "Belt", invented(10.0)), ReplaceablePart("pump", "Pump", invented(60.0))),
        closings=(Closing("pumps", "It pumps.", "gauge"),),
    )
    belief = make.belief({"belt": 0.5, "pump": 0.5}, {"look": [0.0, 1.0, 0.0, 0.0]})
    model = compile_model(family, None, belief.faults)
    case = Case(family.id, visit=Visit(**visit))  # type: ignore[arg-type]
    return lay_out(Problem(model, belief, case, (), ClosingState()))


@pytest.fixture
def followed(make: SimpleNamespace) -> Followed:
    return follow(job(make))


#: To the isolated state and the look; the repair; to the live state, and the check there.
LOOK, REPAIR, CHECK = 2.0 + 1.0, 10.0, 4.0 + 5.0


def test_the_ends_are_those_that_come_out_by_hand(followed: Followed) -> None:
    ends = sorted(zip(followed.minutes.tolist(), followed.probability.tolist(), strict=True))
    belt, pump = LOOK + REPAIR + CHECK, LOOK + REPAIR + CHECK + 7.0
    assert ends == [(pytest.approx(belt), pytest.approx(0.5)), (pytest.approx(pump), pytest.approx(0.5))]
    assert followed.expected_minutes == pytest.approx((belt + pump) / 2)
    assert float(followed.probability @ followed.closing) == pytest.approx(0.5 * 7.0)
    assert (followed.quantile(0.1), followed.quantile(0.9)) == (pytest.approx(belt), pytest.approx(pump))
    assert followed.first_visit == pytest.approx(1.0)
    assert followed.cost == pytest.approx(LOOK + REPAIR + CHECK + (10.0 + 60.0) / 2)


def test_what_it_takes_is_what_the_branches_take(followed: Followed) -> None:
    assert followed.parts == {"belt": pytest.approx(0.5), "pump": pytest.approx(0.5)}
    assert followed.tools == {"lamp": pytest.approx(1.0), "gauge": pytest.approx(0.5)}
    assert followed.skills == {"plumber": pytest.approx(0.5)}
    told = {work.action.id: (work.probability, work.start, work.minutes) for work in followed.works}
    assert told["look"] == (pytest.approx(1.0), 0.0, pytest.approx(LOOK))
    for repair in ("replace_belt", "replace_pump"):
        assert told[repair] == (pytest.approx(0.5), pytest.approx(LOOK), pytest.approx(REPAIR))


def test_a_visit_ends_where_a_part_has_to_be_fetched(make: SimpleNamespace) -> None:
    away = follow(job(make, parts_on_hand=("belt",)))
    assert away.first_visit == pytest.approx(0.5)
    assert away.cost == pytest.approx(LOOK + REPAIR + CHECK + 35.0 + 0.5 * 80.0)
    assert away.tools == {"lamp": pytest.approx(1.0)}  # the gauge is for the second visit
    assert away.parts == {"belt": pytest.approx(0.5), "pump": pytest.approx(0.5)}
    assert sorted(away.minutes.tolist()) == [pytest.approx(LOOK), pytest.approx(LOOK + REPAIR + CHECK)]


def test_the_work_is_grouped_with_the_next_step_first(make: SimpleNamespace) -> None:
    laid = job(make)
    (group,) = grouped(laid.problem.model, follow(laid).works)
    assert (group.state, group.zone) == ("isolated", "outside")
    assert group.steps == ("Unplug it and prove it dead.", "Shut the gas.")
    assert [(item.kind, item.id, item.probability) for item in group.work] == [
        ("test", "look", 1.0), ("repair", "replace_belt", 0.5), ("repair", "replace_pump", 0.5),
    ]  # fmt: skip
    assert grouped(laid.problem.model, ()) == ()


def test_carrying_costs_its_share(make: SimpleNamespace) -> None:
    carrier = Carrier(job(make), ("belt", "pump"))
    both = frozenset({"belt", "pump"})
    assert carrier.cost(both) == pytest.approx(carrier.plan(both).cost + float(CARRYING) * 70.0)
    assert carrier.plan(both).cost == pytest.approx(LOOK + REPAIR + CHECK + 35.0 + 0.5 * 7.0)
    assert carrier.plan(frozenset()).fixed == pytest.approx(0.0)
