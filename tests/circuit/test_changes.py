"""Each way a fault changes a network, alone and in pairs, against sums done by hand on what it means."""

from __future__ import annotations

import math
from itertools import combinations, permutations

import pytest

from probewright.circuit.parts import Contact, Drift, Leak, Level, Open, Short, Stuck, Swap
from probewright.figures import invented
from support.circuits import at, circuit, meter, parallel, reading, resistor, source, switch

OPEN = math.inf

# Two loads on one line: a contact (1 ohm) and p (9 ohm) feed q and r in parallel (30 and 60 ohm); t (5 ohm) feeds
# u (15 ohm).
PARTS = (
    source("line", "a", "0", 120.0),
    switch("contact", "a", "b", 1.0),
    resistor("p", "b", "c", 9.0),
    resistor("q", "c", "0", 30.0),
    resistor("r", "c", "0", 60.0),
    resistor("t", "a", "d", 5.0),
    resistor("u", "d", "0", 15.0),
)  # fmt: skip
CHANGES = {
    "open": Open("p"),
    "short": Short("r", at(12.0)),
    "drift": Drift("q", at(2.0)),
    "contact": Contact("u", at(45.0)),
    "leak": Leak("c", "0", at(20.0)),
    "stuck": Stuck("contact", "open"),
    "swap": Swap("p", "t"),
    "level": Level("line", at(0.5)),
    "source_contact": Contact("line", at(4.0)),
}


def by_hand(*changes: str) -> tuple[float, float]:
    """Voltage at c and at d."""
    volts = 60.0 if "level" in changes else 120.0
    contact = OPEN if "stuck" in changes else 1.0
    p = OPEN if "open" in changes else 9.0
    q = 60.0 if "drift" in changes else 30.0
    r = parallel(60.0, 12.0) if "short" in changes else 60.0
    u = 60.0 if "contact" in changes else 15.0
    load_c = parallel(q, r, 20.0) if "leak" in changes else parallel(q, r)
    feeds = (contact + p, 5.0)
    to_c, to_d = feeds[::-1] if "swap" in changes else feeds
    if "source_contact" in changes:
        volts /= 1 + 4.0 * (1 / (to_c + load_c) + 1 / (to_d + u))
    return volts * load_c / (to_c + load_c), volts * u / (to_d + u)


def voltages(faulty, *faults: str) -> tuple[float, float]:
    at_c, at_d = (reading(faulty, meter("voltage", (node, "0")), *faults) for node in "cd")
    return at_c, at_d


def test_healthy():
    assert voltages(circuit(*PARTS)) == pytest.approx(by_hand(), rel=1e-8)
    assert by_hand() == pytest.approx((80.0, 90.0))


@pytest.mark.parametrize("name", CHANGES)
def test_one_change(name):
    faulty = circuit(*PARTS, changes={"fault": (CHANGES[name],)})
    assert voltages(faulty, "fault") == pytest.approx(by_hand(name), rel=1e-7, abs=1e-7)
    assert by_hand(name) != pytest.approx(by_hand(), rel=0.01)
    assert voltages(faulty) == pytest.approx(by_hand(), rel=1e-8)


@pytest.mark.parametrize("pair", list(combinations(CHANGES, 2)), ids="+".join)
def test_two_faults_at_once(pair):
    for first, second in permutations(pair):
        faulty = circuit(*PARTS, changes={"fault_1": (CHANGES[first],), "fault_2": (CHANGES[second],)})
        assert voltages(faulty, "fault_1", "fault_2") == pytest.approx(by_hand(*pair), rel=1e-7, abs=1e-7)
        assert voltages(faulty, "fault_2", "fault_1") == voltages(faulty, "fault_1", "fault_2")


def test_one_fault_of_several_changes():
    faulty = circuit(*PARTS, changes={"flood": (CHANGES["drift"], CHANGES["leak"], CHANGES["contact"])})
    assert voltages(faulty, "flood") == pytest.approx(by_hand("drift", "leak", "contact"), rel=1e-7)


# Two faults of one part, where what they mean together is beyond doubt: volts across q by the part's own resistance.
SAME_PART = {
    "drifted and bridged": (Drift("q", at(2.0)), Short("q", at(10.0)), parallel(60.0, 10.0)),
    "drifted, with a bad contact": (Drift("q", at(2.0)), Contact("q", at(10.0)), 70.0),
    "drifted and open": (Drift("q", at(2.0)), Open("q"), OPEN),
    "a bad contact, and open": (Contact("q", at(10.0)), Open("q"), OPEN),
    "two bad contacts": (Contact("q", at(10.0)), Contact("q", at(5.0)), 45.0),
    "bridged twice": (Short("q", at(30.0)), Short("q", at(15.0)), 7.5),
    "drifted twice": (Drift("q", at(2.0)), Drift("q", at(3.0)), 180.0),
    "two leaks beside it": (Leak("c", "0", at(30.0)), Leak("c", "0", at(15.0)), 7.5),
}


