"""The clothes dryer keeps the contract that anybody's pack must keep."""

from __future__ import annotations

from probewright.testing import PackConformance
from probewright_packs import clothes_dryer


class TestContract(PackConformance):
    pack = clothes_dryer
