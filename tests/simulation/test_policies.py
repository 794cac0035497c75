from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from probewright.figures import invented
from probewright.packs.model import Interlock
from probewright.settings import Settings
from probewright.simulation.bearing import Believed, Mind, told
from probewright.simulation.ledger import Ledger
from probewright.simulation.play import play
from probewright.simulation.policies import Scene, by_chance_over_cost, chance, checklist, likeliest, one_step, planner
from probewright.simulation.world import World
from probewright_schemas.records import Case, Conditions, Reading, RepairDone
from support.families import chances, pack_of, warmer

COLD = {"shows/cold": 0.5, "says/cold": 0.5, "works/heats": 0.5}


def scene(pack, case):
    compiled = {test.id for test in pack.family.tests}
    return Scene(case, Ledger(pack.family), compiled, sorted(pack.family.repairs, key=lambda r: r.id))


def cold(**more):
    return Case("warmer", options={"style": "small", "lamp": "yes"}, complaints=("cold",), **more)


def test_the_checklist_is_gone_through_in_its_order(toy, job_with):
    world = World(toy.family, 0.0)
    job = job_with(world, "heater_open", **COLD, **{"cures/replace_heater/heater_open": 0.0})
    job = replace(job, case=replace(job.case, conditions=Conditions()))
    played = play(world, job, checklist(toy, Settings()))
    read = [step for step in played.steps if step in toy.family.checklist]
    assert read == [test for test in toy.family.checklist if test in read]
    assert read[0] == "door"
    assert played.steps[-1] == "replace_heater"
    assert played.resolved


def test_only_tests_that_bear_on_the_complaint_are_done(toy):
    mind = Mind(toy, Settings())
    assert "heater_ohms" in mind.bearing(cold())
    assert "wire_volts" not in mind.bearing(replace(cold(), complaints=("rattles",)))
    assert "door" in mind.bearing(replace(cold(), complaints=("rattles",)))


def test_what_is_noted_already_is_not_measured_again(toy, job_with):
    job = job_with(World(toy.family, 0.0), "heater_open", **COLD)
    assert job.case.conditions.supply_voltage is not None
    played = play(World(toy.family, 0.0), job, checklist(toy, Settings()))
    assert "supply_volts" not in played.steps


def test_the_list_ends_where_a_repair_is_sure_enough(toy, job_with):
    world = World(toy.family, 0.0)
    job = job_with(world, "door_loose", **COLD, **{"seen/door/0/0": 0.95, "cures/tighten_door/door_loose": 0.0})
    played = play(world, job, checklist(toy, Settings()))
    assert played.steps.index("tighten_door") < len(toy.family.checklist)


def test_the_likeliest_part_is_swapped_without_a_test(toy, job_with):
    world = World(toy.family, 0.0)
    job = job_with(world, "fuse_open", **COLD, **{"cures/replace_fuse/fuse_open": 0.0})
    played = play(world, job, likeliest(toy, Settings()))
    assert played.tests == 0
    assert played.steps[0] == "replace_heater"
    assert played.swapped == ("replace_heater",)


def test_swapping_ends_with_the_complaint(toy, job_with):
    world = World(toy.family, 0.0)
    job = job_with(world, "heater_weak", **COLD, **{"cures/replace_heater/heater_weak": 0.0})
    played = play(world, job, likeliest(toy, Settings()))
    assert (played.steps, played.ended) == (("replace_heater",), "done")


def test_every_policy_stops_at_an_interlock(script):
    lock = Interlock("noise", "Noise", "stop", "It may fly apart.", complaints=("rattles",))
    pack = pack_of(warmer(interlocks=(lock,), checklist=("door",)))
    rattling = replace(cold(), complaints=("rattles",))
    for make in (lambda *given: planner(*given, "quick"), checklist, likeliest, one_step):
        policy = make(pack, Settings())
        move = policy(scene(pack, rattling))
        assert (move.kind, move.id) == ("stop", "noise")


