"""Short ways to write tests that are looked at, and their tables."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from probewright.packs import Outcomes, Requirement, Table, Test, When, from_memory
from probewright_packs.common.numbers import remembered

Without = tuple[tuple[Requirement, str], ...]


def row(outcomes: Sequence[str], *chances: float) -> Outcomes:
    """Chances in the order of the outcomes; the first takes what the others leave."""
    return remembered(dict(zip(outcomes, (1 - sum(chances), *chances), strict=True)))


def table(
    outcomes: Sequence[str], healthy: Sequence[float], rows: Mapping[str, Sequence[float]], without: Without = ()
) -> Table:
    """Rows of the chances of all outcomes but the first, which takes the rest."""
    return Table(row(outcomes, *healthy), {fault: row(outcomes, *chances) for fault, chances in rows.items()}, without)


def seen(
    id_: str, title: str, outcomes: tuple[str, ...], healthy: Sequence[float], rows: Mapping[str, Sequence[float]], *,
    state: str | tuple[str, ...], zone: str, minutes: float, steps: tuple[str, ...], cautions: tuple[str, ...] = (),
    command: str = "off", without: Without = (), when: When | None = None, closing: bool = False,
) -> Test:  # fmt: skip
    """Something that is looked at, in one state or in any of several, the recommended one first."""
    states = (state,) if isinstance(state, str) else state
    return Test(
        id_, title, "seen", states, zone, from_memory(minutes), (table(outcomes, healthy, rows, without),),
        command=command, outcomes=outcomes, steps=steps, cautions=cautions, closing=closing, when=when or {},
    )  # fmt: skip


def alike(faults: Sequence[str], *chances: float) -> dict[str, tuple[float, ...]]:
    """The same row for several faults."""
    return dict.fromkeys(faults, chances)
