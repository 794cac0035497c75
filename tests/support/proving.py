"""What shows that a repair gave back what its fault had taken."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping

from probewright.packs.model import Family


def checks(family: Family, repair_id: str) -> set[str]:
    """The closing checks of a repair."""
    (repair,) = (r for r in family.repairs if r.id == repair_id)
    return set(repair.closing_checks)


def defeated(family: Family, fault: str) -> set[str]:
    """Functions that a fault can defeat, by itself or through a circuit."""
    circuits = {c.id for c in family.circuits if fault in c.changes}
    return {
        f.id for f in family.functions
        if fault in f.fails_with or any(r.circuit in circuits for r in f.requires)
    }  # fmt: skip


def unproven(family: Family, shown_by: Mapping[str, Collection[str]], but: Collection[str] = ()) -> Iterator[str]:
    """Faults that a repair is meant for, of whose functions none is shown by a closing check of the repair.

    ``shown_by`` maps each function to the checks that show it; ``but`` names repairs that nothing shows.
    """
    for repair in (r for r in family.repairs if r.id not in but):
        for fault in (f for f, chance in repair.cures.items() if chance >= 0.5):
            functions = defeated(family, fault)
            if functions and not any(set(shown_by[f]) & set(repair.closing_checks) for f in functions):
                yield f"{repair.id} does not show that {fault} is cured"
