"""Faults that read alike are one class; each class stands for what every one of its members would read."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from probewright.circuit.lattice import POINTS
from probewright.circuit.measure import Dictionary, Measurement, dictionaries
from probewright.circuit.network import Network
from probewright.circuit.parts import Drift, Level, Open, Stuck, holds
from probewright.circuit.solve import Probe, solve
from probewright.inference.configurations import configurations
from probewright.inference.store import _measurements
from probewright.packs.loader import load_packs
from support.circuits import among, at, circuit, class_of, dictionary, meter, readings, resistor, source, switch

CHANGES = {
    "cut_far": (Open("far"),),
    "cut_near": (Open("near"),),
    "dead": (Level("line", at(0.0)),),
    "drifted": (Drift("near", among(1.1, 1.5)),),
    "stuck": (Stuck("knob", "open"),),
    "unmoved": (Drift("near", at(1.0)),),
}  # fmt: skip


def bench(**more):
    return circuit(source("line", "a", "0", 120.0), switch("knob", "a", "b", 1.0),
                   resistor("near", "b", "0", among(9.0, 11.0)), resistor("far", "x", "0", 5.0),
                   changes={**CHANGES, **more})  # fmt: skip


def test_healthy_is_class_0_and_shared_by_what_changes_nothing():
    found = dictionary(bench(), meter("current", "near"))
    assert found.faults == tuple(sorted(CHANGES))
    assert class_of(found, ()) == class_of(found, ("cut_far",)) == class_of(found, ("unmoved",)) == 0
    assert class_of(found, ("cut_far", "unmoved")) == 0


def test_like_faults_share_a_class():
    found = dictionary(bench(), meter("current", "near"))
    nothing = {class_of(found, (fault,)) for fault in ("cut_near", "dead", "stuck")}
    assert len(nothing) == 1
    assert nothing != {0}
    assert class_of(found, ("dead", "drifted")) in nothing
    assert class_of(found, ("cut_far", "drifted")) == class_of(found, ("drifted",)) not in nothing
    assert found.count == 3


def test_a_voltmeter_tells_what_an_ideal_one_cannot():
    # Dead and cut off both read nothing; but one holds the wire down and the other lets it float.
    found = dictionary(bench(), meter("voltage", ("b", "0")))
    assert class_of(found, ("dead",)) != class_of(found, ("stuck",))


def test_pairs_are_symmetric():
    classes = dictionary(bench(), meter("voltage", ("b", "0"))).classes
    np.testing.assert_array_equal(classes, classes.T)
    np.testing.assert_array_equal(np.diagonal(classes), classes[0])


def test_every_class_is_used_and_numbered_in_order():
    found = dictionary(bench(), meter("voltage", ("b", "0")))
    singles, pairs = found.classes[0], found.classes[np.triu_indices(len(found.faults) + 1, 1)]
    assert sorted({*singles.tolist(), *pairs.tolist()}) == list(range(found.count))
    assert found.voltage.shape == found.impedance.shape == (found.count, POINTS)


def test_faults_of_other_builds_are_left_out():
    found = dictionaries(bench(), {}, ["dead", "stuck", "elsewhere"], [meter("current", "near")])[0]
    assert found.faults == ("dead", "stuck")


def test_several_measurements_as_each_alone():
    wanted = [meter("current", "near"), meter("resistance", ("b", "0")), meter("voltage", ("b", "0")),
              meter("current", "near", command="off")]  # fmt: skip
    together = dictionaries(bench(), {}, tuple(CHANGES), wanted)
    for one, measurement in zip(together, wanted, strict=True):
        alone = dictionary(bench(), measurement)
        assert one.measurement == measurement
        np.testing.assert_array_equal(one.classes, alone.classes)
        for name in ("voltage", "impedance", "value"):
            ours, theirs = getattr(one, name), getattr(alone, name)
            assert (ours is None) == (theirs is None)
            if ours is not None:
                np.testing.assert_array_equal(ours, theirs)


def test_spread_of_a_part():
    ohms = np.sort(120.0 / readings(bench(), meter("current", "near")) - 1.0)
    np.testing.assert_allclose(ohms, 9.0 + 2.0 * (np.arange(POINTS) + 0.5) / POINTS, rtol=1e-6)


def test_same_part_same_sample_under_every_fault():
    healthy = 120.0 / readings(bench(), meter("current", "near")) - 1.0
    faulty = readings(bench(halved=(Level("line", at(0.5)),)), meter("current", "near"), "halved")
    np.testing.assert_allclose(60.0 / faulty - 1.0, healthy, rtol=1e-6)


def gas_range_circuits():
    """Each circuit of the gas range in its likeliest build."""
    family = load_packs().get("gas_range").family
    builds = configurations(family, {})
    for of in family.circuits:
        build = next(b for b in builds if holds(of.when, b.options))
        faults = [f.id for f in family.faults if f.id in of.changes and holds(f.when, build.options)]
        wanted = list(dict.fromkeys(_measurements(family, of, build.options)))
        yield pytest.param(of, build.options, faults, wanted, id=of.id)


def solved_alone(network: Network, measurement: Measurement, faults: tuple[str, ...]):
    """One hypothesis solved at every sampled point, at 25 degC: (voltage, impedance) or (value,)."""
    if measurement.part:
        index = network.branch(measurement.part)
        probe = Probe(network.branches[index].a, network.branches[index].b, index)
    else:
        probe = Probe(network.node(measurement.plus), network.node(measurement.minus))
    solved = solve(network, measurement.setting, [probe], [faults], np.arange(POINTS), 25.0)[0]
    if measurement.kind == "voltage":
        return solved.voltage[0], solved.impedance[0]
    return (np.abs(solved.current[0]) if measurement.kind == "current" else np.minimum(solved.impedance[0].real, 1e10),)


def stored(found: Dictionary, row: int):
    if found.voltage is not None and found.impedance is not None:
        return found.voltage[row], found.impedance[row]
    return (np.asarray(found.value)[row],)


@pytest.mark.parametrize(("of", "configuration", "faults", "wanted"), list(gas_range_circuits()))
def test_every_pair_of_the_gas_range_reads_as_its_class(of, configuration, faults, wanted):
    network = Network(of, configuration, faults)
    feels_temperature = any(branch.law.feels_temperature for branch in network.branches)
    for found in dictionaries(of, configuration, faults, wanted):
        if feels_temperature:
            assert found.value.ndim == 3
            continue
        # Every single fault, and every third pair.
        for hypothesis in [(), *((f,) for f in found.faults), *list(combinations(found.faults, 2))[::3]]:
            ours = stored(found, class_of(found, hypothesis))
            alone = solved_alone(network, found.measurement, hypothesis)
            for one, other in zip(ours, alone, strict=True):
                np.testing.assert_allclose(one, other, rtol=1e-5, atol=2e-6, err_msg=f"{hypothesis}")
