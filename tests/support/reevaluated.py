"""Invented results of a re-evaluation, drawn from a seed: no such jobs, meters or appliances exist."""

from __future__ import annotations

import random
from datetime import date

from probewright.batch.report import About
from probewright.batch.summary import Tally
from probewright_schemas.batch_records import (
    Change,
    Changes,
    CorrectedReading,
    Held,
    MeterCorrection,
    Reevaluation,
    ReplacedLimits,
)
from probewright_schemas.records import Correction, Limits, PackIdentity, Quantity

FAMILIES = {"gas_range": "Gas range", "electric_range": "Electric range", "clothes_dryer": "Clothes dryer"}
_FAULTS = {
    "gas_range": ("Bake igniter weak", "Bake igniter open", "Broil igniter weak", "Oven gas valve open coil",
                  "Oven temperature sensor drifted", "Oven control: bake relay open", "Supply polarity reversed",
                  "Spark module dead", "Regulator pressure low", "Gas supply valve partly shut",
                  "Oven door seal leaking", "Igniter wiring corroded", "Burner ports clogged"),
    "electric_range": ("Bake element open", "Broil element open", "Element grounded", "Surface switch burned",
                       "Oven sensor drifted", "Control relay welded", "Terminal block burned", "One supply leg dead",
                       "Door latch stuck"),
    "clothes_dryer": ("Heating element open", "Thermal cut-out open", "Cycling thermostat open", "Drum belt broken",
                      "Vent blocked", "Motor start winding open", "Door switch open", "Timer contact worn",
                      "One supply leg dead", "Moisture sensor fouled", "Idler pulley seized"),
}  # fmt: skip
_TESTS = {
    "gas_range": ("Bake igniter current", "Broil igniter current", "Igniter resistance", "Supply voltage"),
    "electric_range": ("Bake element current", "Broil element current", "Element resistance to ground"),
    "clothes_dryer": ("Heater current", "Motor current", "Cut-out resistance"),
}
_METERS = ("clamp-07", "clamp-02", "multimeter-03", "multimeter-11")
_VERDICTS = (("within", "outside"),) * 5 + (("outside", "within"), ("inconclusive", "outside"))


def slug(title):
    """An id for a title."""
    return title.lower().replace(":", "").replace("-", "_").replace(" ", "_")


TITLES = {
    family: {slug(title): title for title in (*_FAULTS[family], *_TESTS[family])}
    | {"gas_smell": "Gas escapes", "shock": "Live metal that can be touched", "replace": "Replace the part"}
    | {"igniter_style": "igniter style"}
    for family in FAMILIES
}
CHANGES = Changes(
    corrections=(
        MeterCorrection("clamp-07", "current", Correction(1.064, 0.004), date(2026, 3, 1), date(2026, 8, 28)),
        MeterCorrection(
            "multimeter-03", "temperature",
            Correction(1.002, 0.001, Quantity(-1.5, "degC"), Quantity(0.2, "degC"), Quantity(20.0, "degC")),
        ),
    ),
    limits=(
        ReplacedLimits("gas_range", "bake_igniter_current", Limits("A", 3.2, 3.6), {"igniter_style": "flat"}),
        ReplacedLimits("clothes_dryer", "heater_current", Limits("A", low=18.0)),
    ),
)  # fmt: skip
ABOUT = About(CHANGES, FAMILIES, TITLES, ("jobs-2026.ndjson.gz",), "All of these jobs are invented.")


def drawn(count, seed, change_rate=0.09):
    """Results with their lines; the pack of the earlier answer beside each."""
    chance = random.Random(seed)
    for line in range(1, count + 1):
        family = chance.choices(list(FAMILIES), (6, 3, 4))[0]
        before = PackIdentity(family, "1.0.0", "sha256:" + "0a" * 32)
        now = PackIdentity(family, "1.1.0", "sha256:" + "5d" * 32) if family == "gas_range" else before
        yield line, _result(chance, family, now, line, change_rate), before


def _result(chance, family, pack, line, change_rate):
    faults = [slug(title) for title in _FAULTS[family]]
    leading = chance.choices(faults, [1 / (place + 1) for place in range(len(faults))])[0]
    sure = min(1.0, chance.betavariate(6, 1.2))
    told = {
        "family": family, "pack": pack, "computation": f"sha256:{line:08x}", "reference": f"invented job {line}",
        "before": Held(leading, sure), "after": Held(leading, sure), "shift": 0.0,
    }  # fmt: skip
    test = slug(chance.choice(_TESTS[family]))
    if chance.random() < 0.3:
        told["corrected"] = (CorrectedReading(0, test, chance.choice(_METERS), 2.45, 2.6068, "A"),)
    kind = chance.choices(("changed", "unchanged", "new", "same"), (change_rate, 0.25, 0.02, 0.64))[0]
    if kind == "changed":
        told |= _changed(chance, family, faults, test, sure)
    elif kind == "unchanged":
        after = min(1.0, max(0.0, sure + chance.gauss(0.0, 0.015)))
        told |= {"after": Held(leading, after), "shift": abs(after - sure), "why": "Nothing that counts is different."}
    elif kind == "new":
        told |= {"before": None, "shift": None, "why": "There was no earlier answer."}
    if chance.random() < 0.01:
        told["notes"] = ("Reading 0 has no day: the correction of clamp-07 was not applied.",)
    return Reevaluation(**({"status": kind, "why": "The very same computation."} | told))


def _changed(chance, family, faults, test, sure):
    shift = min(1.0, chance.betavariate(1.6, 2.0))
    before, after = chance.choice(_VERDICTS)
    changes = [Change("verdict", test, 0, before, after, 0.9, 0.05)]
    told = {"shift": shift, "why": f"The corrected reading of 2.6068 A is {after} its band, as it was read it was "
                                   f"{before}."}  # fmt: skip
    if shift > 0.4:
        now = chance.choices(faults, [1 / (place + 2) for place in range(len(faults))])[0]
        old = chance.choice(faults[:5])
        told |= {"before": Held(old, sure), "after": Held(now, chance.betavariate(4, 2))}
        if now != old:
            changes.insert(0, Change("leading_fault", None, None, old, now, sure, told["after"].probability))
    if shift > 0.5:
        changes.insert(0, Change("next_step", None, None, f"test:{test}", "repair:replace"))
    if chance.random() < 0.15:
        changes.insert(0, Change("swapped_part_good", faults[0], None, None, None, 0.93, chance.uniform(0.01, 0.2)))
    if chance.random() < 0.03:
        changes.insert(0, Change("hazard_shows", "gas_smell" if family == "gas_range" else "shock"))
    return told | {"changes": tuple(changes)}


def tally(results, refused=0):
    """The tally of results as :func:`drawn` gives them."""
    found = Tally()
    for line, result, before in results:
        found.add(result, line, before)
    for _ in range(refused):
        found.refuse("invalid_case")
    return found.to_json()
