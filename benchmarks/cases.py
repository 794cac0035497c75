"""Invented gas-range cases as a shop's dispatch software would send them: eight readings each, no two cases alike.

A shop sees the same few models with the same few complaints, and technicians take the same few readings.  So the cases
are drawn from ``N_COMBINATIONS`` combinations of a model (all options known from the model number), a complaint, what
works, and eight tests.  Within a combination everything else is drawn anew for each case: supply voltage, temperature,
meter, set point, every value, and what is wrong.

What the service can reuse from one case to the next is therefore what depends on the combination alone (compiled
arrays, merged hypotheses, tables for planning), on a combination's temperature (whole degrees), or on a kind of meter.
No answer can be reused.
"""

from __future__ import annotations

import json
import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from probewright.circuit.parts import holds
from probewright.packs.loader import load_packs
from probewright.packs.model import Family, Test

Document = dict[str, Any]

SEED = 20_251
N_CASES = 2000
N_COMBINATIONS = 40
N_READINGS = 8
EFFORTS = ("none", "quick")
#: Hazards get a short answer; a benchmark of them would flatter.
HAZARDS = ("gas_odour", "leak_check_solution", "carbon_monoxide_air_free", "wiring_condition")

_HOT = {"oven_ignition": "hot_surface"}
_SPARK = {"cooktop_ignition": "spark"}
_SENSOR = {"oven_control": "electronic", "sensor_curve": "iec_60751"}
#: The models of range that this shop sees, by all their options.
MODELS: tuple[dict[str, str], ...] = (
    {"fuel": "natural_gas", **_HOT, "igniter_style": "flat", **_SPARK, **_SENSOR},
    {"fuel": "natural_gas", **_HOT, "igniter_style": "round", **_SPARK, **_SENSOR},
    {"fuel": "propane", **_HOT, "igniter_style": "flat", "cooktop_ignition": "spark_flame_sensing", **_SENSOR},
    {"fuel": "natural_gas", **_HOT, "igniter_style": "round", **_SPARK, "oven_control": "mechanical"},
    {"fuel": "natural_gas", "oven_ignition": "spark", **_SPARK, **_SENSOR},
    {"fuel": "propane", "oven_ignition": "standing_pilot", "cooktop_ignition": "standing_pilot",
     "oven_control": "mechanical"},
)  # fmt: skip

#: Tests of which one shows what is wrong, by how their ids end; the others read as on a sound range.
_BURNER = ("igniter_glow", "igniter_current", "igniter_mounting", "e_spark", "l_spark", "gas_lever", "pilot_flame")
_SPARKS = ("spark_at_electrodes", "electrode_condition")
_HEAT = ("oven_temperature", "door_seal", "air_passages", "orifice_markings", "manifold_pressure", "sensor_resistance")


@dataclass(frozen=True, slots=True)
class Story:
    """A complaint, what works all the same, tests that bear on it (how ids begin), and that may tell (how they end)."""

    complaint: str
    working: tuple[str, ...]
    begins: tuple[str, ...]
    telling: tuple[str, ...]


STORIES = (
    Story("bake_does_not_light", ("surface_burners_light",),
          ("bake_", "outlet_", "control_lock", "oven_pilot", "gas_"), _BURNER),
    Story("bake_does_not_light", ("surface_burners_light", "broil_lights"),
          ("bake_", "outlet_v", "oven_pilot", "orifice"), _BURNER),
    Story("broil_does_not_light", ("bake_lights",), ("broil_", "outlet_", "burner_ports", "gas_"), _BURNER),
    Story("oven_slow_to_light", ("surface_burners_light",),
          ("bake_", "outlet_v", "manifold", "oven_pilot", "burner_ports"), _BURNER),
    Story("oven_temperature_off", ("bake_lights",),
          ("oven_", "air_", "manifold", "orifice", "bake_igniter_c", "outlet_v"), _HEAT),
    Story("no_spark_at_any_burner", ("bake_lights",),
          ("spark_", "ignition_", "outlet_", "burner_", "gas_"), ("spark_at_electrodes",)),
    Story("sensor_error_shown", ("surface_burners_light",),
          ("oven_s", "oven_t", "board_", "outlet_", "control_", "air_"), ("sensor_resistance", "to_chassis")),
    Story("one_surface_burner_does_not_light", ("any_surface_burner_lights",),
          ("spark_", "ignition_", "burner_", "cooktop_", "outlet_v", "orifice", "manifold", "gas_"),
          (*_SPARKS, "burner_ports", "burner_cap_seat")),
)  # fmt: skip

