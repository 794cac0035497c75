"""Circuits: parts that float, sources that are shorted, switches and changes that do nothing."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np

from probewright.circuit.faulty import Setting
from probewright.circuit.measure import Measurement, dictionaries
from probewright.circuit.parts import (
    Circuit,
    Contact,
    Drift,
    Leak,
    Open,
    Part,
    Short,
    Source,
    Stuck,
    Swap,
    Switch,
    holds,
)
from probewright.errors import said
from probewright.figures import common_practice
from probewright.packs.model import Between, Family, Shows, Test, Through
from probewright.review.catalogue import remark
from probewright.review.graph import Edge, in_loops, joined
from probewright.review.records import part_name, requirements
from probewright.review.remark import Remark
from probewright.review.subject import BuildView, Subject
from probewright_schemas.suggest import nearest

#: A; more than this flows from no source of a household appliance: the fuse is gone.
SHORTED = common_practice(200.0)
#: V and A; less than this is read where nothing flows.
NOTHING: Mapping[str, float] = {"voltage": 1.0, "current": 0.01}


def wiring(subject: Subject) -> Iterator[Remark]:
    """Everything that this module looks for."""
    for circuit in subject.family.circuits:
        yield from _Circuit(subject, circuit).review()


class _Circuit:
    """One circuit under review."""

    def __init__(self, subject: Subject, circuit: Circuit) -> None:
        self.subject, self.family, self.circuit = subject, subject.family, circuit
        self.builds = [build for build in subject.builds if holds(circuit.when, build.options)]
        self.tests = [(test, model) for test in self.family.tests for model in test.models
                      if isinstance(model, Between | Through | Shows) and model.circuit == circuit.id]  # fmt: skip
        self.commands = commands_of(self.family, circuit)

    def review(self) -> Iterator[Remark]:
        """Everything that is looked for in a circuit."""
        name = f"circuit {self.circuit.id}"
        if not self.tests and all(r.circuit != self.circuit.id for _, r in requirements(self.family)):
            yield remark("circuit_unused", name, "no test and no requirement reads it")
            return
        yield from self._floating()
        yield from self._spans()
        yield from self._shorted()
        yield from self._switches()
        yield from self._at_off()
        yield from self._changes()

    def present(self, build: BuildView) -> list[Part | Switch | Source]:
        """The parts of the circuit in a build."""
        return [part for part in self.circuit.parts if holds(part.when, build.options)]

    def _bridges(self, build: BuildView) -> list[Edge]:
        """What faults of a build may join."""
        changes = [c for fault in build.faults for c in self.circuit.changes.get(fault, ())]
        return [(change.a, change.b) for change in changes if isinstance(change, Leak)]

    def _closable(self, build: BuildView, command: str) -> list[Part | Switch | Source]:
        """What may conduct under a command, contacts that some fault closes among it."""
        changes = [c for fault in build.faults for c in self.circuit.changes.get(fault, ())]
        stuck = {c.switch for c in changes if isinstance(c, Stuck) and c.position == "closed"}
        stuck |= {c.part for c in changes if isinstance(c, Short)}
        return [part for part in self.present(build) if not isinstance(part, Switch) or part.id in stuck
                or command in part.closed_in or part.rests_closed]  # fmt: skip

    def _floating(self) -> Iterator[Remark]:
        """A part is in a loop when one passes through it under some command, meters that are put across included."""
        looped: set[str] = set()
        seen: dict[str, Part | Switch | Source] = {}
        for build in self.builds:
            spans = [(m.plus, m.minus) for t, m in self.tests if isinstance(m, Between) and holds(t.when, build.options)
                     and holds(m.when, build.options)]  # fmt: skip
            more = [*self._bridges(build), *spans]
            seen |= {part.id: part for part in self.present(build)}
            for command in self.commands:
                parts = self._closable(build, command)
                edges = [(part.a, part.b) for part in parts] + more
                looped |= {part.id for part, loop in zip(parts, in_loops(edges), strict=False) if loop}
        dead = {part.id for part in seen.values() if isinstance(part, Switch) and self._never_closes(part)}
        swapped = {name for of in self.circuit.changes.values() for change in of if isinstance(change, Swap)
                   for name in (change.first, change.second)}  # fmt: skip
        for name, part in seen.items():
            # What leads to the reference node says where 0 V is, and what faults cross has another end then.
            if name not in looped | dead | swapped and self.circuit.reference not in (part.a, part.b):
                told = f"no loop leads through it ({part.a} to {part.b}) under any command, and no test reads across it"
                yield remark("part_in_no_loop", part_name(self.circuit, part), told, self._slip(part))

    def _slip(self, part: Part | Switch | Source) -> str:
        """A hint where an end of a part is a node that nothing else has, and that is nearly the name of another."""
        ends = Counter(node for other in self.circuit.parts for node in (other.a, other.b))
        for node in (part.a, part.b):
            near = nearest(node, [other for other in ends if other != node])
            if ends[node] == 1 and near is not None:
                return f"Nothing else ends at {node}: is it {near}?"
        return ""

    def _spans(self) -> Iterator[Remark]:
        for test, model in self.tests:
            if not isinstance(model, Between):
                continue
            builds = [b for b in self.builds if holds(test.when, b.options) and holds(model.when, b.options)]
            if builds and not any(self._joined(build, model) for build in builds):
                told = f"nothing joins {model.plus} and {model.minus} of circuit {self.circuit.id}"
                yield remark("nodes_not_connected", f"test {test.id}", told)

    def _joined(self, build: BuildView, model: Between) -> bool:
        """Whether anything joins two nodes, whatever the command, the fault, and what is taken apart elsewhere."""
        return joined([*((p.a, p.b) for p in self.present(build)), *self._bridges(build)], model.plus, model.minus)

    def _shorted(self) -> Iterator[Remark]:
        found: dict[str, tuple[str, float]] = {}
        for build in self.builds:
            sources = [part for part in self.present(build) if isinstance(part, Source)]
            for command in self.commands if sources else ():
                try:
                    amperes = self._amperes(build, sources, command)
                except Exception as error:  # noqa: BLE001  laws are foreign code, and a circuit may have no solution
                    told = f"it cannot be solved with the control at {command}: {said(error)}"
                    yield remark("cannot_be_compiled", f"circuit {self.circuit.id}", told)
                    return
                for source, flows in zip(sources, amperes, strict=True):
                    if flows > SHORTED:
                        found.setdefault(part_name(self.circuit, source), (command, flows))
        for name, (command, flows) in found.items():
            told = f"with the control at {command} and nothing wrong it gives {flows:.3g} A"
            yield remark("source_shorted", name, told)

    def _amperes(self, build: BuildView, sources: Sequence[Source], command: str) -> list[float]:
        """What each source gives in a sound appliance."""
        setting = Setting(command, powered=True, hertz=float(self.circuit.frequency))
        wanted = [Measurement("current", setting, part=source.id) for source in sources]
        solved = dictionaries(self.circuit, build.options, (), wanted)
        return [float(np.median(known.value[0])) if known.value is not None else 0.0 for known in solved]

    def _never_closes(self, switch: Switch) -> bool:
        """Whether neither a command nor a fault closes a contact."""
        others = [p for p in self.circuit.parts if p.id == switch.id and isinstance(p, Switch)]
        changes = [change for of in self.circuit.changes.values() for change in of]
        stuck = any(isinstance(c, Stuck) and c.switch == switch.id and c.position == "closed" for c in changes)
        stuck = stuck or any(isinstance(c, Short) and c.part == switch.id for c in changes)
        return not stuck and not any(p.closed_in or (p.driven and p.rests_closed) for p in others)

    def _switches(self) -> Iterator[Remark]:
        for part in {p.id: p for p in self.circuit.parts if isinstance(p, Switch)}.values():
            if self._never_closes(part):
                yield remark("switch_never_closes", part_name(self.circuit, part), "no command and no fault closes it")
        known = {command for part in self.circuit.parts if isinstance(part, Switch) for command in part.closed_in}
        for test, _ in self.tests if known else ():
            if test.command != "off" and test.command not in known:
                told = f"no switch of circuit {self.circuit.id} knows its command {test.command!r}"
                yield remark("command_no_switch_knows", f"test {test.id}", told)

    def _at_off(self) -> Iterator[Remark]:
        """Live tests whose command may have been left out: it is off, and another would show something."""
        for test, model in self.tests:
            having = [build for build in self.builds if test.id in build.compiled.tests]
            if test.kind not in NOTHING or test.command != "off" or test.measures is not None or not having:
                continue
            others = [command for command in self.commands if command != "off"]
            if not any(self._shows(build, test, model, ["off"]) for build in having) and any(
                self._shows(build, test, model, others) for build in having
            ):
                told = "a sound appliance shows nothing with the control at off"
                yield remark("nothing_at_off", f"test {test.id}", told)

    def _shows(self, build: BuildView, test: Test, model: Between | Through | Shows, commands: Sequence[str]) -> bool:
        """Whether a sound appliance shows something in a live test under one of some commands."""
        wanted = [self.subject.store.measurement(replace(test, command=command), model) for command in commands]
        solved = dictionaries(self.circuit, build.options, (), wanted)
        shown = [known.value if known.voltage is None else known.voltage for known in solved]
        return any(array is not None and np.median(np.abs(array[0])) > NOTHING[test.kind] for array in shown)

    def _changes(self) -> Iterator[Remark]:
        for fault, changes in self.circuit.changes.items():
            builds = [build for build in self.builds if fault in build.faults]
            name = f"circuit {self.circuit.id}: changes[{fault}]"
            idle = [change for change in changes if builds and not any(self._acts(change, build) for build in builds)]
            if idle:
                kind, part = type(idle[0]).__name__.lower(), _named(idle[0])
                told = f"{kind} of {part}: no build with the fault has it, or it never conducts there"
                yield remark("change_of_nothing", name, told)
            elif builds and not any(self._read(fault, build) for build in builds):
                yield remark("change_nobody_reads", name, "it changes nothing that a test or a function reads here")

    def _acts(self, change: object, build: BuildView) -> bool:
        """Whether a change can change anything in a build."""
        name = _named(change)
        present = {part.id: part for part in self.present(build)}
        if not name:
            return True
        if name not in present:
            return False
        part = present[name]
        closes = not isinstance(part, Switch) or not self._never_closes(part)
        return closes or not isinstance(change, Open | Contact | Drift)

    def _read(self, fault: str, build: BuildView) -> bool:
        """Whether anything that is read in the circuit is another under a fault."""
        for measurement in self.subject.read_in(self.circuit.id, build):
            dictionary = self.subject.store.dictionary(self.circuit.id, build.options, measurement)
            if fault in dictionary.faults and dictionary.classes[0, dictionary.faults.index(fault) + 1] != 0:
                return True
        return False


def commands_of(family: Family, circuit: Circuit) -> Sequence[str]:
    """The commands under which a circuit may stand: ``off``, and what tests, requirements and switches name."""
    named = [test.command for test in family.tests] + [r.command for _, r in requirements(family)]
    known = {command for part in circuit.parts if isinstance(part, Switch) for command in part.closed_in}
    return list(dict.fromkeys(["off", *(command for command in named if command in known), *sorted(known)]))


def _named(change: object) -> str:
    """The part that a change is about; empty where it is about nodes or about two parts."""
    for field in ("part", "switch", "source"):
        if hasattr(change, field):
            return str(getattr(change, field))
    return ""
