"""Circuit records written as netlists, fault by fault, and run by ngspice.

Only the records are read here: neither the engine's matrices nor its way of carrying out faults.
"""

from __future__ import annotations

import math
import re
import shutil
import subprocess
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from probewright.circuit.laws import Capacitance, Copper, Platinum, Resistance, SelfHeating, Thermistor, Winding
from probewright.circuit.parts import (
    Circuit,
    Contact,
    Drift,
    Leak,
    Level,
    Open,
    Part,
    Short,
    Source,
    Stuck,
    Swap,
    Switch,
    holds,
)  # fmt: skip

NGSPICE = shutil.which("ngspice")
BLEED = 1e11  # ohm from every node to the reference, as the engine documents
METER = 1e7  # ohm, a usual voltmeter


@dataclass
class Element:
    """One two-terminal element: its values in ohm, henry and farad, None where it has none."""

    a: str
    b: str
    ohms: float | None = None
    henries: float | None = None
    farads: float | None = None
    closed: bool = True
    heating: float | None = None
    cold: float | None = None
    bridges: list[float] = field(default_factory=list)  # ohm of what lies beside it

    def amperes(self, volts: float, hertz: float, *, cold: bool) -> float:
        """Through it and what bridges it, with so many volts across."""
        through = sum(1 / ohms for ohms in self.bridges) + 0j
        if self.closed and self.ohms is not None:
            ohms = self.cold if cold and self.cold is not None else self.ohms
            through += 1 / complex(ohms, 2 * math.pi * hertz * (self.henries or 0.0))
        return abs(volts * through)


@dataclass
class Deck:
    """A network under one fault, ready to be written."""

    elements: dict[str, Element] = field(default_factory=dict)
    sources: dict[str, tuple[str, str, float, float, float]] = field(default_factory=dict)  # a, b, volts, phase, series


def middle(spread) -> float:
    return spread.median


def element_of(part: Part | Switch, command: str, powered: bool, temperature: float) -> Element:
    if isinstance(part, Switch):
        closed = part.rests_closed if part.driven and not powered else command in part.closed_in
        return Element(part.a, part.b, ohms=middle(part.contact), closed=closed)
    return element_of_law(part, part.law, powered, temperature)


def element_of_law(part: Part, law, powered: bool, temperature: float) -> Element:
    if isinstance(law, Resistance):
        return Element(part.a, part.b, ohms=middle(law.ohms))
    if isinstance(law, Winding):
        return Element(part.a, part.b, ohms=middle(law.ohms), henries=middle(law.henries))
    if isinstance(law, Capacitance):
        return Element(part.a, part.b, farads=middle(law.farads))
    if isinstance(law, SelfHeating):
        hot = middle(law.hot) if powered else middle(law.cold)
        return Element(part.a, part.b, ohms=hot, heating=law.heats_above, cold=middle(law.cold))
    ohms, henries = ohms_at(law, temperature)
    return Element(part.a, part.b, ohms=ohms, henries=henries)


def ohms_at(law, celsius: float) -> tuple[float, float | None]:
    """Ohms, and henries, of what feels the temperature."""
    if isinstance(law, Copper):
        # The straight line of copper ends at -234.5 degC, by the wire tables of NBS Handbook 100.
        return middle(law.at_20) * (234.5 + celsius) / (234.5 + 20.0), middle(law.henries)
    if isinstance(law, Platinum):
        t, r0, curve = celsius + middle(law.error), middle(law.nominal), law.curve
        return r0 * (1 + curve.a * t + curve.b * t * t), None
    if isinstance(law, Thermistor):
        kelvin = celsius + 273.15
        return middle(law.at_25) * math.exp(middle(law.beta) * (1 / kelvin - 1 / 298.15)), None
    raise TypeError(f"no netlist for {law!r}")


def build(circuit: Circuit, configuration, faults, command, powered, apart=(), temperature=25.0) -> Deck:
    """The deck of a circuit with some faults, everything at the middle of its spread."""
    deck = Deck()
    for part in circuit.parts:
        if not holds(part.when, configuration):
            continue
        if isinstance(part, Source):
            if powered:
                deck.sources[part.id] = (part.a, part.b, float(part.volts), part.phase, 0.0)
        else:
            deck.elements[part.id] = element_of(part, command, powered, temperature)
    for fault in faults:
        for change in circuit.changes.get(fault, ()):
            apply(deck, change, fault)
    for part in apart:  # with what bridges it
        for name in [name for name in deck.elements if name == part or name.startswith("bridge ")]:
            if name.rpartition(" ")[2] == part:
                del deck.elements[name]
    return deck