def test_a_policy_is_done_when_the_complaint_is_gone(toy):
    done = cold(repairs_done=(RepairDone("replace_heater", complaint_remains=False),))
    assert checklist(toy, Settings())(scene(toy, done)).kind == "done"
    assert likeliest(toy, Settings())(scene(toy, done)).kind == "done"


def test_one_step_tests_where_a_test_pays_at_once_and_repairs_where_none_does(toy):
    policy = one_step(toy, Settings())
    assert policy(scene(toy, cold())).kind == "test"
    open_heater = (Reading("heater_ohms", over_range=True), Reading("glow", seen="none"))
    assert policy(scene(toy, cold(readings=open_heater))).id == "replace_heater"


def test_one_step_hands_over_when_nothing_pays(toy):
    priceless = pack_of(replace(toy.family, costs=replace(toy.family.costs, callback=invented(0.01)), repairs=()))
    assert one_step(priceless, Settings())(scene(priceless, cold())).kind == "refer"


def test_a_repair_that_failed_is_not_done_again(toy):
    failed = cold(repairs_done=(RepairDone("replace_heater", complaint_remains=True),))
    assert likeliest(toy, Settings())(scene(toy, failed)).id != "replace_heater"


def test_repairs_go_by_chance_over_cost(toy):
    mind = Mind(toy, Settings())
    believed = Believed({}, {"heater_open": 0.5, "door_loose": 0.45}, 0.05, 0.0, None)
    # A heater cures 0.45 for 60, a door 0.36 for 15.
    assert by_chance_over_cost(scene(toy, cold()), believed, mind).id == "tighten_door"


def test_the_way_out_is_taken_when_no_repair_pays(toy):
    mind = Mind(toy, Settings())
    believed = Believed({}, {"heater_open": 0.05}, 0.9, 0.05, None)
    assert by_chance_over_cost(scene(toy, cold()), believed, mind).kind == "refer"


def test_two_repairs_may_pay_together_where_neither_does_alone(toy):
    """By hand: way out 100 + 15 for each of two faults, repairs 100 each; one alone costs 100 + 57.5, both 150."""
    family = toy.family
    costly = tuple(
        replace(r, cures=chances(**{fault: 1.0}), minutes=invented(90.0), part=None)
        for r, fault in zip(family.repairs[:2], ("fuse_open", "door_loose"), strict=True)
    )  # fmt: skip
    pack = pack_of(replace(family, repairs=costly))
    mind = Mind(pack, Settings())
    assert mind.remedies == pytest.approx({"fuse_open": 100.0, "door_loose": 100.0})
    even = Believed({}, {"fuse_open": 0.5, "door_loose": 0.5}, 0.0, 0.0, None)
    # Way out: 100 + 100.  Both in a row: 100 + 0.5 x 100 = 150.
    assert by_chance_over_cost(scene(pack, cold()), even, mind).kind == "repair"
    rare = Believed({}, {"fuse_open": 0.2, "door_loose": 0.2}, 0.6, 0.0, None)
    # Way out: 100 + 0.4 x 100 = 140.  Both in a row: 100 + 80 + 0.6 x 100 = 240.
    assert by_chance_over_cost(scene(pack, cold()), rare, mind).kind == "refer"


def test_the_chance_of_a_repair_is_that_of_what_it_cures(toy):
    heater = next(r for r in toy.family.repairs if r.id == "replace_heater")
    assert chance(heater, {"heater_weak": 0.5, "heater_open": 0.2, "fuse_open": 0.3}) == pytest.approx(0.655)


def test_what_a_test_tells_is_in_nats():
    # A perfect test of two even hypotheses tells ln 2; a blind one nothing.
    assert told(np.array([0.5, 0.5]), np.eye(2)) == pytest.approx(np.log(2))
    assert told(np.array([0.5, 0.5]), np.full((2, 2), 0.5)) == pytest.approx(0.0)


def test_bystanders_explain_nothing(toy):
    believed = Mind(toy, Settings()).believed(cold())
    total = sum(believed.explains.values()) + believed.none + believed.unknown
    assert total == pytest.approx(1.0)
    assert believed.explains["lamp_dirty"] < 0.2 * believed.present["lamp_dirty"]
    assert believed.explains["heater_open"] > 0.1
