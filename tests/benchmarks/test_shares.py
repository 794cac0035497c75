"""The profile puts every function of ours into a part, and the functions that it names exist."""

from __future__ import annotations

import re
from pathlib import Path

import shares

ROOT = Path(__file__).parents[2]
MODULES = [path for top in ("service", "schemas", "plugins/probewright_packs") for path in (ROOT / top).rglob("*.py")]
OUTER = f"main {ROOT}/service/probewright/cli/main.py;wsgi_app /site-packages/flask/app.py"


def test_every_module_but_those_of_http_has_a_part() -> None:
    parts = {path: shares.part_of(f"{OUTER};anything {path}") for path in MODULES}
    unplaced = {path for path, part in parts.items() if part == shares.HTTP}
    assert len(parts) > 100
    assert {path.parent.name for path in unplaced} == {"web", "cli"}


def test_files_and_functions_that_decide_exist() -> None:
    for function, ending, _ in shares.PARTS:
        found = [path for path in MODULES if re.search(f"({ending})$", str(path))]
        assert found, ending
        assert not function or any(re.search(rf"^ *def {function}\(", p.read_text(), re.MULTILINE) for p in found)


def test_the_innermost_known_call_counts() -> None:
    inside = f"{OUTER};evaluate {ROOT}/service/probewright/inference/evaluate.py"
    assert shares.part_of(OUTER) == shares.HTTP
    assert shares.part_of(inside) == shares.REST
    assert shares.part_of(f"{inside};posterior {ROOT}/service/probewright/inference/posterior.py") == shares.POSTERIOR
    assert shares.part_of(f"{inside};stages /x/probewright/inference/posterior.py;exp /numpy.py") == shares.EXPLANATION
