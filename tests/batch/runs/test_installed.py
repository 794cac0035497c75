from __future__ import annotations

import pickle

import pytest

from probewright.batch.runs import installed
from probewright.packs.loader import load_packs
from probewright.packs.shopfile import ShopFileError
from probewright.settings import Settings

#: A rate for one family; the number is invented.
SHOP = "[families.gas_range]\nunknown_rate = 0.02\n"


@pytest.fixture
def shop(tmp_path):
    path = tmp_path / "north_street.toml"
    path.write_text(SHOP)
    return path


def test_a_shops_file_that_was_sent_gives_the_same_as_on_the_spot(shop):
    sent = pickle.loads(pickle.dumps(installed.read_shop([str(shop)])))
    shop.unlink()
    there = installed.load(sent)
    shop.write_text(SHOP)
    here = load_packs(shop_files=[shop])
    assert installed.identity(there, Settings()) == installed.identity(here, Settings())
    assert there.layers == here.layers


def test_two_files_of_one_name_lie_over_each_other_in_their_order(shop, tmp_path):
    second = tmp_path / "more" / shop.name
    second.parent.mkdir()
    second.write_text(SHOP.replace("0.02", "0.03").replace("[fam", 'layer = "second"\n[fam', 1))
    sent = installed.load(installed.read_shop([str(shop), str(second)]))
    assert sent.packs["gas_range"].digest == load_packs(shop_files=[shop, second]).packs["gas_range"].digest


def test_what_differs_is_named(shop):
    plain, with_shop = installed.load(()), installed.load(installed.read_shop([str(shop)]))
    one, other = (installed.identity(registry, Settings()) for registry in (plain, with_shop))
    assert {name for name in one if one[name] != other[name]} == {"pack gas_range", "engine for gas_range"}
    strict = installed.identity(plain, Settings(verdict_within=0.99))
    assert {name for name in one if one[name] != strict[name]} == {f"engine for {family}" for family in plain.packs}


def test_a_file_that_cannot_be_read_is_named(tmp_path):
    with pytest.raises(ShopFileError, match=r"nowhere\.toml: cannot be read: No such file"):
        installed.read_shop([str(tmp_path / "nowhere.toml")])
