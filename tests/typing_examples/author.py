"""An author's view of the pack contract, for the type checker: what it must accept, and what it must refuse.

Each refusal is marked; a mark that is not needed is an error too.  ``make check`` runs the checker over this file, and
the tests import it, so that what it accepts also works.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import assert_type

import numpy as np
from numpy.typing import NDArray

from probewright.packs import (
    Between,
    Circuit,
    Closing,
    Complaint,
    DefaultCosts,
    Family,
    Fault,
    Figure,
    Finding,
    Function,
    Interlock,
    Law,
    Open,
    Operating,
    Part,
    ReadingContext,
    Repair,
    ReplaceablePart,
    Requirement,
    Resistance,
    ScoringBatch,
    ScoringContext,
    Source,
    Spread,
    State,
    Stated,
    Supply,
    Switch,
    Table,
    Test,
    Zone,
    exactly,
    hookimpl,
    invented,
    uniform,
)

CONTRACT = "1.1"


class Carbon:
    """A law of the author's own: resistance that halves for every hundred kelvin."""

    heats_above: float | None = None
    feels_temperature = True

    def __init__(self, at_zero: Spread) -> None:
        self.spreads: Sequence[Spread] = (at_zero,)

    def impedance(self, parameters: NDArray[np.float64], at: Operating) -> NDArray[np.float64]:
        return parameters[0] * 0.5 ** (at.temperature / 100.0)


own_law: Law = Carbon(exactly(invented(100.0)))
assert_type(uniform(invented(1.0), invented(2.0)).median, float)
assert_type(invented(1.0), Figure)

live = State("live", "Plugged in", True, False, invented(1.0), ("Plug it in.",), ("Mains voltage.",), 1)
isolated = State("isolated", "Unplugged", False, False, invented(1.0), ("Unplug it.",), (), 0)
outside = Zone("outside", "Outside", invented(0.0))
wiring = Circuit(
    "lamp",
    "neutral",
    (
        Source("mains", "line", "neutral", invented(120.0)),
        Switch("knob", "line", "hot", ("on",), exactly(invented(0.02))),
        Part("filament", "hot", "neutral", Resistance(uniform(invented(140.0), invented(150.0)))),
    ),
    {"filament_open": (Open("filament"),)},
    invented(60.0),
)
lit = Requirement("lamp", "filament", "current", "on", "live", uniform(invented(0.4), invented(0.5)))
glow = Table({"bright": invented(0.99), "none": invented(0.01)}, without=((lit, "none"),))
FAMILY = Family(
    id="lamp",
    title="Lamp",
    version="1.0.0",
    supply=Supply(invented(120.0), uniform(invented(114.0), invented(126.0))),
    ambient=uniform(invented(15.0), invented(30.0)),
    options=(),
    states=(isolated, live),
    zones=(outside,),
    circuits=(wiring,),
    functions=(Function("lights", "It lights", (lit,)),),
    complaints=(Complaint("dark", "It stays dark", invented(0.01), "lights", invented(0.9)),),
    tests=(
        Test("ohms", "Resistance", "resistance", ("isolated",), "outside", invented(2.0),
             (Between("lamp", "hot", "neutral"),), unit="ohm"),
        Test("glow", "Glow", "seen", ("live",), "outside", invented(1.0), (glow,), command="on",
             outcomes=("bright", "none"), cautions=("Hot.",)),
        Test("glass", "Temperature of the glass", "temperature", ("live",), "outside", invented(1.0),
             (Stated(uniform(invented(80.0), invented(120.0))),), unit="degC", command="on", cautions=("Hot.",)),
    ),
    faults=(Fault("filament_open", "Filament open", invented(0.05), "bulb"),),
    parts=(ReplaceablePart("bulb", "Bulb", invented(4.0)),),
    repairs=(
        Repair("replace_bulb", "Replace the bulb", {"filament_open": invented(1.0)}, invented(2.0), "isolated",
               ("outside",), "bulb", closing_checks=("it_lights",)),
    ),
    interlocks=(
        Interlock("burning", "Something burns", "stop", "Fire.", seen={"glow": ("none",)}, steps=("Unplug it.",)),
    ),
    closings=(Closing("it_lights", "It lights.", "glow"),),
    costs=DefaultCosts(invented(60.0), invented(50.0), invented(3.0), invented(40.0)),
    unknown_rate=invented(0.01),
    cautions=("Glass breaks.",),
    notice="Invented.",
    demo=True,
)  # fmt: skip


@hookimpl
def probewright_family() -> Family:
    """The family."""
    return FAMILY


@hookimpl
def probewright_validate(context: ReadingContext) -> Sequence[Finding]:
    """Notes every reading that has a value."""
    assert_type(context.checked.value, float | None)
    value = context.checked.value
    return [] if value is None else [Finding("seen", "note", f"It reads {value:g}.", "")]


@hookimpl
def probewright_score(context: ScoringContext) -> NDArray[np.float64] | None:
    """Keeps what the model says."""
    assert_type(context.hypotheses[0], tuple[str, ...])
    return context.declared


def score_many(batch: ScoringBatch) -> NDArray[np.float64]:
    """The same for many."""
    assert_type(batch.row(0), ScoringContext)
    return batch.declared


def refused() -> None:
    """What the checker must not let pass; never called."""
    Fault("a", "A", 0.05)  # type: ignore[arg-type]  # a number without a basis
    exactly(1.0)  # type: ignore[arg-type]  # likewise
    Fault("a", "A", rate=invented(0.05), chance=invented(0.1))  # type: ignore[call-arg]  # no such field
    Finding("code", "grave", "Text.")  # type: ignore[arg-type]  # no such severity
    Interlock("a", "A", "wait", "Why.")  # type: ignore[arg-type]  # no such kind
    Part("a", "b", "c", 5.0)  # type: ignore[arg-type]  # no law
    live.risk = 0  # type: ignore[misc]  # records are frozen
