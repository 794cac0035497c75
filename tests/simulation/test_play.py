from __future__ import annotations

from dataclasses import replace

import pytest

from probewright.engine import Forecast
from probewright.figures import invented
from probewright.packs.model import Interlock, Repair, ReplaceablePart
from probewright.simulation.play import MOST_STEPS, curable, hazardous, play
from probewright.simulation.world import World, Wrong
from support.families import REPAIRS, chances, warmer

#: Uniforms under which the customer's complaint is there because the function fails, and every repair works.
COLD = {"shows/cold": 0.5, "says/cold": 0.5, "works/heats": 0.5}


def working(*repairs):
    return {f"cures/{name}/{fault}": 0.0 for name in repairs for fault in (
        "heater_open", "heater_weak", "fuse_open", "door_loose")}  # fmt: skip


def test_a_scripted_job_costs_what_is_reckoned_by_hand(sound_world, job_with, script):
    job = job_with(sound_world, "heater_open", **COLD, **working("replace_heater"))
    played = play(sound_world, job, script(("test", "heater_current"), ("repair", "replace_heater")))
    # power 3, read 1; isolate 2, fit 20, power 3, verify 5; the heater 30; labour is 1 a minute.
    assert played.minutes == pytest.approx(34)
    assert played.cost == pytest.approx(64)
    assert (played.resolved, played.first_visit, played.ended) == (True, True, "done")
    assert (played.tests, played.repairs, played.swapped) == (1, 1, ())
    assert played.steps == ("heater_current", "replace_heater")


def test_a_good_part_swapped_is_counted_and_the_callback_paid(sound_world, job_with, script):
    job = job_with(sound_world, "fuse_open", **COLD)
    played = play(sound_world, job, script(("repair", "replace_heater"), last=("refer", "hand_over")))
    assert played.swapped == ("replace_heater",)
    assert not played.resolved
    assert played.ended == "refer: hand_over"
    # isolate 2, fit 20, power 3, verify 5, heater 30; callback 100; then the fuse: 2 + 5 + 3 + 5.
    assert played.cost == pytest.approx(60 + 100 + 15)


def test_a_repair_without_a_part_swaps_none(sound_world, job_with, script):
    job = job_with(sound_world, "fuse_open", **COLD)
    assert play(sound_world, job, script(("repair", "tighten_door"), last=("refer", ""))).swapped == ()


def test_a_part_that_is_missing_costs_a_second_trip_and_the_first_visit(sound_world, job_with, script):
    job = job_with(sound_world, "heater_open", **COLD, **working("replace_heater"))
    with_it = play(sound_world, job, script(("test", "door"), ("repair", "replace_heater")), ("heater",))
    without = play(sound_world, job, script(("test", "door"), ("repair", "replace_heater")), ())
    assert (with_it.first_visit, without.first_visit) == (True, False)
    assert without.resolved
    # The second trip is 80, and the way to isolation is gone again: 2.
    assert without.cost == pytest.approx(with_it.cost + 80 + 2)


def test_a_fault_that_a_repair_leaves_goes_on_showing(sound_world, job_with, script):
    job = job_with(sound_world, "heater_open", **COLD, **{"cures/replace_heater/heater_open": 0.999})
    policy = script(("repair", "replace_heater"), ("test", "heater_ohms"), last=("refer", ""))
    played = play(sound_world, job, policy)
    assert not played.resolved
    last = policy.scenes[-1].case
    assert last.repairs_done[0].complaint_remains
    assert last.readings[0].over_range
    assert last.readings[0].after_repair == "replace_heater"


def test_two_faults_are_mended_one_after_the_other(sound_world, job_with, script):
    job = job_with(sound_world, "heater_open", "fuse_open", **COLD, **working("replace_heater", "replace_fuse"))
    policy = script(("repair", "replace_heater"), ("repair", "replace_fuse"))
    played = play(sound_world, job, policy)
    assert [done.complaint_remains for done in policy.scenes[-1].case.repairs_done] == [True, False]
    assert played.resolved
    assert played.swapped == ()


def test_closing_is_timed_by_itself(sound_world, job_with, script):
    job = job_with(sound_world, "heater_open", **COLD, **working("replace_heater"))
    moves = ("test", "door"), ("repair", "replace_heater"), ("test", "glow"), ("test", "door")
    played = play(sound_world, job, script(*moves))
    # The glow under power, where the proof of the repair ended, 1; the door isolated, 2 + 1.
    assert played.closing == pytest.approx(1 + 3)
    assert played.gone


def test_a_complaint_that_is_gone_and_handed_over_all_the_same_is_told(sound_world, job_with, script):
    job = job_with(sound_world, "heater_open", **COLD, **working("replace_heater"))
    played = play(sound_world, job, script(("repair", "replace_heater"), last=("refer", "hand_over")))
    assert (played.gone, played.resolved, played.first_visit) == (True, False, False)
    assert played.cost == pytest.approx(60 + 100)  # nothing is left to remedy


def test_faults_that_nobody_complained_of_are_not_charged_for(sound_world, job_with, script):
    groundless = {"shows/cold": 0.5, "says/cold": 0.001, "works/heats": 0.01}
    bystander = job_with(sound_world, "door_loose", **groundless)
    assert play(sound_world, bystander, script(last=("refer", ""))).cost == pytest.approx(100)
    job = job_with(sound_world, "fuse_open", "lamp_dirty", **COLD)
    assert play(sound_world, job, script(last=("refer", ""))).cost == pytest.approx(100 + 15)


