"""New packs, written once for all tests that only read them."""

from __future__ import annotations

import pytest

from probewright.kit import NewPack, write

KINDS = {"with_circuit": NewPack("towel_warmer", "Towel warmer"),
         "without_circuit": NewPack("plate_warmer", "Plate warmer", circuit=False)}  # fmt: skip


@pytest.fixture(scope="session", params=KINDS)
def generated(request, tmp_path_factory):
    """A new pack of each kind, and its folder."""
    pack = KINDS[request.param]
    folder = tmp_path_factory.mktemp(request.param) / pack.distribution
    write(pack, folder)
    return pack, folder
