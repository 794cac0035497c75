from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest

from probewright.circuit.laws import Resistance
from probewright.simulation.draw import Omissions, draw
from probewright.simulation.readings import Taking, seen, take, value
from probewright.simulation.world import World, Wrong
from support.families import DOOR_LOOSE, IN_SERIES, among, heater_circuit, link_circuit, warmer

VOLTS_PER_AMPERE = 25.0  # a small warmer: 24 ohm and its fuse and contact


def taking(world, test, time=0, **more):
    return Taking(next(t for t in world.family.tests if t.id == test), time, **more)


def test_a_current_follows_the_wiring_and_the_supply(sound_world, job_with):
    job = job_with(sound_world)
    volts = float(sound_world.volts[job.supply])
    reading = take(sound_world, job, job.wrong, taking(sound_world, "heater_current"))
    assert reading.unit == "A"
    assert reading.value == pytest.approx(volts / VOLTS_PER_AMPERE, abs=0.4)
    assert volts != pytest.approx(100.0, abs=0.01)


def test_the_true_value_follows_the_supply_to_the_last_digit(sound_world, job_with):
    job = job_with(sound_world)
    true = value(sound_world, job, job.wrong, taking(sound_world, "heater_current").test)
    # The supply is known to 0.5 %, which the lattice spreads.
    assert true == pytest.approx(float(sound_world.volts[job.supply]) / VOLTS_PER_AMPERE, rel=0.015)


def test_an_open_heater_reads_over_range_and_no_current(sound_world, job_with):
    job = job_with(sound_world, "heater_open")
    assert take(sound_world, job, job.wrong, taking(sound_world, "heater_ohms")).over_range
    assert take(sound_world, job, job.wrong, taking(sound_world, "heater_current")).value == pytest.approx(0, abs=0.2)


def test_leads_are_part_of_what_is_displayed(sound_world, job_with):
    shown = [
        take(sound_world, job, job.wrong, taking(sound_world, "heater_ohms")).value
        for job in (job_with(sound_world, number=n) for n in range(40))
    ]
    assert sum(shown) / len(shown) == pytest.approx(24.3, abs=0.15)


def test_what_is_read_twice_differs_by_stray_alone(sound_world, job_with):
    job = job_with(sound_world)
    both = [take(sound_world, job, job.wrong, taking(sound_world, "chamber", time)).value for time in (0, 1)]
    assert both[0] != both[1]
    assert both[0] == pytest.approx(both[1], abs=3.0)  # a stray of 0.5 K each


def test_what_is_seen_stays_so_until_it_is_mended(sound_world, job_with):
    job = job_with(sound_world, "door_loose", **{"seen/door/0/0": 0.5})
    looks = {take(sound_world, job, job.wrong, taking(sound_world, "door", time)).seen for time in range(5)}
    assert looks == {"ajar"}
    mended = take(sound_world, job, job.wrong.without(["door_loose"]), taking(sound_world, "door", 5))
    assert mended.seen == "shut"


def test_after_a_repair_everything_is_looked_at_anew(sound_world, job_with):
    jobs = [job_with(sound_world, "door_loose", number=number) for number in range(60)]
    before, after = ([take(sound_world, j, j.wrong, taking(sound_world, "door", repairs=n)).seen for j in jobs]
                     for n in (0, 1))  # fmt: skip
    assert before != after


def test_what_shows_that_a_job_is_finished_is_looked_at_anew_each_time(sound_world, job_with):
    test = replace(taking(sound_world, "door").test, closing=True)
    jobs = [job_with(sound_world, "door_loose", number=number) for number in range(60)]
    looks = [[take(sound_world, j, j.wrong, Taking(test, time)).seen for j in jobs] for time in (0, 1)]
    assert looks[0] != looks[1]


def test_outcomes_are_as_frequent_as_the_table_says(sound_world, job_with):
    test = taking(sound_world, "door").test
    jobs = [job_with(sound_world, "door_loose", number=number) for number in range(600)]
    counted = Counter(test.outcomes[seen(sound_world, job, job.wrong, Taking(test, 0))] for job in jobs)
    for outcome, chance in DOOR_LOOSE.items():
        assert counted[outcome] / 600 == pytest.approx(chance, abs=4 * (chance * (1 - chance) / 600) ** 0.5)


