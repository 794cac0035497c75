"""What an author accepts is told with its reason, and not counted."""

from __future__ import annotations

from dataclasses import replace

import pytest

from probewright.errors import PackModelError
from probewright.figures import invented
from probewright.packs.check import check_family
from probewright.packs.describe import describe
from probewright.packs.digest import digest
from probewright.packs.model import Accepted, Zone
from probewright.packs.registry import Layer, LoadedPack
from probewright.review.document import review_document
from probewright.review.findings import review_family, review_pack
from probewright.review.text import review_text
from probewright.settings import Settings
from support.breaking import added, both, changed
from support.lantern import lantern

CELLAR = added("zones", Zone("cellar", "Cellar", invented(0.0)))
REASON = "The next version reads the meter there."


def accepting(family, *keys: tuple[str, str]):
    return replace(family, accepted=tuple(Accepted(rule, record, REASON) for rule, record in keys))


def test_an_accepted_warning_leaves_a_pack_clean_and_is_told():
    family = accepting(CELLAR(lantern()), ("zone_unused", "zone cellar"))
    review = review_family(family)
    assert review.verdict == "clean"
    ((remark, accepted),) = review.accepted
    assert (remark.rule, remark.record, accepted.reason) == ("zone_unused", "zone cellar", REASON)


def test_only_what_is_named_is_accepted():
    family = accepting(both(CELLAR, changed("states", "live", steps=()))(lantern()), ("zone_unused", "zone cellar"))
    review = review_family(family)
    assert review.verdict == "warnings"
    assert [r.rule for r in review.remarks if r.severity == "warning"] == ["state_without_steps"]


def test_what_a_shops_numbers_took_away_is_not_the_authors_to_mend():
    family = accepting(lantern(), ("zone_unused", "zone cellar"), ("zone_unusd", "zone cellar"))
    alone = LoadedPack(family, "(test)", "0", "lantern", digest(family))
    laid = replace(alone, layers=(Layer("north_street", "shop_file", ("lantern",)),))
    found = [[r.record for r in review_pack(pack, Settings()).remarks if r.rule == "accepted_matches_nothing"]
             for pack in (alone, laid)]  # fmt: skip
    slip = "accepted zone_unusd of zone cellar"
    assert found == [["accepted zone_unused of zone cellar", slip], [slip]]


def test_what_is_accepted_outlives_nothing():
    review = review_family(accepting(lantern(), ("zone_unused", "zone cellar")))
    assert review.verdict == "warnings"
    assert review.accepted == ()


def test_the_document_and_the_text_tell_the_reason():
    family = accepting(CELLAR(lantern()), ("zone_unused", "zone cellar"))
    pack = LoadedPack(family, "lanterns", "1", "lantern", digest(family))
    told = review_document("lantern", pack, review_family(family))
    assert told["counts"] == {"error": 0, "warning": 0, "note": 1, "accepted": 1}
    assert told["verdict"] == "clean"
    assert told["accepted"][0]["reason"] == REASON
    text = review_text(told)
    assert f"Accepted: {REASON}" in text
    assert max(map(len, text.splitlines())) <= 100


def test_a_family_tells_what_its_author_accepts():
    family = accepting(CELLAR(lantern()), ("zone_unused", "zone cellar"))
    check_family(family)
    pack = LoadedPack(family, "lanterns", "1", "lantern", digest(family))
    assert describe(pack)["accepted"] == [{"rule": "zone_unused", "record": "zone cellar", "reason": REASON}]
    assert digest(family) != digest(CELLAR(lantern()))


def test_an_accepted_finding_that_is_none_is_refused_by_the_loader():
    family = replace(lantern(), accepted=("zone_unused",))
    with pytest.raises(PackModelError, match=r"accepted\[0\]: holds a str; expected Accepted"):
        check_family(family)