#: The shop's meters; a technician uses any of them.
METERS = (
    {"kind": "multimeter", "percent_of_reading": 0.5, "counts": 2},
    {"kind": "multimeter", "percent_of_reading": 0.8, "counts": 3, "leads_zeroed": True},
    {"kind": "multimeter", "percent_of_reading": 1.0, "counts": 5},
)


@dataclass(frozen=True, slots=True)
class Combination:
    """What many cases share: all that the service may have compiled already."""

    options: dict[str, str]
    story: Story
    tests: tuple[Test, ...]

    @property
    def working(self) -> tuple[str, ...]:
        """What is reported to work."""
        also = ("display_on",) if self.options["oven_control"] == "electronic" else ()
        return (*self.story.working, *also)


@dataclass(frozen=True, slots=True)
class Kitchen:
    """What one visit finds: supply (V), temperature and set point (degF), igniter (A), coil (ohm), gas (inH2O)."""

    supply: float
    ambient: int
    set_point: int
    igniter: float
    coil: float
    gas: float


def combinations(count: int, seed: int = SEED) -> list[Combination]:
    """Combinations drawn from what the gas range has, no two with the same options, reports and set of tests."""
    chance = random.Random(seed)
    family = load_packs().packs["gas_range"].family
    found: dict[tuple[object, ...], Combination] = {}
    while len(found) < count:
        drawn = _combination(chance, family)
        if drawn is not None:
            reports = (drawn.story.complaint, *drawn.working)
            found.setdefault((*sorted(drawn.options.items()), reports, *sorted(t.id for t in drawn.tests)), drawn)
    return list(found.values())


def _combination(chance: random.Random, family: Family) -> Combination | None:
    """One combination, or None when the model drawn has no such complaint, or too few tests that bear on it."""
    options, story = chance.choice(MODELS), chance.choice(STORIES)
    if not any(c.id == story.complaint and holds(c.when, options) for c in family.complaints):
        return None
    begins = story.begins
    tests = [t for t in family.tests if holds(t.when, options) and t.id.startswith(begins) and t.id not in HAZARDS]
    telling = [t for t in tests if t.id.endswith(story.telling)]
    if len(tests) < N_READINGS or not telling:
        return None
    first = chance.choice(telling)
    others = chance.sample([t for t in tests if t is not first], N_READINGS - 1)
    return Combination(options, story, tuple(chance.sample([first, *others], N_READINGS)))


def case(chance: random.Random, number: int, combination: Combination) -> Document:
    """One visit: a new kitchen, a meter, and a reading or two that show something wrong."""
    kitchen = _kitchen(chance, combination.options)
    culprit = chance.choice([t.id for t in combination.tests if t.id.endswith(combination.story.telling)])
    # A weak igniter shows in its glow and in its current.
    wrong = {culprit, culprit.replace("_glow", "_current"), culprit.replace("igniter_current", "igniter_glow")}
    return {
        "family": "gas_range",
        "reference": f"invented-{number}",
        "options": combination.options,
        "complaints": [combination.story.complaint],
        "working": list(combination.working),
        "conditions": {
            "supply_voltage": {"value": kitchen.supply, "unit": "V"},
            "ambient": {"value": kitchen.ambient, "unit": "degF"},
            "set_point": {"value": kitchen.set_point, "unit": "degF"},
        },
        "meters": {"dmm": chance.choice(METERS)},
        "readings": [_reading(chance, test, kitchen, wrong=test.id in wrong) for test in combination.tests],
        "costs": {"labour_per_hour": 95, "callback": 120},
    }


