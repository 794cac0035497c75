"""Random networks against a nodal solution assembled another way, and laws that hold in all of them."""

from __future__ import annotations

import itertools
import math
import os
import subprocess
import sys

import numpy as np
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from probewright.circuit.parts import Part
from probewright.circuit.solve import LEAST_CONDUCTANCE
from support.circuits import (
    capacitor,
    circuit,
    coil,
    dictionary,
    meter,
    reading,
    resistor,
    source,
)  # fmt: skip

NODES = ("0", "n1", "n2", "n3", "n4", "n5")
OMEGA = 2 * math.pi * 60
FEW = settings(max_examples=40, deadline=None, derandomize=True, database=None)

ohms = st.floats(-1.0, 5.0).map(lambda decade: 10.0**decade)
ends = st.permutations(NODES).map(lambda order: tuple(order[:2]))
resistors = st.builds(lambda pair, value: ("resistor", *pair, value), ends, ohms)
reactive = st.one_of(
    st.builds(lambda pair, value: ("coil", *pair, value / OMEGA), ends, ohms),
    st.builds(lambda pair, value: ("capacitor", *pair, 1 / (OMEGA * value)), ends, ohms),
)
networks = st.lists(resistors, min_size=1, max_size=10)
mixed = st.lists(st.one_of(resistors, reactive), min_size=1, max_size=10)


def part(name: str, kind: str, a: str, b: str, value: float) -> Part:
    if kind == "coil":
        return coil(name, a, b, 1e-3, value)
    return (resistor if kind == "resistor" else capacitor)(name, a, b, value)


def admittance(kind: str, value: float) -> complex:
    if kind == "coil":
        return 1 / (1e-3 + 1j * OMEGA * value)
    return 1 / value if kind == "resistor" else 1j * OMEGA * value


def by_elimination(elements, volts: float | None) -> tuple[np.ndarray, np.ndarray]:
    """Node voltages with ``volts`` at n1 (nothing connected there when None), and impedances to the reference.

    The node that the source holds is taken out of the equations, so there are none for its current.
    """
    full = np.zeros((len(NODES), len(NODES)), dtype=complex)
    for kind, a, b, value in elements:
        i, j, y = NODES.index(a), NODES.index(b), admittance(kind, value)
        for row, column, sign in ((i, i, 1), (j, j, 1), (i, j, -1), (j, i, -1)):
            full[row, column] += sign * y
    for i in range(1, len(NODES)):
        full[i, i] += 2 * LEAST_CONDUCTANCE  # the node's own, and that of its stub
    free = list(range(1, len(NODES))) if volts is None else list(range(2, len(NODES)))
    matrix = full[np.ix_(free, free)]
    voltages = np.zeros(len(NODES), dtype=complex)
    if volts is not None:
        voltages[1] = volts
        voltages[free] = np.linalg.solve(matrix, -full[free, 1] * volts)
    impedances = np.zeros(len(NODES))
    impedances[free] = np.abs(np.diagonal(np.linalg.inv(matrix)))
    return voltages, impedances


def built(elements, *more):
    """Every node is there, if only with a stub that leads nowhere."""
    stubs = (resistor(f"stub_{node}", node, f"end_{node}", 1.0) for node in NODES[1:])
    return circuit(*stubs, *(part(f"p{i}", *e) for i, e in enumerate(elements)), *more)


@FEW
@given(networks)
def test_resistors_agree_with_elimination(elements):
    fed = built(elements, source("line", "n1", "0", 120.0))
    voltages, impedances = by_elimination(elements, 120.0)
    for i, node in enumerate(NODES[1:], start=1):
        found = dictionary(fed, meter("voltage", (node, "0")))
        np.testing.assert_allclose(found.voltage[0], voltages[i], rtol=1e-6, atol=1e-6)
        np.testing.assert_allclose(np.abs(found.impedance[0]), impedances[i], rtol=1e-5, atol=1e-9)
    for i, (_, a, b, value) in enumerate(elements):
        amperes = abs(voltages[NODES.index(a)] - voltages[NODES.index(b)]) / value
        np.testing.assert_allclose(reading(fed, meter("current", f"p{i}")), amperes, rtol=1e-4, atol=1e-7)


