"""The electric range keeps the contract that anybody's pack must keep."""

from __future__ import annotations

from probewright.testing import PackConformance
from probewright_packs import electric_range


class TestContract(PackConformance):
    pack = electric_range