def _kitchen(chance: random.Random, options: dict[str, str]) -> Kitchen:
    supply = round(chance.uniform(114.0, 126.0), 1)
    amperes = (3.2, 3.6) if options.get("igniter_style") == "flat" else (2.5, 3.0)
    coil = (0.7, 1.4) if options["oven_ignition"] == "hot_surface" else (150.0, 400.0)
    gas = (4.5, 5.5) if options["fuel"] == "natural_gas" else (9.5, 10.5)
    return Kitchen(
        supply, chance.randint(55, 95), 25 * chance.randint(11, 18), chance.uniform(*amperes) * supply / 120.0,
        chance.uniform(*coil), chance.uniform(*gas),
    )  # fmt: skip


def _reading(chance: random.Random, test: Test, kitchen: Kitchen, *, wrong: bool) -> Document:
    said: Document = {"test": test.id, "state": test.states[0]}
    if test.outcomes:
        return {**said, "seen": test.outcomes[1 if wrong else 0]}
    if test.kind in ("voltage", "resistance"):
        said["meter"] = "dmm"
    return {**said, **_MEASURED[test.kind](chance, test.id, kitchen, wrong)}


def _voltage(chance: random.Random, test: str, kitchen: Kitchen, wrong: bool) -> Document:
    if test == "outlet_neutral_to_ground":
        volts = chance.uniform(4.0, 15.0) if wrong else chance.uniform(0.1, 1.5)
    else:
        loss = kitchen.igniter if test.endswith("igniter_voltage") else 0.0
        volts = chance.uniform(0.0, 95.0) if wrong else kitchen.supply - loss - chance.uniform(0.0, 0.8)
    return {"value": round(volts, 1), "unit": "V"}


def _current(chance: random.Random, _test: str, kitchen: Kitchen, wrong: bool) -> Document:
    return {"value": round(kitchen.igniter * (chance.uniform(0.6, 0.85) if wrong else 1.0), 2), "unit": "A"}


def _resistance(chance: random.Random, test: str, kitchen: Kitchen, wrong: bool) -> Document:
    if test.endswith("to_chassis"):
        return {"value": round(chance.uniform(1.0, 200.0), 1), "unit": "kohm"} if wrong else {"over_range": True}
    if wrong and chance.random() < 0.5:
        return {"over_range": True}
    if "sensor" in test:  # about 1000 ohm at the freezing point and 3.85 ohm more with each kelvin (IEC 60751)
        ohms = 1000 + 3.85 * (kitchen.ambient - 32) / 1.8 + chance.uniform(-4, 4) + 80 * wrong
        return {"value": round(ohms), "unit": "ohm"}
    ohms = chance.uniform(60, 250) if "igniter" in test else kitchen.coil
    return {"value": round(ohms * (3 if wrong else 1), 1), "unit": "ohm"}


def _temperature(chance: random.Random, _test: str, kitchen: Kitchen, wrong: bool) -> Document:
    off = chance.choice((-1, 1)) * chance.uniform(40, 80) if wrong else chance.uniform(-10, 10)
    return {"value": round(kitchen.set_point + off), "unit": "degF"}


def _pressure(chance: random.Random, _test: str, kitchen: Kitchen, wrong: bool) -> Document:
    return {"value": round(kitchen.gas * (chance.uniform(0.3, 0.6) if wrong else 1), 1), "unit": "in WC"}


_MEASURED: dict[str, Callable[[random.Random, str, Kitchen, bool], Document]] = {
    "voltage": _voltage, "current": _current, "resistance": _resistance, "temperature": _temperature,
    "pressure": _pressure,
}  # fmt: skip


def cases(effort: str, *, options_known: bool = True) -> list[Document]:
    """All cases, asking for that much of a next step; ``options_known=False`` says nothing of how the range is built.

    Raises
    ------
    ValueError
        When two cases are equal but for their reference: then the figures would be those of something else.
    """
    chance = random.Random(SEED)
    drawn = combinations(N_COMBINATIONS)
    made = [{**case(chance, number, chance.choice(drawn)), "effort": effort} for number in range(N_CASES)]
    insist_on_difference(made)
    return made if options_known else [{**one, "options": {}} for one in made]


def insist_on_difference(made: Sequence[Document]) -> None:
    """Raise ValueError when two cases are equal but for their reference."""
    texts = {json.dumps({**one, "reference": ""}, sort_keys=True) for one in made}
    if len(texts) != len(made):
        raise ValueError(f"of {len(made)} cases only {len(texts)} differ")