@FEW
@given(mixed)
def test_coils_and_capacitors_agree_with_elimination(elements):
    fed = built(elements, source("line", "n1", "0", 120.0))
    voltages, _ = by_elimination(elements, 120.0)
    # Close to resonance a bit of rounding is a large voltage: compare what is well conditioned.
    assume(max(np.abs(voltages)) < 1e4)
    for i, node in enumerate(NODES[1:], start=1):
        found = dictionary(fed, meter("voltage", (node, "0")))
        np.testing.assert_allclose(found.voltage[0], voltages[i], rtol=1e-5, atol=1e-5)


@FEW
@given(networks)
def test_unplugged_resistances_agree_with_elimination(elements):
    fed = built(elements, source("line", "n1", "0", 120.0))
    _, impedances = by_elimination(elements, None)
    for node, expected in zip(NODES[1:], impedances[1:], strict=True):
        found = reading(fed, meter("resistance", (node, "0")))
        close = 1e-3 if expected > 1e8 else 1e-5  # the ohms of a floating island are known no better
        np.testing.assert_allclose(found, min(expected, 1e10), rtol=close)


@FEW
@given(networks, st.permutations(NODES))
def test_reciprocity(elements, order):
    # A source in one place drives through an ammeter in another what it would drive the other way round.
    here, there = order[:2], order[2:4]

    def through(drive, sense):
        fed = built(elements, source("line", "x", drive[1], 120.0), resistor("feed", "x", drive[0], 1.0),
                    resistor("sense", *sense, 1.0))  # fmt: skip
        return reading(fed, meter("current", "sense"))

    np.testing.assert_allclose(through(here, there), through(there, here), rtol=1e-4, atol=1e-6)


@FEW
@given(networks, st.floats(0.1, 10.0))
def test_linear_in_the_source(elements, factor):
    one, other = (built(elements, source("line", "n1", "0", 100.0 * k)) for k in (1.0, factor))
    for node in NODES[1:]:
        at_node = meter("voltage", (node, "0"))
        np.testing.assert_allclose(reading(other, at_node), factor * reading(one, at_node), rtol=1e-9, atol=1e-9)


@FEW
@given(networks)
def test_opening_a_part_never_lowers_a_resistance(elements):
    # Rayleigh's monotonicity law.
    whole = built(elements)
    less = built(elements[1:])
    for pair in itertools.combinations(NODES, 2):
        between = meter("resistance", pair)
        assert reading(less, between) >= reading(whole, between) * (1 - 1e-6)


@FEW
@given(mixed)
def test_order_of_parts_does_not_matter(elements):
    fed = built(elements, source("line", "n1", "0", 120.0))
    turned = circuit(*reversed(fed.parts))
    for node in NODES[1:]:
        assert reading(fed, meter("voltage", (node, "0"))) == reading(turned, meter("voltage", (node, "0")))


PROGRAM = """
import hashlib, sys
sys.path.insert(0, {tests!r})
from support.circuits import among, capacitor, circuit, dictionary, meter, resistor, source
parts = [resistor(f"r{{i}}", f"n{{i}}", f"n{{i + 1}}", among(1.0 + i, 3.0 * (i + 1))) for i in range(12)]
parts += [capacitor(f"c{{i}}", f"n{{i}}", "0", 1e-5 * (i + 1)) for i in range(1, 12)]
parts += [source("line", "n0", "0", 120.0), resistor("load", "n12", "0", among(5.0, 50.0))]
found = dictionary(circuit(*parts), meter("voltage", ("n7", "0")))
print(hashlib.sha256(found.voltage.tobytes() + found.impedance.tobytes()).hexdigest())
"""


def test_same_bits_in_every_process():
    tests = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
    program = PROGRAM.format(tests=tests)
    seeds = ("0", "1", "1")
    runs = [
        subprocess.run([sys.executable, "-c", program], env={**os.environ, "PYTHONHASHSEED": seed}, check=True,
                       capture_output=True, text=True).stdout
        for seed in seeds
    ]  # fmt: skip
    assert len(set(runs)) == 1
    assert len(runs[0].strip()) == 64