@pytest.mark.parametrize("name", SAME_PART)
@pytest.mark.parametrize("order", [1, -1], ids=["in this order", "the other way round"])
def test_two_faults_of_one_part(name, order):
    *changes, ohms = SAME_PART[name]
    first, second = changes[::order]
    loop = (source("line", "a", "0", 120.0), resistor("p", "a", "c", 30.0), resistor("q", "c", "0", 30.0))
    faulty = circuit(*loop, changes={"fault_1": (first,), "fault_2": (second,)})
    found = reading(faulty, meter("voltage", ("c", "0")), "fault_1", "fault_2")
    assert found == pytest.approx(120.0 / (1 + 30.0 / ohms), rel=1e-6)


# Faults of one switch under two commands; volts across the load of 10 ohm behind it, from 120 V.
SAME_SWITCH = {
    "stuck closed": ((Stuck("knob", "closed"),), {"on": 10 / 11, "off": 10 / 11}),
    "stuck open": ((Stuck("knob", "open"),), {"on": 0.0, "off": 0.0}),
    "shorted": ((Short("knob", at(4.0)),), {"on": 10 / 10.8, "off": 10 / 14}),
    "a bad contact": ((Contact("knob", at(9.0)),), {"on": 0.5, "off": 0.0}),
    "open": ((Open("knob"),), {"on": 0.0, "off": 0.0}),
    "stuck closed on a bad contact": ((Stuck("knob", "closed"), Contact("knob", at(9.0))), {"on": 0.5, "off": 0.5}),
    "stuck open, bridged": ((Stuck("knob", "open"), Short("knob", at(4.0))), {"on": 10 / 14, "off": 10 / 14}),
}


@pytest.mark.parametrize("name", SAME_SWITCH)
@pytest.mark.parametrize("order", [1, -1], ids=["in this order", "the other way round"])
def test_faults_of_a_switch(name, order):
    changes, shares = SAME_SWITCH[name]
    parts = (source("line", "a", "0", 120.0), switch("knob", "a", "b", 1.0), resistor("load", "b", "0", 10.0))
    acts = {f"fault_{i}": (change,) for i, change in enumerate(changes[::order])}
    faulty = circuit(*parts, changes=acts)
    for command, share in shares.items():
        found = reading(faulty, meter("voltage", ("b", "0"), command=command), *acts)
        assert found == pytest.approx(120.0 * share, rel=1e-6, abs=1e-6), command


def test_one_of_two_stuck_contacts():
    parts = (source("line", "a", "0", 120.0), switch("one", "a", "b", 1.0), switch("other", "a", "b", 1.0, ("boost",)),
             resistor("load", "b", "0", 9.0))  # fmt: skip
    faulty = circuit(*parts, changes={"welded": (Stuck("other", "closed"),)})
    for command, ohms in (("on", 0.5), ("boost", 1.0), ("off", 1.0)):
        found = reading(faulty, meter("current", "load", command=command), "welded")
        assert found == pytest.approx(120 / (9 + ohms), rel=1e-6)


def test_open_source_leaves_its_other_conductors():
    faulty = circuit(*PARTS, changes={"cut": (Open("line"),)})
    assert voltages(faulty, "cut") == pytest.approx((0, 0), abs=1e-9)
    assert reading(faulty, meter("current", "line"), "cut") == pytest.approx(0, abs=1e-12)


# Swaps: three feeds of 10, 20 and 30 ohm into three loads of 1, 2 and 3 ohm.
FEEDS = {"f1": 10.0, "f2": 20.0, "f3": 30.0}
LOADS = {"f1": ("x", 1.0), "f2": ("y", 2.0), "f3": ("z", 3.0)}


def three_feeds(**changes):
    feeds = [resistor(name, "a", LOADS[name][0], ohms) for name, ohms in FEEDS.items()]
    loads = [resistor(f"load_{node}", node, "0", ohms) for node, ohms in LOADS.values()]
    return circuit(source("line", "a", "0", 120.0), *feeds, *loads, changes=changes)


def load_currents(faulty, *faults):
    return [reading(faulty, meter("current", f"load_{node}"), *faults) for node, _ in LOADS.values()]


def currents_by_hand(*fed_by):
    return [120 / (FEEDS[feed] + ohms) for feed, (_, ohms) in zip(fed_by, LOADS.values(), strict=True)]


def test_one_swap():
    crossed = three_feeds(crossed=(Swap("f1", "f3"),))
    assert load_currents(crossed) == pytest.approx(currents_by_hand("f1", "f2", "f3"), rel=1e-7)
    assert load_currents(crossed, "crossed") == pytest.approx(currents_by_hand("f3", "f2", "f1"), rel=1e-7)


def test_swaps_that_share_a_conductor():
    # Crossing f1 with f2 and then, at its new end, with f3; or the other way round.
    twice = three_feeds(first=(Swap("f1", "f2"),), second=(Swap("f1", "f3"),))
    found = load_currents(twice, "first", "second")
    either = [currents_by_hand("f2", "f3", "f1"), currents_by_hand("f3", "f1", "f2")]
    assert any(found == pytest.approx(by_hand, rel=1e-7) for by_hand in either), found


