"""The lamp, and what builds packs around it."""

from __future__ import annotations

import pytest

from probewright.packs import Family
from probewright.packs.shopfile import ShopFileError, read_shop_file
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


@pytest.fixture
def read(tmp_path):
    """Reads a shop's file that holds a text."""

    def call(text, name="north_street.toml"):
        path = tmp_path / name
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return read_shop_file(path)

    return call


@pytest.fixture
def refused_file(read, tmp_path):
    """Why a shop's file is refused, without its name."""

    def call(text):
        with pytest.raises(ShopFileError) as caught:
            read(text)
        assert str(caught.value).startswith(f"shop file {tmp_path / 'north_street.toml'}: ")
        assert "\n" not in str(caught.value)
        return caught.value.broken

    return call
