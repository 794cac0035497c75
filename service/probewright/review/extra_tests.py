"""The cheapest test, of those that a pack does not have, that would tell some faults apart.

In a circuit every reading is tried that a meter could take: resistance between two nodes without power, with the part
in question taken out where it stands in parallel; voltage between two nodes and current through a part with power; each
with the control set to every command.  What each would show is solved under the faults in question alone.  Faults that
no circuit shows call for a look at the part.

A test costs the minutes of its state and of its zone, and those that a test of its kind usually takes in the pack; one
that is done without power may take a little longer.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations
from statistics import median

import numpy as np

from probewright.circuit.faulty import Setting
from probewright.circuit.measure import Dictionary, Kind, Measurement, dictionaries
from probewright.circuit.parts import Circuit, Contact, Drift, Open, Short, Source, Stuck, Swap, Switch, holds
from probewright.figures import Figure, from_memory
from probewright.inference.numeric import Predictor, from_dictionary
from probewright.inference.reading_axis import ROOM, Axis
from probewright.inference.situation import Situation
from probewright.packs.model import DEAD_KINDS, Between, Family, State, Test, TestKind, Through
from probewright.quantities.instrument_defaults import LOW_IMPEDANCE
from probewright.quantities.instruments import resolve
from probewright.review.predictions import distances
from probewright.review.subject import BuildView, Subject

#: A new test is to tell two faults apart this well, or else at least so.
WELL, ENOUGH = 0.8, 0.5
#: Minutes that a state is worth which is safer by one.
SAFER = from_memory(3.0)
#: Nodes, commands and parts of a circuit that are tried at most.
_MOST_NODES, _MOST_COMMANDS, _MOST_PARTS = 14, 6, 16
#: Readings whose prediction is worked out, the cheapest first.
_MOST_READINGS = 1500
_UNITS: Mapping[Kind, str] = {"voltage": "V", "current": "A", "resistance": "ohm", "capacitance": "F"}

Ends = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Candidate:
    """A reading that a pack might have; ``known`` counts its ends where anybody finds one: ground, a source's side."""

    circuit: str
    measurement: Measurement
    state: State
    zone: str
    minutes: float
    words: str
    known: int = 0


def extra_test(subject: Subject, build: BuildView, faults: Sequence[str]) -> str | None:
    """The cheapest test that would tell faults apart in a build, in words; None where no way is known."""
    reading = _reading(subject, build, faults)
    if reading is not None:
        return reading
    return _look(subject.family, build, faults)


def _reading(subject: Subject, build: BuildView, faults: Sequence[str]) -> str | None:
    found = sorted(candidates(subject.family, build, faults), key=_dear)
    pairs = len(faults) * (len(faults) - 1) // 2
    best: tuple[int, int] = (0, 0)
    chosen: Candidate | None = None
    solve = _Solver(subject.family, build, faults, found)
    for candidate in found[:_MOST_READINGS]:
        told = solve.distances(candidate)
        score = (sum(d >= WELL for d in told), sum(d >= ENOUGH for d in told))
        if score > best:
            best, chosen = score, candidate
        if best[0] == pairs:
            break
    if chosen is None:
        return None
    some = "" if best[1] == pairs else f", which tells {best[1]} of the {pairs} pairs apart"
    return f"{chosen.words}, in the state {chosen.state.id}{_at(chosen)}, some {chosen.minutes:.0f} minutes{some}"


def _dear(candidate: Candidate) -> tuple[float, int]:
    """What a reading costs, in minutes; of equals those come first whose ends anybody finds."""
    return candidate.minutes + SAFER * candidate.state.risk, -candidate.known


def _at(candidate: Candidate) -> str:
    command = candidate.measurement.setting.command
    return "" if command == "off" else f" with the control at {command}"


