"""A small invented appliance to reason about.  Every number in it is invented, and chosen for sums done by hand.

The warmer: 100 V, a fuse and a contact of half an ohm each, and a heater of 24 ohm (small) or 19 ohm (large), so that a
healthy one takes 4 A or 5 A.  Nothing in its circuits has a tolerance.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from probewright.circuit.laws import Capacitance, Resistance
from probewright.circuit.parts import Circuit, Drift, Level, Open, Part, Source, Switch
from probewright.figures import Figure, Spread, exactly, invented, normal, uniform
from probewright.inference.evaluate import Evaluation, Rules, evaluate
from probewright.inference.store import ModelStore
from probewright.packs.calling import row_by_row
from probewright.packs.model import (
    Between,
    Complaint,
    DefaultCosts,
    Family,
    Fault,
    Function,
    Option,
    OptionValue,
    Repair,
    ReplaceablePart,
    Requirement,
    Shows,
    State,
    Stated,
    Supply,
    Table,
    Test,
    Through,
    Zone,
)  # fmt: skip
from probewright.packs.registry import LoadedPack
from probewright_schemas.records import Case, Conditions, Quantity, Reading

VOLTS = 100.0
HEATER = {"small": 24.0, "large": 19.0}
IN_SERIES = 1.0  # ohm, fuse and contact
WEAK = 1.5  # a weak heater's factor
UNKNOWN_RATE = 0.004
RATES = {
    "no_supply": 0.03, "fuse_open": 0.05, "heater_weak": 0.10, "heater_open": 0.06, "door_loose": 0.08,
    "lamp_dirty": 0.02, "link_open": 0.01,
}  # fmt: skip


def at(value: float) -> Spread:
    """Exactly this, without any spread."""
    return exactly(invented(value))


def among(low: float, high: float) -> Spread:
    """Anywhere between, evenly."""
    return uniform(invented(low), invented(high))


def chances(**values: float) -> dict[str, Figure]:
    return {name: invented(value) for name, value in values.items()}


def heater_circuit() -> Circuit:
    heaters = [Part("heater", "feed", "earth", Resistance(at(ohms)), {"style": s}) for s, ohms in HEATER.items()]
    return Circuit(
        "heating", "earth",
        (Source("line", "live", "earth", invented(VOLTS)),
         Part("fuse", "live", "fused", Resistance(at(0.5))),
         Switch("contact", "fused", "feed", ("heat",), at(0.5), driven=True),
         *heaters),
        {"no_supply": (Level("line", at(0.0)),), "fuse_open": (Open("fuse"),), "heater_open": (Open("heater"),),
         "heater_weak": (Drift("heater", at(WEAK)),)},
        invented(50.0),
    )  # fmt: skip


def link_circuit() -> Circuit:
    """A wire that floats beside a live one when its link is open: 400 pF are 8 Mohm at 50 Hz."""
    return Circuit(
        "linked", "earth",
        (Source("line", "live", "earth", invented(VOLTS)),
         Part("link", "live", "wire", Resistance(at(0.5))),
         Part("beside", "live", "wire", Capacitance(at(400e-12)))),
        {"no_supply": (Level("line", at(0.0)),), "link_open": (Open("link"),)},
        invented(50.0),
    )  # fmt: skip


STATES = (
    State("isolated", "Isolated", powered=False, gas_on=False, minutes=invented(2.0), steps=("Unplug it.",),
          cautions=(), risk=0),
    State("live", "Live", powered=True, gas_on=False, minutes=invented(3.0), steps=("Plug it in.",),
          cautions=("Mains.",), risk=1),
)  # fmt: skip


def a_test(id_: str, kind: str, *models: Any, **more: Any) -> Test:
    live = kind in ("voltage", "current", "temperature")
    fields: dict[str, Any] = {
        "states": ("live",) if live else ("isolated",), "zone": "outside", "minutes": invented(1.0),
        "unit": {"voltage": "V", "current": "A", "resistance": "ohm", "temperature": "degC"}.get(kind),
        "cautions": ("Mains.",),
    }  # fmt: skip
    return Test(id_, id_.replace("_", " "), kind, models=models, **(fields | more))  # type: ignore[arg-type]


DOOR = {"shut": 0.95, "ajar": 0.04, "gone": 0.01}
DOOR_LOOSE = {"shut": 0.10, "ajar": 0.70, "gone": 0.20}
DOOR_DIRTY = {"shut": 0.60, "ajar": 0.30, "gone": 0.10}
#: Amperes that heating needs: between a small weak heater's 2.70 and a large weak one's 3.39.
ENOUGH = among(2.8, 3.2)
HEATS = Requirement("heating", "heater", "current", "heat", "live", ENOUGH)


def door_table(**more: Any) -> Table:
    by_fault = {"door_loose": chances(**DOOR_LOOSE), "lamp_dirty": chances(**DOOR_DIRTY)}
    return Table(chances(**DOOR), by_fault, **more)


TESTS = (
    a_test("supply_volts", "voltage", Between("heating", "live", "earth"), measures="supply_voltage"),
    a_test("heater_current", "current", Through("heating", "heater"), command="heat"),
    a_test("heater_ohms", "resistance", Between("heating", "feed", "earth", ("contact",))),
    a_test("heater_continuity", "continuity", Between("heating", "feed", "earth", ("contact",)),
           outcomes=("closed", "open")),
    a_test("glow", "seen", Shows("heating", "heater", "current", (among(0.8, 1.2), ENOUGH),
                                 ("none", "dim", "bright")),
           states=("live",), command="heat", outcomes=("bright", "dim", "none")),
    a_test("door", "seen", door_table(), outcomes=("shut", "ajar", "gone")),
    a_test("lamp", "seen", Table(chances(lit=0.99, dark=0.01), {"lamp_dirty": chances(lit=0.3, dark=0.7)},
                                 without=((HEATS, "dark"),)),
           states=("live",), command="heat", outcomes=("lit", "dark"), when={"lamp": "yes"}),
    a_test("wire_volts", "voltage", Between("linked", "wire", "earth")),
    a_test("chamber", "temperature", Stated(normal(invented(0.0), invented(4.0)),
                                            {"door_loose": normal(invented(-30.0), invented(10.0)),
                                             "heater_weak": normal(invented(-15.0), invented(5.0))}, "set_point"),
           needs=("set_point",)),
)  # fmt: skip

FUNCTIONS = (
    Function("heats", "It heats", (HEATS,), chances(door_loose=0.8, link_open=0.3), invented(0.01)),
    Function("stays_shut", "The door stays shut", fails_with=chances(door_loose=0.9, lamp_dirty=0.2)),
)
COMPLAINTS = (
    Complaint("cold", "It stays cold", invented(0.02), "heats", invented(0.9)),
    Complaint("rattles", "It rattles", invented(0.03), shown_by=chances(door_loose=0.5, lamp_dirty=0.1)),
    Complaint("cold_and_smells", "It stays cold and smells", invented(0.01), "heats", invented(0.4),
              chances(lamp_dirty=0.6)),
)  # fmt: skip
REPAIRS = (
    Repair("replace_heater", "Replace the heater", chances(heater_weak=0.95, heater_open=0.9), invented(20.0),
           "isolated", ("outside",), part="heater"),
    Repair("tighten_door", "Tighten the door", chances(door_loose=0.8), invented(5.0), "isolated", ("outside",)),
    Repair("overhaul", "Overhaul it", chances(door_loose=0.7, fuse_open=0.6, heater_weak=0.5), invented(60.0),
           "isolated", ("outside",)),
    Repair("replace_fuse", "Replace the fuse", chances(fuse_open=1.0), invented(5.0), "isolated", ("outside",)),
)  # fmt: skip


def warmer(**changes: Any) -> Family:
    """The warmer, with some of its fields replaced."""
    part_of = {"heater_weak": "heater", "heater_open": "heater"}
    when: Mapping[str, Mapping[str, str]] = {"lamp_dirty": {"lamp": "yes"}}
    excludes = {"fuse_open": ("no_supply",)}
    family = Family(
        id="warmer", title="Warmer", version="1.0.0",
        supply=Supply(invented(VOLTS), normal(invented(VOLTS), invented(1.0)), least=invented(14.0)),
        ambient=among(15.0, 25.0),
        options=(
            Option("style", "Style", (OptionValue("small", "Small", invented(0.75)),
                                      OptionValue("large", "Large", invented(0.25)))),
            Option("lamp", "Lamp", (OptionValue("yes", "With a lamp", invented(0.6)),
                                    OptionValue("no", "Without", invented(0.4)))),
        ),
        states=STATES, zones=(Zone("outside", "Outside", invented(0.0)),),
        circuits=(heater_circuit(), link_circuit()), functions=FUNCTIONS, complaints=COMPLAINTS, tests=TESTS,
        faults=tuple(
            Fault(id_, id_.replace("_", " "), invented(rate), part_of.get(id_), excludes.get(id_, ()),
                  when.get(id_, {}))
            for id_, rate in RATES.items()
        ),
        parts=(ReplaceablePart("heater", "Heater", invented(30.0)),), repairs=REPAIRS, interlocks=(), closings=(),
        costs=DefaultCosts(invented(60.0), invented(100.0), invented(5.0), invented(80.0)),
        unknown_rate=invented(UNKNOWN_RATE), cautions=(), notice="Invented.",
    )  # fmt: skip
    return replace(family, **changes)


#: A build with nothing left open.
SMALL = {"style": "small", "lamp": "yes"}


def with_test(test: Test) -> Family:
    """The warmer with one test added, or replaced."""
    return warmer(tests=(*(t for t in TESTS if t.id != test.id), test))


def case(*readings: Reading, **fields: Any) -> Case:
    """A case of a small warmer with a lamp, unless ``options`` says otherwise."""
    return Case("warmer", readings=readings, **({"options": SMALL} | fields))


def supply(volts: float) -> Conditions:
    return Conditions(supply_voltage=Quantity(volts, "V"))


def evaluated(of: Case, family: Family | None = None, rules: Rules | None = None) -> Evaluation:
    return evaluate(of, ModelStore(family if family is not None else warmer()), rules or Rules())


def beliefs(found: Evaluation) -> dict[str, float]:
    """The probability of each fault, of none, and of something unknown."""
    present = dict(zip(found.faults, found.present.tolist(), strict=True))
    return {**present, "none": found.none, "unknown": found.unknown}


def pack_of(family: Family | None = None, validators: Any = None, scorer: Any = None) -> LoadedPack:
    """A pack as the loader would hand it over."""
    model = family if family is not None else warmer()
    rows = None if scorer is None else row_by_row(scorer)
    return LoadedPack(model, "(test)", "0", model.id, "sha256:invented", validators, rows)
