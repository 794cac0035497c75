"""The lamp, and what builds packs around it."""

from __future__ import annotations

import pytest

from probewright.packs import Family
from support.lamp import lamp_family, lamp_pack


@pytest.fixture
def family() -> Family:
    return lamp_family()


@pytest.fixture
def make_family():
    return lamp_family


@pytest.fixture
def make_pack():
    return lamp_pack