class _Solver:
    """Solves readings under some faults, all of one setting together; lives for one search."""

    def __init__(
        self, family: Family, build: BuildView, faults: Sequence[str], found: Sequence[Candidate]
    ) -> None:
        self._family, self._build, self._faults = family, build, tuple(faults)
        self._by_setting: dict[tuple[str, Setting], list[Measurement]] = {}
        for candidate in found:
            key = candidate.circuit, candidate.measurement.setting
            self._by_setting.setdefault(key, []).append(candidate.measurement)
        self._solved = lru_cache(maxsize=64)(self._solve)

    def _solve(self, circuit: str, setting: Setting) -> Mapping[Measurement, Dictionary]:
        record = next(c for c in self._family.circuits if c.id == circuit)
        wanted = list(dict.fromkeys(self._by_setting[circuit, setting]))
        try:
            return dict(zip(wanted, dictionaries(record, self._build.options, self._faults, wanted), strict=True))
        except Exception:  # noqa: BLE001  laws are foreign code: what they do not bear is no reading to advise
            return {}

    def distances(self, candidate: Candidate) -> list[float]:
        """How far apart each two of the faults are read."""
        dictionary = self._solved(candidate.circuit, candidate.measurement.setting).get(candidate.measurement)
        if dictionary is None:
            return []
        place = {fault: i for i, fault in enumerate(dictionary.faults, start=1)}
        index = [int(dictionary.classes[0, place.get(fault, 0)]) for fault in self._faults]
        if len(set(index)) == 1:
            return []
        kind = dictionary.measurement.kind
        meter = resolve(None, kind)
        predictor = Predictor(from_dictionary(dictionary, ["derived"]), self._family)
        at = Situation(float(self._family.supply.nominal), float(ROOM))
        classes = sorted(set(index))
        # A voltage that a low input pulls down is a ghost: what only a high one tells apart is no sound advice.
        inputs = [meter.input_impedance, float(LOW_IMPEDANCE)] if kind == "voltage" else [meter.input_impedance]
        predicted = [predictor.predict(at, ohms, meter.maximum_resistance) for ohms in inputs]
        distance = np.min([distances(Axis(_UNITS[kind], one, classes, meter))[0] for one in predicted], axis=0)
        rows = [classes.index(i) for i in index]
        return [float(distance[a, b]) for a, b in combinations(rows, 2)]


def candidates(family: Family, build: BuildView, faults: Sequence[str]) -> Iterator[Candidate]:
    """Every reading that may be tried."""
    for circuit in family.circuits:
        if holds(circuit.when, build.options) and any(fault in circuit.changes for fault in faults):
            yield from _Places(family, build, circuit, faults).candidates()


class _Places:
    """Where a meter can stand in one circuit of a build."""

    def __init__(self, family: Family, build: BuildView, circuit: Circuit, faults: Sequence[str]) -> None:
        self._family, self._circuit = family, circuit
        self._costs = Costs(family, build, circuit)
        present = [part for part in circuit.parts if holds(part.when, build.options)]
        touched = {name for fault in faults for change in circuit.changes.get(fault, ()) for name in _touched(change)}
        # What the faults change comes first, and so do its ends: where there is too much, the rest is left out.
        present.sort(key=lambda part: part.id not in touched)
        self._parts = [part for part in present if not isinstance(part, Source)][:_MOST_PARTS]
        nodes = dict.fromkeys(node for part in present for node in (part.a, part.b))
        self._nodes = [*nodes][:_MOST_NODES]
        commands = dict.fromkeys(c for part in present if isinstance(part, Switch) for c in part.closed_in)
        self._commands = ["off", *(command for command in commands if command != "off")][:_MOST_COMMANDS]
        self._all, self._touched = present, touched
        self._known = {node for part in present if isinstance(part, Source) for node in (part.a, part.b)}
        self._known.add(circuit.reference)

    def candidates(self) -> Iterator[Candidate]:
        for command in self._commands:
            dead, live = self._costs.state("resistance"), self._costs.state("voltage")
            if dead is not None:
                yield from self._dead(Setting(command, powered=False, hertz=0.0), dead)
            if live is not None and any(isinstance(part, Source) for part in self._all):
                yield from self._live(Setting(command, True, float(self._circuit.frequency)), live)

    def _dead(self, setting: Setting, state: State) -> Iterator[Candidate]:
        for plus, minus in combinations(self._nodes, 2):
            yield self._between("resistance", setting, state, (plus, minus))
        for part in self._parts:
            beside = tuple(p.id for p in self._all if p.id != part.id and {p.a, p.b} & {part.a, part.b})
            if part.id in self._touched and beside:
                alone = Setting(setting.command, setting.powered, setting.hertz, beside)
                yield self._between("resistance", alone, state, (part.a, part.b))

    def _live(self, setting: Setting, state: State) -> Iterator[Candidate]:
        for plus, minus in combinations(self._nodes, 2):
            yield self._between("voltage", setting, state, (plus, minus))
        for part in self._parts:
            zone, minutes = self._costs.of("current", state, (part.a, part.b))
            measurement = Measurement("current", setting, part=part.id)
            words = f"a current test through {part.id} of circuit {self._circuit.id}"
            yield Candidate(self._circuit.id, measurement, state, zone, minutes, words)

    def _between(self, kind: Kind, setting: Setting, state: State, ends: Ends) -> Candidate:
        zone, minutes = self._costs.of(kind, state, ends)
        across = next((p.id for p in self._parts if {p.a, p.b} == set(ends) and p.id in self._touched), None)
        place = f"from {ends[0]} to {ends[1]}" if across is None else f"across {across} ({ends[0]} to {ends[1]})"
        alone = ", with what else is on its ends taken off" if setting.apart else ""
        words = f"a {kind} test {place} of circuit {self._circuit.id}{alone}"
        measurement = Measurement(kind, setting, plus=ends[0], minus=ends[1])
        known = len(self._known & set(ends))
        return Candidate(self._circuit.id, measurement, state, zone, minutes, words, known)


