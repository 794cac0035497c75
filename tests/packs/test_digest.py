from __future__ import annotations

import re
from dataclasses import dataclass, replace
from enum import Enum

import numpy as np
import pytest

from probewright.circuit.parts import Part
from probewright.errors import PackModelError
from probewright.figures import common_practice, invented, published, uniform
from probewright.packs.digest import digest


def test_it_is_a_sha256(family):
    assert re.fullmatch(r"sha256:[0-9a-f]{64}", digest(family))


def test_equal_families_have_equal_digests(make_family):
    assert digest(make_family()) == digest(make_family())


def first_zone(family, minutes):
    return replace(family, zones=(replace(family.zones[0], minutes=minutes), *family.zones[1:]))


def test_a_number_its_basis_and_any_word_change_it(family):
    last_bit = invented(float(np.nextafter(50.0, 51.0)))
    changed = {
        "number": first_zone(family, invented(0.5)),
        "basis": first_zone(family, common_practice(0)),
        "source": first_zone(family, published(0.5, "a table")),
        "another source": first_zone(family, published(0.5, "another table")),
        "last bit": replace(family, costs=replace(family.costs, callback=last_bit)),
        "word": replace(family, cautions=("Glass breaks!",)),
        "order": replace(family, zones=family.zones[::-1]),
        "version": replace(family, version="1.2.1"),
    }
    digests = {name: digest(other) for name, other in changed.items()}
    assert len({digest(family), *digests.values()}) == len(changed) + 1


def test_the_order_of_a_mapping_does_not_change_it(family):
    (repair,) = family.repairs
    turned = replace(repair, cures=dict(reversed(repair.cures.items())))
    assert digest(replace(family, repairs=(turned,))) == digest(family)


class Curve(Enum):
    FLAT = "flat"


def straight(x):
    return x


@dataclass(frozen=True)
class OddLaw:
    """A law of a pack's own, with fields of every plain kind."""

    curve: Curve
    table: object
    shape: object
    names: frozenset
    scale: float = 2.0
    heats_above = None
    feels_temperature = False
    spreads = (uniform(invented(1), invented(2)),)

    def impedance(self, parameters, at):
        return parameters[0]


def with_law(family, law):
    circuit = family.circuits[0]
    return replace(family, circuits=(replace(circuit, parts=(*circuit.parts, Part("odd", "hot", "earth", law))),))


def test_laws_of_a_packs_own_are_part_of_it(family):
    law = OddLaw(Curve.FLAT, np.arange(3.0), straight, frozenset({"a", "b"}))
    others = [replace(law, table=np.arange(4.0)), replace(law, names=frozenset("a")), replace(law, scale=3.0)]
    digests = {digest(with_law(family, other)) for other in (law, *others)}
    assert len(digests) == 4
    assert digest(with_law(family, replace(law, table=np.arange(3.0)))) in digests


def test_an_object_without_canonical_text_is_named(family):
    law = OddLaw(Curve.FLAT, object(), straight, frozenset())
    with pytest.raises(PackModelError, match=r"circuits\[0\]\.parts\[5\]\.law\.table: a object has no"):
        digest(with_law(family, law))
