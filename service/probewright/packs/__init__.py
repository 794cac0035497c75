"""What a pack author imports: the records of a family, the hook markers, and what hooks are given.

The loader and the registry are in :mod:`probewright.packs.loader` and :mod:`probewright.packs.registry`; figures are
in :mod:`probewright.figures`, circuits in :mod:`probewright.circuit.parts` and their laws in
:mod:`probewright.circuit.laws`.

May import: ``circuit``, ``physics``, ``quantities``, ``figures``, ``errors`` and the schemas' records.
"""

from probewright.packs.context import ReadingContext, ScoringContext
from probewright.packs.hookspecs import CONTRACT_VERSION, hookimpl
from probewright.packs.model import (
    Answer,
    Between,
    Closing,
    Complaint,
    DefaultCosts,
    Family,
    Fault,
    Function,
    Interlock,
    Limit,
    Option,
    OptionValue,
    Question,
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

__all__ = [
    "CONTRACT_VERSION", "Answer", "Between", "Closing", "Complaint", "DefaultCosts", "Family", "Fault", "Function",
    "Interlock", "Limit", "Option", "OptionValue", "Question", "ReadingContext", "Repair", "ReplaceablePart",
    "Requirement", "ScoringContext", "Shows", "State", "Stated", "Supply", "Table", "Test", "Through", "Zone",
    "hookimpl",
]  # fmt: skip