def _touched(change: object) -> tuple[str, ...]:
    """The parts that a change names."""
    if isinstance(change, Open | Short | Drift | Contact):
        return (change.part,)
    if isinstance(change, Stuck):
        return (change.switch,)
    return (change.first, change.second) if isinstance(change, Swap) else ()


class Costs:
    """Minutes that a new test would take, from those that the pack's own tests do."""

    def __init__(self, family: Family, build: BuildView, circuit: Circuit | None = None) -> None:
        self._family = family
        self._zones = {zone.id: float(zone.minutes) for zone in family.zones}
        proposed = [test for test in family.tests if not test.reported and not test.closing]
        self._tests = [test for test in proposed or family.tests if holds(test.when, build.options)] or [*family.tests]
        self._near = [(t, ends) for t in self._tests for ends in _ends(t, circuit)] if circuit is not None else []

    def state(self, kind: TestKind | Kind) -> State | None:
        """The safest state in which a test of a kind can be done."""
        dead = kind in DEAD_KINDS or kind == "seen"
        able = [state for state in self._family.states if state.powered != dead]
        return min(able, key=lambda state: (state.risk, float(state.minutes)), default=None)

    def of(self, kind: TestKind | Kind, state: State, ends: Ends) -> tuple[str, float]:
        """The zone in which two nodes are reached, and the minutes of a test there: state, zone and the test itself."""
        zone = self._zone(ends)
        return zone, self.minutes(kind, state, (zone,))

    def minutes(self, kind: TestKind | Kind, state: State, zones: Sequence[str]) -> float:
        """Minutes of a new test in a state and some zones."""
        own = [float(test.minutes) for test in self._tests if test.kind == kind]
        usual: Sequence[Figure | float] = own or [float(test.minutes) for test in self._tests]
        return float(state.minutes) + sum(self._zones[zone] for zone in zones) + float(median(usual))

    def _zone(self, ends: Ends) -> str:
        """Where both nodes are reached, by where the pack's tests reach them; nobody knows of others: the slowest."""
        unknown = max([test.zone for test, _ in self._near] or [*self._zones], key=self._zones.__getitem__)
        reached = [
            min((test.zone for test, own in self._near if node in own), key=self._zones.__getitem__, default=unknown)
            for node in ends
        ]
        return max(reached, key=self._zones.__getitem__)


def _ends(test: Test, circuit: Circuit) -> Iterator[Ends]:
    """The nodes at which a test's meter is, in a circuit; what is seen is seen from afar."""
    for model in test.models:
        if isinstance(model, Between) and model.circuit == circuit.id:
            yield model.plus, model.minus
        elif isinstance(model, Through) and model.circuit == circuit.id:
            yield from ((part.a, part.b) for part in circuit.parts if part.id == model.part)


def _look(family: Family, build: BuildView, faults: Sequence[str]) -> str | None:
    """A look at the part of one of the faults, where its repair goes to work: the quickest."""
    costs = Costs(family, build)
    state = costs.state("seen")
    records = {fault.id: fault for fault in family.faults}
    options = []
    for name in faults:
        repair = build.compiled.repairs.get(build.courses.get(name, ""))
        if state is not None and repair is not None:
            part = records[name].part
            place = f"a look at {part}" if part is not None else f"a look for {name}"
            minutes = costs.minutes("seen", state, repair.zones)
            options.append((minutes, f"{place} (kind seen), in the state {state.id}, with an outcome for {name}"))
    if not options:
        return None
    minutes, words = min(options)
    return f"{words}, some {minutes:.0f} minutes"