def test_some_readings_are_misread(toy, job_with):
    world = World(toy.family, 0.2)
    jobs = [job_with(world, number=number) for number in range(400)]
    shown = [take(world, job, job.wrong, taking(world, "heater_current")).value for job in jobs]
    right = sum(abs(ampere - 4.0) < 0.4 for ampere in shown)
    # A mistake may happen to come near: over four decades that is seldom.
    assert 1 - right / 400 == pytest.approx(0.2, abs=0.08)


def test_a_mistake_is_of_one_time(toy, job_with):
    world = World(toy.family, 0.3)
    job = job_with(world, **{"misread/heater_current/0": 0.0, "misread/heater_current/1": 1.0})
    wrong, right = (take(world, job, job.wrong, taking(world, "heater_current", time)).value for time in (0, 1))
    assert right == pytest.approx(4.0, abs=0.4)
    assert wrong != pytest.approx(4.0, abs=0.4)


def test_something_unknown_leaves_most_readings_as_they_are(sound_world, job_with):
    jobs = [replace(job_with(sound_world, number=n), wrong=Wrong((), True)) for n in range(400)]
    test = taking(sound_world, "heater_current").test
    disturbed = sum(value(sound_world, job, job.wrong, test) is None for job in jobs)
    assert disturbed / 400 == pytest.approx(0.25, abs=0.09)
    assert all(take(sound_world, job, job.wrong, Taking(test, 0)).unit == "A" for job in jobs)


def test_a_set_point_is_noted_and_a_forgotten_temperature_asked_for(range_world):
    sensor = taking(range_world, "oven_sensor_resistance")
    told = Omissions(ambient=1.0)
    jobs = (draw(range_world, 4, number, told) for number in range(99))
    job = next(job for job in jobs if ("oven_control", "electronic") in job.options)
    first = take(range_world, job, job.wrong, sensor)
    again = take(range_world, job, job.wrong, replace(sensor, time=1))
    assert first.conditions is None
    assert again.conditions.ambient.value == pytest.approx(job.ambient, abs=0.06)
    oven = take(range_world, job, job.wrong, taking(range_world, "oven_temperature"))
    assert oven.conditions.set_point.value == pytest.approx(176.7)


def test_parts_of_one_circuit_are_the_same_in_every_test(job_with):
    """Volts over amperes are ohms, whatever the tolerance of the heater made of this very appliance."""
    circuit = heater_circuit()
    parts = tuple(replace(p, law=Resistance(among(20.0, 28.0))) if p.id == "heater" else p for p in circuit.parts)
    world = World(warmer(circuits=(replace(circuit, parts=parts), link_circuit())), 0.0)
    jobs = [job_with(world, number=number) for number in range(40)]
    tests = [taking(world, name).test for name in ("heater_current", "heater_ohms")]
    pairs = [[value(world, job, job.wrong, test) for test in tests] for job in jobs]
    assert max(ohms for _, ohms in pairs) - min(ohms for _, ohms in pairs) > 5
    for job, (amperes, ohms) in zip(jobs, pairs, strict=True):
        assert amperes * (ohms + IN_SERIES) == pytest.approx(float(world.volts[job.supply]), rel=0.015)


def test_state_and_repair_are_noted(sound_world, job_with):
    job = job_with(sound_world)
    reading = take(sound_world, job, job.wrong, taking(sound_world, "glow", state="live", after_repair="tighten_door"))
    assert (reading.state, reading.after_repair) == ("live", "tighten_door")


def test_a_low_supply_is_a_condition_of_every_other_reading(range_world):
    jobs = (draw(range_world, 8, number, Omissions()) for number in range(4000))
    low = next(j for j in jobs if j.wrong.faults == ("supply_voltage_low",) and ("igniter_style", "flat") in j.options)
    volts = range_world.supply_voltage(low, low.wrong)
    assert 80 < volts < 108
    test = taking(range_world, "bake_circuit_voltage").test
    assert value(range_world, low, low.wrong, test) == pytest.approx(volts, rel=0.03)
    assert value(range_world, low, Wrong(), test) > 112
