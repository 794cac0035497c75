"""The common mistakes of DEVELOPERS.md with the message that each gives; run as a script, this writes them anew."""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from probewright.review.catalogue import RULES
from probewright.review.findings import review_family, review_pack, review_refusal
from probewright.review.remark import Remark
from probewright.settings import Settings
from review import test_hostile, test_refusals, test_rules_of_records, test_rules_of_the_model
from support.lantern import lantern

DEVELOPERS = Path(__file__).parents[2] / "DEVELOPERS.md"
BLOCK = re.compile(r"(?<=<!-- common mistakes -->\n)(.*?)(?=<!-- end of the common mistakes -->)", re.DOTALL)


@cache
def examples() -> dict[str, Remark]:
    """For each rule what a review says of a family that breaks it."""
    found: dict[str, Remark] = {}
    for remark in _remarks():
        found.setdefault(remark.rule, remark)
    return {rule: found[rule] for rule in RULES}


def _remarks() -> Iterator[Remark]:
    for change, _, _ in test_refusals.RULES_OF_LOADING.values():
        family = lantern() if change is None else change(lantern())
        contract = "9.0" if change is None else test_refusals.CONTRACT_VERSION
        yield from review_refusal(test_refusals.refused(test_refusals.pack(family, contract))).remarks
    for _, change, _, _ in (*test_rules_of_records.CASES, *test_rules_of_the_model.CASES):
        yield from review_family(change(lantern())).remarks
    for law in ("raise", "nan"):
        yield from review_family(test_hostile.with_law(law)).remarks
    failing = test_hostile.loaded(probewright_validate=test_hostile.raises)
    yield from review_pack(failing, Settings()).remarks
    yield test_hostile.mute()


def table() -> str:
    """The mistakes as a table."""
    rows = ["| rule | | a message | how to mend it |", "| --- | --- | --- | --- |"]
    for rule, remark in examples().items():
        cells = (f"`{rule}`", remark.severity, f"{remark.record}: {remark.message}", remark.hint)
        rows.append(f"| {' | '.join(cell.replace('|', '/') for cell in cells)} |")
    return "\n".join([*rows, ""])


def written(text: str) -> str:
    """DEVELOPERS.md with the table as the code has it."""
    made = table()
    return BLOCK.sub(lambda _: made, text)


if __name__ == "__main__":
    before = DEVELOPERS.read_text(encoding="utf-8")
    if BLOCK.search(before):
        DEVELOPERS.write_text(written(before), encoding="utf-8")
    else:
        sys.stdout.write(table())
