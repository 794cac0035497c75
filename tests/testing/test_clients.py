"""The client is the service with given packs alone; what it refuses is an error that explains."""

from __future__ import annotations

import pytest

import ice_maker
import range_hood
from probewright.testing import client


@pytest.fixture(scope="module")
def both():
    return client(ice_maker, range_hood)


def test_only_the_given_packs_are_there(both):
    assert [pack.family.id for pack in both.packs] == ["ice_maker", "range_hood"]
    assert [pack.family.id for pack in client(range_hood).packs] == ["range_hood"]


def test_each_operation_answers(both):
    case = {"family": "range_hood", "complaints": ["no_air"], "readings": [{"test": "lamp", "seen": "lit"}]}
    assert both.diagnose(case)["next"]["kind"] == "test"
    assert both.check(case)["readings"][0]["verdict"] == "within"
    assert len(both.score(case)["readings"][0]["log_likelihoods"]) == len(range_hood.FAULTS) + 2
    assert both.plan({"family": "range_hood", "complaints": ["no_air"]})["order"]
    assert both.family("range_hood")["title"] == "Range hood"


def test_the_family_may_be_left_out_where_there_is_one(both):
    assert client(range_hood).family()["id"] == "range_hood"
    assert client(range_hood).diagnose({"complaints": ["hums"]})["pack"]["family"] == "range_hood"
    with pytest.raises(AssertionError, match="say which family: ice_maker, range_hood are loaded"):
        both.diagnose({"complaints": ["no_ice"]})


def test_a_refused_case_is_told_place_by_place(both):
    with pytest.raises(AssertionError) as caught:
        both.diagnose({"family": "range_hood", "complaints": ["no_airs"], "readings": [{"test": "lmp", "seen": "lit"}]})
    first, *places = str(caught.value).splitlines()
    assert first == "POST /v1/diagnoses answered 422 invalid_case: The case breaks the contract"
    assert any(place.startswith("  /complaints/0: unknown complaint 'no_airs'") for place in places)
    assert any("/readings/0/test" in place and "did you mean 'lamp'" in place for place in places)


def test_an_unknown_family_is_told(both):
    with pytest.raises(AssertionError, match="GET /v1/families/kettle answered 404 unknown_family"):
        both.family("kettle")


def test_a_pack_that_fails_is_told(make_pack):
    def validate(context):
        raise ValueError("no")

    asked = client(make_pack(probewright_validate=validate))
    with pytest.raises(AssertionError, match=r"500 bad_pack: A model pack failed\n  .*; the log has it as urn:"):
        asked.diagnose({"readings": [{"test": "lamp", "seen": "lit"}]})


def test_a_pack_that_is_refused_is_told(make_pack):
    with pytest.raises(AssertionError, match=r"the loader refuses a pack: .*made for contract 2\.0"):
        client(make_pack(contract="2.0"))


def test_objects_of_one_class_are_told_apart(make_pack, hood):
    pair = client(make_pack(), make_pack(hood(id="island_hood", title="Island hood")))
    assert [pack.family.id for pack in pair.packs] == ["island_hood", "range_hood"]


def test_a_shops_file_is_laid_over_a_pack(tmp_path):
    file = tmp_path / "north_street.toml"
    file.write_text("[families.range_hood]\nfault_rates.motor_open = 0.2\n")
    rates = {fault["id"]: fault["rate"] for fault in client(range_hood, shop_files=[file]).family()["faults"]}
    assert (rates["motor_open"]["value"], rates["motor_open"]["basis"]) == (0.2, "shop")
    assert rates["motor_open"]["layer"] == "north_street"
    assert "layer" not in rates["filter_clogged"]


def test_a_shops_file_that_does_not_fit_is_told(tmp_path):
    file = tmp_path / "north_street.toml"
    file.write_text("[families.range_hood]\nfault_rates.motor = 0.2\n")
    with pytest.raises(AssertionError, match=r"refuses a shop file .*fault_rates: fault .motor. does not exist"):
        client(range_hood, shop_files=[file])