def test_crossed_twice_is_straight():
    twice = three_feeds(once=(Swap("f1", "f2"),), again=(Swap("f2", "f1"),))
    assert load_currents(twice, "once", "again") == pytest.approx(currents_by_hand("f1", "f2", "f3"), rel=1e-7)


def test_a_clamp_goes_with_a_crossed_conductor():
    crossed = three_feeds(crossed=(Swap("f1", "f3"),))
    assert reading(crossed, meter("current", "f1"), "crossed") == pytest.approx(120 / 13, rel=1e-7)
    assert reading(crossed, meter("voltage", "f1"), "crossed") == pytest.approx(1200 / 13, rel=1e-7)


@pytest.mark.parametrize("other", [Open("f1"), Drift("f1", at(2.0)), Contact("f1", at(10.0)), Short("f1", at(20.0))],
                         ids=lambda change: type(change).__name__.lower())  # fmt: skip
def test_a_crossed_conductor_takes_its_fault_along(other):
    faulty = three_feeds(crossed=(Swap("f1", "f3"),), bad=(other,))
    ohms = {"Open": OPEN, "Drift": 20.0, "Contact": 20.0, "Short": parallel(10.0, 20.0)}[type(other).__name__]
    by_hand = [120 / 31, 120 / 22, 120 / (ohms + 3)]
    assert load_currents(faulty, "crossed", "bad") == pytest.approx(by_hand, rel=1e-6, abs=1e-6)


class TestApart:
    """Parts that are disconnected for a test."""

    def test_nothing_reads_in_parallel(self):
        pair = circuit(resistor("q", "c", "0", 30.0), resistor("r", "c", "0", 60.0))
        assert reading(pair, meter("resistance", ("c", "0"))) == pytest.approx(20.0, rel=1e-7)
        assert reading(pair, meter("resistance", ("c", "0"), apart=("r",))) == pytest.approx(30.0, rel=1e-7)
        assert reading(pair, meter("resistance", ("c", "0"), apart=("q", "r"))) >= 1e9

    @pytest.mark.parametrize(
        "change", [Short("knob", at(5.0)), Stuck("knob", "closed"), Drift("knob", at(2.0)), Contact("knob", at(1.0))],
        ids=lambda change: type(change).__name__.lower(),
    )  # fmt: skip
    def test_stays_apart_whatever_is_wrong_with_it(self, change):
        pair = circuit(resistor("q", "c", "0", 30.0), switch("knob", "c", "0"), changes={"fault": (change,)})
        assert reading(pair, meter("resistance", ("c", "0"), apart=("knob",)), "fault") == pytest.approx(30.0, rel=1e-7)

    def test_stays_apart_when_crossed(self):
        faulty = three_feeds(crossed=(Swap("f1", "f3"),))
        at_x, at_z = meter("resistance", ("a", "x"), apart=("f1",)), meter("resistance", ("a", "z"), apart=("f1",))
        # Without f1 there is one way from a to x, through f3 crossed, and to z the way round by the loads.
        others = 22.0
        assert reading(faulty, at_x, "crossed") == pytest.approx(parallel(30.0, others + 1.0), rel=1e-6)
        assert reading(faulty, at_z, "crossed") == pytest.approx(parallel(31.0, others) + 3.0, rel=1e-6)

    def test_a_leak_beside_it_is_still_read(self):
        pair = circuit(resistor("q", "c", "0", 30.0), resistor("r", "c", "0", 60.0),
                       changes={"wet": (Leak("c", "0", at(60.0)),)})  # fmt: skip
        assert reading(pair, meter("resistance", ("c", "0"), apart=("r",)), "wet") == pytest.approx(20.0, rel=1e-7)


def test_a_change_to_what_is_not_there_changes_nothing():
    changes = (Open("none"), Stuck("none", "open"), Level("none", at(0.0)), Swap("p", "none"), Contact("none", at(1.0)))
    for change in changes:
        faulty = circuit(*PARTS, changes={"fault": (change,)})
        assert voltages(faulty, "fault") == voltages(faulty)


@pytest.mark.parametrize(
    ("degrees", "across"),
    [(None, 240.0), (60.0, 120.0 * math.sqrt(3.0)), (-180.0, 0.0), (-60.0, 120.0 * math.sqrt(3.0))],
)
def test_a_source_is_turned(degrees, across):
    """Two legs of 120 V in opposition give 240 V, 120 degrees apart 207.8 V; each stays at 120 V."""
    parts = (source("one", "a", "0", 120.0), source("two", "b", "0", 120.0, 180.0), resistor("load", "a", "b", 10.0),
             resistor("lamp", "b", "0", 40.0))  # fmt: skip
    turned = Level("two", at(1.0), None if degrees is None else invented(degrees))
    faulty = circuit(*parts, changes={"other_supply": (turned,)})
    assert reading(faulty, meter("voltage", ("a", "b")), "other_supply") == pytest.approx(across, abs=1e-4)
    assert reading(faulty, meter("current", "load"), "other_supply") == pytest.approx(across / 10.0, abs=1e-5)
    assert reading(faulty, meter("voltage", ("b", "0")), "other_supply") == pytest.approx(120.0, rel=1e-6)
