"""The sentences that a family tells technicians, and what is wrong with how they are written."""

from __future__ import annotations

from collections.abc import Iterator

from probewright.packs.model import Family


def sentences(family: Family) -> Iterator[tuple[str, str]]:
    """Every step, caution and closing check, with the id of its record."""
    records = (*family.tests, *family.repairs, *family.states, *family.zones, *family.interlocks)
    yield from ((record.id, text) for record in records for text in (*record.steps, *record.cautions))
    yield from ((closing.id, closing.text) for closing in family.closings)
    yield from ((complaint.id, caution) for complaint in family.complaints for caution in complaint.cautions)
    yield from (("family", text) for text in (*family.cautions, family.notice))


def badly_written(family: Family) -> list[str]:
    """Sentences that are blank, do not begin with a capital or end with a full stop, or hold two blanks."""
    return [
        f"{name}: {text!r}" for name, text in sentences(family)
        if text != text.strip() or not text.endswith(".") or "  " in text or not text[:1].isupper()
    ]  # fmt: skip


def steps_without(family: Family, condition: str) -> Iterator[tuple[str, str]]:
    """Each step of work that may be done in a state without power (``powered``) or gas (``gas_on``), with its record.

    Covers come off in the state without either.
    """
    without = {state.id for state in family.states if not getattr(state, condition)}
    for record in (*family.tests, *family.repairs):
        states = record.states if hasattr(record, "states") else (record.state,)
        if without & set(states):
            yield from ((record.id, step) for step in record.steps)
    yield from ((zone.id, step) for zone in family.zones for step in zone.steps)
