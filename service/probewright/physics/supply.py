"""Supply voltages as standards limit them."""

from __future__ import annotations

from dataclasses import dataclass

from probewright.figures import Figure, published


@dataclass(frozen=True, slots=True)
class SupplyRange:
    """Limits in V (effective) of a supply of ``nominal`` volts; each figure says where it comes from.

    >>> float(C84_SERVICE_A_120.low), float(C84_SERVICE_A_120.high)
    (114.0, 126.0)
    """

    id: str
    nominal: Figure
    low: Figure
    high: Figure


_SERVICE = "ANSI C84.1-2020, Table 1, Range A service voltage; the same as law in COMAR 20.50.07.02 (Maryland)"
_UTILIZATION = (
    "from memory of ANSI C84.1, Table 1, Range A utilization voltage, 0.90 to 1.05 of nominal in editions from 2006 "
    "(to 1995 the lower limit was 110 V): not read in the standard itself"
)
_NOMINAL = published(120.0, _SERVICE)

_NOMINAL_240 = published(240.0, f"{_SERVICE}: a 120/240 V three-wire supply, from leg to leg")

#: At the service entrance, as utilities are held to.  Some states say otherwise (83 Ill. Adm. Code 410.300: 113 to
#: 127 V), so a shop may well set its own.
C84_SERVICE_A_120 = SupplyRange("c84_service_a_120", _NOMINAL, published(114.0, _SERVICE), published(126.0, _SERVICE))

#: At the appliance, behind the house wiring.
C84_UTILIZATION_A_120 = SupplyRange(
    "c84_utilization_a_120", _NOMINAL,
    Figure(108.0, "from_memory", _UTILIZATION), Figure(126.0, "from_memory", _UTILIZATION),
)  # fmt: skip

#: The same between the two legs of a 120/240 V supply.
C84_SERVICE_A_240 = SupplyRange(
    "c84_service_a_240", _NOMINAL_240, published(228.0, _SERVICE), published(252.0, _SERVICE)
)
C84_UTILIZATION_A_240 = SupplyRange(
    "c84_utilization_a_240", _NOMINAL_240,
    Figure(216.0, "from_memory", _UTILIZATION), Figure(252.0, "from_memory", _UTILIZATION),
)  # fmt: skip