def apply(deck: Deck, change, fault: str) -> None:
    name = getattr(change, "part", getattr(change, "switch", getattr(change, "source", None)))
    element = deck.elements.get(name)
    if isinstance(change, Leak):
        deck.elements[f"leak_{fault}_{change.a}_{change.b}"] = Element(change.a, change.b, ohms=middle(change.ohms))
    elif isinstance(change, Swap):
        first, second = deck.elements.get(change.first), deck.elements.get(change.second)
        if first is not None and second is not None:
            first.b, second.b = second.b, first.b
    elif isinstance(change, Level):
        if name in deck.sources:
            a, b, volts, phase, series = deck.sources[name]
            deck.sources[name] = (a, b, volts * middle(change.factor), phase + float(change.turned or 0.0), series)
    elif isinstance(change, Open):
        deck.elements.pop(name, None)
        deck.sources.pop(name, None)
    elif element is None:
        return
    elif isinstance(change, Stuck):
        element.closed = change.position == "closed"
    elif isinstance(change, Short):
        element.bridges.append(middle(change.ohms))
        deck.elements[f"bridge {fault} {name}"] = Element(element.a, element.b, ohms=middle(change.ohms))
    elif isinstance(change, Drift):
        factor = middle(change.factor)
        element.ohms = None if element.ohms is None else element.ohms * factor
        element.cold = None if element.cold is None else element.cold * factor
        element.henries = None if element.henries is None else element.henries * factor
        element.farads = None if element.farads is None else element.farads / factor
    elif isinstance(change, Contact):
        inner = f"{name}_contact"
        deck.elements[f"contact_{fault}_{name}"] = Element(inner, element.b, ohms=middle(change.ohms))
        element.b = inner
    else:
        raise TypeError(f"no netlist for {change!r}")


class Bench:
    """Many decks side by side in one ngspice run, each with its own node names and its meters."""

    def __init__(self, reference: str) -> None:
        self.reference = reference
        self.lines: list[str] = []
        self.count = 0

    def add(self, deck: Deck, cold: Sequence[str], meter: tuple[str, str, float] | None, inject: tuple[str, str] | None,
            hertz: float) -> str:  # fmt: skip
        """Write a deck; ``meter`` is a resistor between two nodes, ``inject`` a pair that gets one microampere."""
        tag = f"d{self.count}"
        self.count += 1
        nodes: set[str] = set()

        def node(name: str) -> str:
            if name == self.reference:
                return "0"
            nodes.add(name)
            return f"{tag}_{name}"

        for name, e in deck.elements.items():
            if not e.closed or (e.farads is not None and hertz == 0):
                continue
            a, b, ident = node(e.a), node(e.b), f"{tag}_{name}".replace(" ", "_")
            if e.farads is not None:
                self.lines.append(f"C{ident} {a} {b} {e.farads:.12e}")
            else:
                ohms = e.cold if name in cold and e.cold is not None else e.ohms
                far = f"{ident}_l" if e.henries and hertz else b
                self.lines.append(f"R{ident} {a} {far} {ohms:.12e}")
                if e.henries and hertz:
                    self.lines.append(f"L{ident} {far} {b} {e.henries:.12e}")
        for name, (a, b, volts, phase, _series) in deck.sources.items():
            self.lines.append(f"V{tag}_{name} {node(a)} {node(b)} dc 0 ac {volts:.12e} {phase}")
        if meter is not None:
            self.lines.append(f"Rmeter_{tag} {node(meter[0])} {node(meter[1])} {meter[2]:.6e}")
        if inject is not None:
            self.lines.append(f"Iprobe_{tag} {node(inject[1])} {node(inject[0])} dc 1e-6 ac 1e-6")
        self.lines += [f"Rbleed_{tag}_{n} {tag}_{n} 0 {BLEED:.3e}" for n in sorted(nodes)]
        return tag

    def full(self, tag: str, ends: tuple[str, str]) -> tuple[str, str]:
        """The names that two nodes of a deck have among all."""
        first, second = ("0" if node == self.reference else f"{tag}_{node}".lower() for node in ends)
        return first, second

    def run(self, hertz: float, wanted: Mapping[str, tuple[str, str]]) -> dict[str, float]:
        """Solve; ``wanted`` maps a key to two full node names, the answer is the size of the voltage between them."""
        prints = []
        for key, (a, b) in wanted.items():
            plus = "0" if a == "0" else f"v({a})"
            minus = "0" if b == "0" else f"v({b})"
            prints += [f"let x_{key} = mag({plus}-({minus}))", f"print x_{key}"]
        analysis = "op" if hertz == 0 else f"ac lin 1 {hertz} {hertz}"
        deck = ["* bench", *self.lines, ".options reltol=1e-9 abstol=1e-18 vntol=1e-15 gmin=1e-18", ".control",
                "set numdgt=12", analysis, *prints, "quit", ".endc", ".end"]  # fmt: skip
        assert NGSPICE is not None
        text = "\n".join(deck) + "\n"
        out = subprocess.run([NGSPICE, "-b"], input=text, capture_output=True, text=True, timeout=300, check=False)
        found = {}
        for line in out.stdout.splitlines():
            match = re.match(r"x_(\w+)\s*=\s*([-+0-9.eE]+)", line.strip())
            if match:
                found[match[1]] = abs(float(match[2]))
        missing = set(wanted) - set(found)
        assert not missing, f"ngspice gave nothing for {sorted(missing)[:3]}: {out.stdout[-800:]} {out.stderr[-800:]}"
        return found
