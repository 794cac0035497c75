"""Bayes' rule over the warmer of :mod:`support.families` in fractions: every set of faults in every build, by hand.

Nothing of the engine's inference is used but the rates that it documents as its own.  The supply is taken to be at its
nominal voltage: no threshold of the warmer lies where the spread of the supply could reach it.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from probewright.inference.aftermath import TRIES
from probewright.inference.compiled import LEAST_REPORT, UNKNOWN_LEAVES, UNKNOWN_LEAVES_READING, WRONG_REPORT
from probewright.inference.seen import READ_OFF_DISPLAY
from support.families import DOOR, DOOR_DIRTY, DOOR_LOOSE, HEATER, IN_SERIES, RATES, UNKNOWN_RATE, VOLTS, WEAK

World = tuple[Mapping[str, str], frozenset[str] | None]
"""A build (option to value) and the faults in it; None for something unknown."""
Evidence = Callable[[World], Fraction]

STYLES, LAMPS = {"small": 0.75, "large": 0.25}, {"yes": 0.6, "no": 0.4}
NEVER_TOGETHER = ({"heater_weak", "heater_open"}, {"fuse_open", "no_supply"})
ENOUGH = 3.0  # anywhere between a weak small heater and a weak large one
BEEPS_UNDER = 30.0
MISREAD = Fraction(1, 100)


def exact(value: float) -> Fraction:
    return Fraction(str(float(value)))


def sets(build: Mapping[str, str]) -> Iterator[frozenset[str]]:
    faults = [f for f in RATES if f != "lamp_dirty" or build["lamp"] == "yes"]
    for size in range(3):
        for chosen in itertools.combinations(faults, size):
            if not any(pair <= set(chosen) for pair in NEVER_TOGETHER):
                yield frozenset(chosen)


def odds(rate: float) -> Fraction:
    return exact(rate) / (1 - exact(rate))


def worlds(options: Mapping[str, str]) -> dict[World, Fraction]:
    """Every build that the options leave open, with every set of faults, and their prior probabilities."""
    found: list[tuple[World, Fraction]] = []
    for (style, a), (lamp, b) in itertools.product(STYLES.items(), LAMPS.items()):
        build = {"style": style, "lamp": lamp}
        if any(build[option] != value for option, value in options.items()):
            continue
        weights: list[tuple[frozenset[str] | None, Fraction]] = [(None, odds(UNKNOWN_RATE))]
        for faults in sets(build):
            weight = Fraction(1)
            for fault in faults:
                weight *= odds(RATES[fault])
            weights.append((faults, weight))
        total = sum(weight for _, weight in weights)
        share = exact(a) * exact(b)
        found += [((Frozen(build), faults), share * weight / total) for faults, weight in weights]
    everything = sum(weight for _, weight in found)
    return {world: weight / everything for world, weight in found}


class Frozen(dict[str, str]):
    """A mapping that can be a key."""

    def __hash__(self) -> int:  # type: ignore[override]
        return hash(tuple(sorted(self.items())))


def after(options: Mapping[str, str], course: Sequence[Evidence | Mended]) -> dict[World, Fraction]:
    """Every world after evidence and repairs in turn, with the probability of getting there and of the evidence."""
    weights = worlds(options)
    for step in course:
        if isinstance(step, Mended):
            weights = step(weights)
        else:
            weights = {world: weight * step(world) for world, weight in weights.items()}
    return weights


def posterior(options: Mapping[str, str], course: Sequence[Evidence | Mended]) -> dict[str, float]:
    """The probability of each fault, of none, and of something unknown."""
    weights = after(options, course)
    total = sum(weights.values())
    found = {"none": Fraction(0), "unknown": Fraction(0), **dict.fromkeys(RATES, Fraction(0))}
    for (_, faults), weight in weights.items():
        for name in ("unknown",) if faults is None else faults or ("none",):
            found[name] += weight / total
    return {name: float(value) for name, value in found.items()}


def evidence_of(options: Mapping[str, str], course: Sequence[Evidence | Mended]) -> float:
    """The probability of the evidence."""
    return float(sum(after(options, course).values()))


def amperes(build: Mapping[str, str], faults: frozenset[str]) -> float:
    if faults & {"no_supply", "fuse_open", "heater_open"}:
        return 0.0
    return VOLTS / (IN_SERIES + HEATER[build["style"]] * (WEAK if "heater_weak" in faults else 1.0))


def read_as(chances: Callable[[Mapping[str, str], frozenset[str]], Mapping[str, Fraction]], outcome: str) -> Evidence:
    """Something seen: misread now and then; an unknown trouble leaves it healthy or makes it anything."""

    def piece(world: World) -> Fraction:
        build, faults = world
        healthy = chances(build, frozenset())
        leaves, anything = exact(UNKNOWN_LEAVES_READING), Fraction(1, len(healthy))
        unknown = leaves * healthy[outcome] + (1 - leaves) * anything
        fits = unknown if faults is None else chances(build, faults)[outcome]
        return (1 - MISREAD) * fits + MISREAD * anything

    return piece


def door_chances(_: Mapping[str, str], faults: frozenset[str]) -> dict[str, Fraction]:
    rows = [row for fault, row in (("door_loose", DOOR_LOOSE), ("lamp_dirty", DOOR_DIRTY)) if fault in faults] or [DOOR]
    outcomes = list(DOOR)
    found = dict.fromkeys(outcomes, Fraction(0))
    # Of two draws the later outcome is seen.
    for draw in itertools.product(outcomes, repeat=len(rows)):
        chance = Fraction(1)
        for row, outcome in zip(rows, draw, strict=True):
            chance *= exact(row[outcome])
        found[max(draw, key=outcomes.index)] += chance
    return found


def lamp_chances(build: Mapping[str, str], faults: frozenset[str]) -> dict[str, Fraction]:
    if amperes(build, faults) < ENOUGH:
        return {"lit": Fraction(0), "dark": Fraction(1)}
    lit = exact(0.3 if "lamp_dirty" in faults else 0.99)
    return {"lit": lit, "dark": 1 - lit}


def glow_chances(build: Mapping[str, str], faults: frozenset[str]) -> dict[str, Fraction]:
    through = amperes(build, faults)
    seen = "bright" if through > ENOUGH else "dim" if through > 1.0 else "none"
    return {outcome: Fraction(outcome == seen) for outcome in ("bright", "dim", "none")}


def continuity_chances(build: Mapping[str, str], faults: frozenset[str]) -> dict[str, Fraction]:
    ohms = HEATER[build["style"]] * (WEAK if "heater_weak" in faults else 1.0)
    conducts = Fraction(1) if ohms < BEEPS_UNDER else exact(READ_OFF_DISPLAY)
    closed = Fraction(0) if "heater_open" in faults else conducts
    return {"closed": closed, "open": 1 - closed}


def lamp(outcome: str) -> Evidence:
    """A build without a lamp explains it as a misreading."""
    with_a_lamp = read_as(lamp_chances, outcome)
    return lambda world: with_a_lamp(world) if world[0]["lamp"] == "yes" else MISREAD / 2


def works(world: World) -> Fraction:
    """The chance that it heats."""
    build, faults = world
    if faults is None:
        return exact(UNKNOWN_LEAVES)
    chance = Fraction(99, 100) * (1 if amperes(build, faults) > ENOUGH else 0)
    return chance * (exact(0.2) if "door_loose" in faults else 1) * (exact(0.7) if "link_open" in faults else 1)


def stays_shut(world: World) -> Fraction:
    if world[1] is None:
        return exact(UNKNOWN_LEAVES)
    return (exact(0.1) if "door_loose" in world[1] else 1) * (exact(0.8) if "lamp_dirty" in world[1] else Fraction(1))


def working(function: Evidence) -> Evidence:
    wrong = exact(WRONG_REPORT)
    return lambda world: function(world) * (1 - wrong) + (1 - function(world)) * wrong


Said = tuple[Evidence, Evidence]
"""A report about a function: the chances of it where the function fails, and where it works."""


def cold_if(works: bool) -> Evidence:
    return lambda _: exact(0.02 if works else 0.9)


def cold_and_smells_if(works: bool) -> Evidence:
    def piece(world: World) -> Fraction:
        quiet = 1 - exact(0.01 if works else 0.4)
        return 1 - quiet * (1 - exact(0.6) if world[1] and "lamp_dirty" in world[1] else 1)

    return piece


OF_HEATING: dict[str, Said] = {
    "cold": (cold_if(False), cold_if(True)),
    "cold_and_smells": (cold_and_smells_if(False), cold_and_smells_if(True)),
    "heats": (lambda _: exact(WRONG_REPORT), lambda _: 1 - exact(WRONG_REPORT)),
}


def all_said(reports: Sequence[Said]) -> Evidence:
    """Several reports about whether it heats: it does or it does not, and that is what all of them are about."""

    def piece(world: World) -> Fraction:
        fails, heats = 1 - works(world), works(world)
        for if_failed, if_working in reports:
            fails, heats = fails * if_failed(world), heats * if_working(world)
        return fails + heats

    return piece


def told(reports: Sequence[str]) -> list[Evidence]:
    """Complaints and functions that are reported to work, in their order, each given those before it."""
    pieces: list[Evidence] = []
    heating: list[Said] = []
    for name in reports:
        if name in OF_HEATING:
            before, heating = all_said(heating), [*heating, OF_HEATING[name]]
            pieces.append(_given(all_said(heating), before))
        else:
            pieces.append({"rattles": rattles, "stays_shut": working(stays_shut)}[name])
    return pieces


def _given(both: Evidence, before: Evidence) -> Evidence:
    return lambda world: both(world) / before(world)


def rattles(world: World) -> Fraction:
    quiet = 1 - exact(0.03)
    if world[1] is None:
        return 1 - quiet * (1 - exact(UNKNOWN_LEAVES) * exact(0.5))
    for fault, chance in (("door_loose", 0.5), ("lamp_dirty", 0.1)):
        quiet *= 1 - exact(chance) if fault in world[1] else 1
    return 1 - quiet


cold = all_said([OF_HEATING["cold"]])


@dataclass(frozen=True)
class Mended:
    """A repair: each fault leaves with its chance; then everything complained of is gone, still there, or not told.

    ``complaints`` are those that the job is about.  ``was_there``: the complaint was there until this repair, so what
    the repair left as it was still brings it about.
    """

    cures: Mapping[str, float]
    remains: bool | None
    complaints: tuple[str, ...] = ()
    was_there: bool = True

    def __call__(self, weights: Mapping[World, Fraction]) -> dict[World, Fraction]:
        found: dict[World, Fraction] = {}
        for (build, faults), weight in weights.items():
            for gone in subsets(faults or frozenset()):
                left = None if faults is None else faults - gone
                part = weight * self.chance(faults or frozenset(), gone)
                found[build, left] = found.get((build, left), Fraction(0)) + part * self.told(build, left, bool(gone))
        return found

    def chance(self, faults: frozenset[str], gone: frozenset[str]) -> Fraction:
        part = Fraction(1)
        for fault in faults:
            cured = exact(self.cures.get(fault, 0.0))
            # A complaint that remains is the first sign of a repair done badly: once in fifty at least.
            cured = min(cured, Fraction(49, 50)) if self.remains else cured
            part *= cured if fault in gone else 1 - cured
        return part

    def told(self, build: Mapping[str, str], left: frozenset[str] | None, changed: bool) -> Fraction:
        if self.remains is None:
            return Fraction(1)
        world = (build, left)
        if not self.remains:
            return quiet(world, self.complaints, failed=self.was_there and left is None)
        if self.was_there and not changed:
            return Fraction(1)
        if not self.complaints:
            return exact(LEAST_REPORT) if left == frozenset() else Fraction(1)
        return 1 - not_made(world, self.complaints)


def not_made(world: World, complaints: Sequence[str]) -> Fraction:
    """None of some complaints is made."""
    silent: list[Said] = [(_not(OF_HEATING[c][0]), _not(OF_HEATING[c][1])) for c in complaints if c in OF_HEATING]
    return all_said(silent)(world) * (1 - rattles(world) if "rattles" in complaints else 1)


def _not(evidence: Evidence) -> Evidence:
    return lambda world: 1 - evidence(world)


def subsets(faults: frozenset[str]) -> Iterator[frozenset[str]]:
    for size in range(len(faults) + 1):
        yield from (frozenset(chosen) for chosen in itertools.combinations(sorted(faults), size))


def quiet(world: World, complaints: Sequence[str], *, failed: bool) -> Fraction:
    """Nothing complained of shows: functions were tried and work, rattling stayed away as often as it was tried.

    ``failed``: what was complained of had failed, by something that no repair touches.
    """
    chance = (1 - rattles(world)) ** int(TRIES) if "rattles" in complaints else Fraction(1)
    said = [OF_HEATING[complaint] for complaint in complaints if complaint in OF_HEATING]
    if not said:
        return chance
    if failed:
        return chance * all_said([*said, OF_HEATING["heats"]])(world) / all_said(said)(world)
    return chance * working(works)(world)
