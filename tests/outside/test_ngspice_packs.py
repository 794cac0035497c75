"""Every circuit measurement of every first-party family under every fault of its circuit, against ngspice.

ngspice (Debian package ``ngspice``) is an independent circuit simulator.  What functions require of circuits is
compared as well as what tests read, within 0.1 %.  A family of a third party stands beside them: it has every common
part, with every fault of each.
"""

from __future__ import annotations

import os

import pytest

from probewright.packs.loader import load_packs
from support.cabinet import FAMILY
from support.spice import NGSPICE
from support.spice_packs import Bay, bays, disagreements

pytestmark = [
    pytest.mark.ngspice,
    pytest.mark.skipif(
        NGSPICE is None and not os.environ.get("PROBEWRIGHT_REQUIRE_NGSPICE"), reason="ngspice is not installed"
    ),
]

LOADED = {name: pack.family for name, pack in load_packs(strict=True).packs.items() if pack.family.circuits}
FAMILIES = {**LOADED, FAMILY.id: FAMILY}
BAYS = {name: bays(family) for name, family in FAMILIES.items()}
EACH = [pytest.param(bay, id=f"{name}-{bay}") for name, of_family in BAYS.items() for bay in of_family]


@pytest.mark.parametrize("bay", EACH)
def test_every_measurement_under_every_fault(bay: Bay) -> None:
    assert bay.wanted
    assert list(disagreements(bay)) == []


@pytest.mark.parametrize("name", FAMILIES)
def test_every_circuit_and_every_fault_in_it_is_compared(name: str) -> None:
    family = FAMILIES[name]
    assert {bay.circuit.id for bay in BAYS[name]} == {circuit.id for circuit in family.circuits}
    compared = {(bay.circuit.id, fault) for bay in BAYS[name] for fault in bay.faults}
    assert compared == {(circuit.id, fault) for circuit in family.circuits for fault in circuit.changes}
