"""What must not flow: a function that fails when a circuit value is reached."""

from __future__ import annotations

from dataclasses import replace

import pytest

from probewright.circuit.parts import Stuck
from probewright.figures import invented
from probewright.packs.check import check_family
from probewright.packs.model import Complaint, Fault, Function, Repair, Requirement
from support.circuits import at
from support.families import beliefs, case, chances, evaluated, warmer

RATE, IF_FAILED, IF_WORKING = 0.02, 0.9, 0.01
#: The small heater takes 24 V over some 6 ohm, the large one more; a meter's worth of leakage is far less.
RESTS = Requirement("heating", "heater", "current", "off", "live", at_most=at(0.5))


def welding(**changes):
    """The warmer with a contact that may weld, and a complaint that it heats while it is off."""
    family = warmer()
    heating, linked = family.circuits
    rare = (replace(fault, rate=invented(1e-3)) for fault in family.faults)
    welded = {**heating.changes, "contact_welded": (Stuck("contact", "closed"),)}
    cools = Function("cools", "It cools when it is off", (replace(RESTS, **changes),), fails_anyway=invented(0.0))
    return replace(
        family,
        circuits=(replace(heating, changes=welded), linked),
        faults=(*rare, Fault("contact_welded", "Contact welded", invented(RATE))),
        functions=(*family.functions, cools),
        complaints=(*family.complaints, Complaint("stays_hot", "It stays hot", invented(IF_WORKING), "cools",
                                                  invented(IF_FAILED))),
        repairs=(*family.repairs, Repair("replace_contact", "Replace the contact", chances(contact_welded=0.9),
                                         invented(9.0), "isolated", ("outside",))),
    )  # fmt: skip


def odds(found):
    """For the welded contact, whatever else is there; seldom is it there with what keeps the heater dead."""
    return found["contact_welded"] / (1 - found["contact_welded"])


def complained(family):
    return beliefs(evaluated(case(), family)), beliefs(evaluated(case(complaints=("stays_hot",)), family))


def test_what_flows_at_off_points_to_the_fault_that_lets_it():
    family = welding()
    check_family(family)
    before, after = complained(family)
    assert odds(after) == pytest.approx(odds(before) * IF_FAILED / IF_WORKING, rel=0.2)
    # What nothing connects with it keeps its own chance.
    assert after["door_loose"] == pytest.approx(before["door_loose"], rel=0.2)


def test_at_least_says_the_contrary():
    """The same limit from below: then it is the sound appliance whose function fails at off."""
    before, after = complained(welding(at_least=at(0.5), at_most=None))
    assert odds(after) == pytest.approx(odds(before) * IF_WORKING / IF_FAILED, rel=0.5)


def test_what_keeps_the_heater_dead_excuses_a_welded_contact():
    family = welding()
    working = beliefs(evaluated(case(working=("cools",)), family))
    cold = beliefs(evaluated(case(working=("cools",), complaints=("cold",)), family))
    assert working["contact_welded"] < 0.1 * RATE
    assert cold["contact_welded"] > 3 * working["contact_welded"]  # behind an open heater nobody would notice
