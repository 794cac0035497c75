"""What DEVELOPERS.md tells pack authors is so: the tutorial's code, and the contract's signatures."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from probewright import packs
from probewright.packs import hookspecs
from probewright_packs import common
from support import common_reference, mistakes
from support.contract_reference import groups, reference, written

ROOT = Path(__file__).parents[2]
TEXT = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
TUTORIAL = TEXT.partition("### From an idea to a green check\n")[2].partition("\n### ")[0]
BLOCKS = re.findall(r"```python\n# (\S+)\n(.*?)```", TUTORIAL, re.DOTALL)


def test_the_tutorial_quotes_code() -> None:
    assert len(BLOCKS) >= 10
    assert TUTORIAL.count("```python") == len(BLOCKS)


@pytest.mark.parametrize(("file", "code"), BLOCKS, ids=[f"{n} {file}" for n, (file, _) in enumerate(BLOCKS, 1)])
def test_each_block_of_the_tutorial_stands_in_the_finished_pack(file: str, code: str) -> None:
    assert code in (ROOT / "plugins" / "examples" / "ice_maker" / file).read_text(encoding="utf-8")


def test_the_reference_is_as_the_code_is() -> None:
    assert written(TEXT) == TEXT, "run `make readme`"


def test_every_hook_and_public_name_is_in_the_reference_with_its_signature() -> None:
    text = reference()
    hooks = [name for name in vars(hookspecs) if name.startswith("probewright_")]
    assert len(hooks) > 3
    for name in [*packs.__all__, *hooks]:
        assert re.search(rf"^(class )?{name}(\(|: | = |:$)", text, re.MULTILINE), name
    assert sorted(name for names in groups().values() for name in names) == sorted(packs.__all__)


def test_the_list_of_common_parts_is_as_the_code_is() -> None:
    assert common_reference.BLOCK.search(TEXT)
    assert common_reference.written(TEXT) == TEXT, "run `make readme`"
    homes = common_reference.homes()
    assert sorted(name for names in homes.values() for name in names) == sorted(common.__all__)
    assert all(re.search(rf"\b{name}\b", common_reference.reference()) for name in common.__all__)


def test_the_common_mistakes_are_as_the_review_tells_them() -> None:
    assert mistakes.BLOCK.search(TEXT)
    assert mistakes.written(TEXT) == TEXT, "run `make readme`"
