"""Supply voltages as standards limit them."""

from __future__ import annotations

from dataclasses import dataclass

from probewright.figures import Figure, from_memory, published


@dataclass(frozen=True, slots=True)
class SupplyRange:
    """Limits in V (effective) of a supply of ``nominal`` volts; each figure names its source."""

    id: str
    nominal: Figure
    low: Figure
    high: Figure


_C84 = "ANSI C84.1-2020, Table 1, Range A service voltage"
_IEC_60038 = "IEC 60038, Table 1: 230 V plus or minus 10 %"

#: At the service entrance, as utilities are held to; also law in places (COMAR 20.50.07.02), and in others not quite.
C84_SERVICE_A_120 = SupplyRange(
    "c84_service_a_120", published(120.0, _C84), published(114.0, _C84), published(126.0, _C84)
)
C84_SERVICE_A_240 = SupplyRange(
    "c84_service_a_240", published(240.0, _C84), published(228.0, _C84), published(252.0, _C84)
)
#: ANSI C84.1, Table 1: at the service entrance, tolerable for a limited time only.
C84_SERVICE_B_120 = SupplyRange("c84_service_b_120", published(120.0, _C84), from_memory(110.0), from_memory(127.0))
C84_SERVICE_B_240 = SupplyRange("c84_service_b_240", published(240.0, _C84), from_memory(220.0), from_memory(254.0))
#: ANSI C84.1, Table 1, Range A utilization voltage of editions since 2006: at the appliance, behind the house wiring.
C84_UTILIZATION_A_120 = SupplyRange(
    "c84_utilization_a_120", published(120.0, _C84), from_memory(108.0), from_memory(126.0)
)
C84_UTILIZATION_A_240 = SupplyRange(
    "c84_utilization_a_240", published(240.0, _C84), from_memory(216.0), from_memory(252.0)
)
#: At the supply terminals in most of the world.
IEC_60038_230 = SupplyRange(
    "iec_60038_230", published(230.0, _IEC_60038), published(207.0, _IEC_60038), published(253.0, _IEC_60038)
)
