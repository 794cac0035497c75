"""What the type checker accepts of an author also works."""

from __future__ import annotations

from probewright.engine import diagnose
from probewright.packs.loader import load_packs
from probewright.settings import Settings
from probewright_schemas.records import Case, Reading
from typing_examples import author


def test_the_checked_pack_loads_and_diagnoses():
    pack = load_packs(entry_points=(), extra=(("lamp", author),)).get("lamp")
    found = diagnose(Case("lamp", complaints=("dark",), readings=(Reading("ohms", over_range=True),)), pack, Settings())
    assert found.faults[0].fault == "filament_open"


def test_a_law_of_its_own_is_a_law():
    assert isinstance(author.own_law, author.Law)
