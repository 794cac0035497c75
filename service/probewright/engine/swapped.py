"""Whether a part that was replaced was bad, by what was known when it was."""

from __future__ import annotations

from dataclasses import replace

from probewright.engine.machine import machine_of
from probewright.inference.evaluate import evaluate
from probewright.inference.prepared import repairs_before
from probewright.packs.registry import LoadedPack
from probewright.settings import Settings
from probewright_schemas.records import Case


def chance_bad_before(case: Case, place: int, pack: LoadedPack, settings: Settings) -> float | None:
    """Probability that the part of a repair was bad when it was replaced, by the evidence until then alone.

    What was found afterwards is left out: that the complaint went proves that something was put right, and what is
    asked is whether the readings bore it out.

    Parameters
    ----------
    case : Case
    place : int
        Of the repair in ``case.repairs_done``.

    Returns
    -------
    float or None
        None where the repair replaces no part.

    Raises
    ------
    InvalidCase, PackModelError
        As :func:`probewright.engine.diagnose`.
    """
    name = case.repairs_done[place].repair
    part = next((repair.part for repair in pack.family.repairs if repair.id == name), None)
    if part is None:
        return None
    taken = [reading for reading in case.readings if repairs_before(case, reading) <= place]
    until = replace(case, repairs_done=case.repairs_done[:place], readings=tuple(taken))
    machine = machine_of(pack)
    found = evaluate(until, machine.store, machine.rules(settings))
    own = {fault.id for fault in pack.family.faults if fault.part == part}
    # Faults of one part exclude each other, so their chances add up.
    bad = sum(chance for fault, chance in zip(found.faults, found.present.tolist(), strict=True) if fault in own)
    return min(1.0, bad)