def test_whoever_never_ends_is_stopped_and_called_back(sound_world, job_with, script):
    job = job_with(sound_world, "fuse_open", **COLD)
    played = play(sound_world, job, script(last=("test", "door")))
    assert (played.ended, played.resolved, played.tests) == ("given_up", False, MOST_STEPS)
    assert played.cost == pytest.approx(2 + MOST_STEPS + 100 + 15)


def test_advice_for_another_build_shows_which_one_it_is(sound_world, job_with, script):
    job = job_with(sound_world, "heater_open", options={"style": "small", "lamp": "no"}, **COLD)
    job = replace(job, case=replace(job.case, options={}))
    policy = script(("test", "lamp"), ("test", "door"))
    played = play(sound_world, job, policy)
    assert played.steps == ("door",)
    assert dict(policy.scenes[1].case.options) == {"lamp": "no"}


def test_every_policy_meets_the_same_appliance(sound_world, job_with, script):
    """A test read for the first time gives the same, whatever was done before it."""
    job = job_with(sound_world, "door_loose")
    one, other = script(("test", "chamber"), ("test", "door")), script(("test", "door"), ("test", "chamber"))
    play(sound_world, job, one)
    play(sound_world, job, other)
    assert sorted(map(repr, one.scenes[-1].case.readings)) == sorted(map(repr, other.scenes[-1].case.readings))


@pytest.mark.parametrize(("faults", "can"), [
    (("heater_open",), True), (("no_supply",), False), ((), False), (("heater_open", "no_supply"), False),
])  # fmt: skip
def test_curable_is_what_listed_repairs_can_take_away(sound_world, job_with, faults, can):
    job = job_with(sound_world, *faults, **COLD, **working("replace_heater"))
    assert curable(sound_world, job) is can


def test_what_no_repair_helps_on_this_appliance_is_not_curable(sound_world, job_with):
    fails = {f"cures/{repair.id}/heater_open": 0.999 for repair in REPAIRS}
    assert not curable(sound_world, job_with(sound_world, "heater_open", **COLD, **fails))
    unknown = replace(job_with(sound_world, **COLD), wrong=Wrong((), True))
    assert not curable(sound_world, unknown)


def test_a_hazard_is_what_an_interlock_would_stop_at(job_with):
    lock = Interlock("flying_door", "The door is gone", "refer", "Hot air.", seen={"door": ("gone",)})
    current = Interlock("overload", "Too much current", "stop", "It burns.", above={"heater_current": invented(4.5)})
    world = World(warmer(interlocks=(lock, current)), 0.0)
    assert hazardous(world, job_with(world, "door_loose", **{"seen/door/0/0": 0.95}))
    assert not hazardous(world, job_with(world, "door_loose", **{"seen/door/0/0": 0.5}))
    assert hazardous(world, job_with(world, options={"style": "large", "lamp": "no"}, **{"seen/door/0/0": 0.1}))


def test_parts_that_share_a_job_are_remedied_together(job_with, script):
    """One repair that is the remedy of both faults is paid once."""
    both = Repair("replace_all", "Replace all", chances(fuse_open=1.0, heater_open=1.0), invented(1.0), "live",
                  ("outside",), part="all")  # fmt: skip
    family = warmer(repairs=(both,), parts=(ReplaceablePart("all", "All", invented(7.0)),))
    world = World(family, 0.0)
    job = job_with(world, "heater_open", "fuse_open", **COLD)
    played = play(world, job, script(last=("refer", "")))
    assert played.cost == pytest.approx(100 + 1 + 5 + 7)


def believing(asked):
    """A forecaster that notes the cases that it is asked about."""

    def forecaster(case):
        asked.append(case)
        return Forecast({}, 0.0, 1.0, 0.0, {})

    return forecaster


def test_what_was_believed_is_kept_at_the_first_repair_and_at_the_end(sound_world, job_with, script):
    job = job_with(sound_world, "heater_open", **COLD, **working("tighten_door", "replace_heater"))
    policy = script(("test", "glow"), ("repair", "tighten_door"), ("test", "heater_ohms"), ("repair", "replace_heater"))
    asked = []
    played = play(sound_world, job, policy, forecaster=believing(asked))
    assert [[reading.test for reading in case.readings] for case in asked] == [["glow"], ["glow", "heater_ohms"]]
    assert [[repair.repair for repair in case.repairs_done] for case in asked] == [
        [], ["tighten_door", "replace_heater"]
    ]  # fmt: skip
    assert played.decided.wrong == Wrong(("heater_open",))
    assert played.left.wrong == Wrong()


def test_who_leaves_without_a_repair_decided_so_on_what_was_believed_then(sound_world, job_with, script):
    job = job_with(sound_world, "heater_open", **COLD)
    played = play(sound_world, job, script(("test", "glow"), last=("refer", "")), forecaster=believing([]))
    assert played.decided == played.left
    assert played.left.wrong == Wrong(("heater_open",))


def test_nothing_is_kept_where_nobody_asks(sound_world, job_with, script):
    played = play(sound_world, job_with(sound_world, "heater_open", **COLD), script(last=("refer", "")))
    assert played.decided is played.left is None
