"""What goes along on a visit: the parts that its plan carries."""

from __future__ import annotations

from probewright.engine.visit import parts_to_carry
from probewright.packs.registry import LoadedPack
from probewright.settings import Settings
from probewright.simulation.run import Carry
from probewright_schemas.records import Case
from probewright_schemas.visit_records import VisitRequest


def planned(pack: LoadedPack, settings: Settings) -> Carry:
    """Load the van by the visit's plan, from what is known of a case before anybody drives."""

    def carry(case: Case) -> tuple[str, ...]:
        request = VisitRequest(
            case.family, case.reference, case.options, case.complaints, case.working, case.conditions,
            costs=case.costs,
        )  # fmt: skip
        return parts_to_carry(request, pack, settings)

    return carry
