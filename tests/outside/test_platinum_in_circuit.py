"""Platinum sensors as part of a circuit, against the table of IEC 60751.

The table's values (Pt100, two decimals) are those of public reprints of IEC 60751, Table 1; the sensitivity and the
error of a lead follow from the standard's own equation.
"""

from __future__ import annotations

import numpy as np
import pytest

from probewright.circuit.laws import Platinum
from probewright.circuit.network import Network
from probewright.circuit.parts import Drift, Leak, Open, Part, Short
from probewright.circuit.solve import Probe, Setting, solve
from probewright.figures import normal, published
from probewright.inference.situation import interpolation
from probewright.physics.sensors import IEC_60751, platinum_temperature
from support.circuits import at, circuit, dictionary, meter, resistor

# IEC 60751, Table 1: ohm of a Pt100.
TABLE = {-40.0: 84.27, 0.0: 100.00, 25.0: 109.73, 100.0: 138.51, 260.0: 197.71}
# The same equation to more digits, computed apart: ohm of a Pt1000 at 70 degF and 350 degF exactly.
EXACT = {(70 - 32) / 1.8: 1082.2512, (350 - 32) / 1.8: 1672.4419, 100.0: 1385.0550, 260.0: 1977.1190, -40.0: 842.7065}


def sensor(nominal: float, wire: float = 1e-5, **changes):
    """Between a board's two terminals, with a wire to each."""
    law = Platinum(at(nominal), at(0.0), IEC_60751)
    return circuit(resistor("wire_a", "board_a", "plug_a", wire), Part("sensor", "plug_a", "plug_b", law),
                   resistor("wire_b", "plug_b", "0", wire), changes=changes)  # fmt: skip


def solved(of, celsius: float, *faults: str) -> float:
    """The solver's own answer at a temperature."""
    network = Network(of, {}, list(of.changes))
    probe = Probe(network.node("board_a"), network.node("0"))
    found = solve(network, Setting("off", False, 0.0), [probe], [faults], np.array([0]), celsius)[0]
    return float(found.impedance[0, 0].real)


def interpolated(of, celsius: float) -> float:
    """What a stored dictionary gives between the temperatures at which it was solved."""
    found = dictionary(of, meter("resistance", ("board_a", "0")))
    return float(np.exp(interpolation(np.array([celsius])) @ np.log(found.value[0, 0]))[0])


@pytest.mark.parametrize(("celsius", "ohms"), TABLE.items())
@pytest.mark.parametrize("how", [solved, interpolated])
def test_table_of_the_standard(celsius, ohms, how):
    assert how(sensor(100.0), celsius) == pytest.approx(ohms, abs=0.0051)
    assert how(sensor(1000.0), celsius) == pytest.approx(10 * ohms, abs=0.051)


@pytest.mark.parametrize(("celsius", "ohms"), EXACT.items())
def test_equation_of_the_standard(celsius, ohms):
    assert solved(sensor(1000.0), celsius) == pytest.approx(ohms, abs=5e-4)
    assert interpolated(sensor(1000.0), celsius) == pytest.approx(ohms, rel=1e-5)


@pytest.mark.parametrize(("nominal", "kelvin"), [(1000.0, 0.270), (100.0, 2.70)])
def test_an_ohm_of_wire_reads_as_heat(nominal, kelvin):
    # 3.7042 ohm/K at 350 degF for a Pt1000, by the derivative of the standard's equation.
    celsius = (350 - 32) / 1.8
    wired = solved(sensor(nominal, wire=0.5), celsius)
    assert wired - solved(sensor(nominal), celsius) == pytest.approx(1.0, abs=2e-4)
    seems = float(platinum_temperature(np.array(wired), np.array(nominal), IEC_60751))
    assert seems - celsius == pytest.approx(kelvin, abs=0.005)


def test_faults_of_a_sensor():
    # Ohm's law on the table's value at 25 degC.
    faulty = sensor(1000.0, open_=(Open("sensor"),), shorted=(Short("sensor", at(10.0)),),
                    drifted=(Drift("sensor", at(1.05)),), leaks=(Leak("plug_a", "0", at(1e4)),))  # fmt: skip
    sound = 1097.3466
    assert solved(faulty, 25.0) == pytest.approx(sound, abs=1e-3)
    assert solved(faulty, 25.0, "open_") > 1e9
    assert solved(faulty, 25.0, "shorted") == pytest.approx(1 / (1 / sound + 1 / 10), rel=1e-5)
    assert solved(faulty, 25.0, "drifted") == pytest.approx(1.05 * sound, rel=1e-6)
    assert solved(faulty, 25.0, "leaks") == pytest.approx(1 / (1 / sound + 1 / 1e4), rel=1e-5)


def test_class_b_as_a_spread():
    # IEC 60751:2008, Table 3: class B is 0.3 + 0.005 |t| kelvin, 5.773 ohm of a Pt1000 at 260 degC.
    source = "IEC 60751:2008, Table 3"
    half_width = published(0.3 + 0.005 * 260.0, source)
    law = Platinum(at(1000.0), normal(published(0.0, source), published(half_width / 2, source)), IEC_60751)
    network = Network(circuit(Part("sensor", "a", "0", law)), {}, [])
    probe = Probe(network.node("a"), -1)
    found = solve(network, Setting("off", False, 0.0), [probe], [()], np.arange(127), 260.0)[0].impedance[0].real
    assert found.mean() == pytest.approx(1977.119, abs=0.01)
    assert 2 * found.std() == pytest.approx(5.773, rel=0.02)
