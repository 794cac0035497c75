"""From nothing to an answer over HTTP: a new pack and the service, as wheels, in an environment of their own.

What takes long is told in the report of the run (``--junit-xml``), and by ``--durations``.
"""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
import threading
import time
import zipfile
from contextlib import contextmanager
from pathlib import Path

import pytest
import requests

from probewright.kit import NewPack, write

pytestmark = pytest.mark.slow_install

ROOT = Path(__file__).parents[2]
PACK = NewPack("towel_warmer", "Towel warmer")
#: Seconds for the install, and for the first start, which compiles the search.  Only to end what hangs.
INSTALL_WITHIN, START_WITHIN = 600, 600


def done(*command, **more):
    run = subprocess.run(command, capture_output=True, text=True, check=False, timeout=INSTALL_WITHIN, **more)
    assert run.returncode == 0, run.stdout + run.stderr
    return run.stdout


def wheel(source, into):
    into.mkdir()
    done(sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "--no-build-isolation", "--wheel-dir", str(into),
         str(source))  # fmt: skip
    [built] = into.glob("*.whl")
    return built


@pytest.fixture(scope="module")
def service_wheel(tmp_path_factory):
    """The service, built from a copy, so that nothing is left in the folder of the project."""
    source = tmp_path_factory.mktemp("service")
    for name in ("pyproject.toml", "README.md", "LICENSE"):
        shutil.copy(ROOT / name, source)
    for name in ("schemas", "service", "plugins"):
        leave_out = shutil.ignore_patterns("__pycache__", "*.egg-info", ".*")
        shutil.copytree(ROOT / name, source / name, ignore=leave_out)
    return wheel(source, tmp_path_factory.mktemp("wheels") / "service")


@pytest.fixture(scope="module")
def pack_wheel(tmp_path_factory):
    source = tmp_path_factory.mktemp("pack") / PACK.distribution
    write(PACK, source)
    return wheel(source, tmp_path_factory.mktemp("wheels") / "pack")


def inside(archive):
    with zipfile.ZipFile(archive) as opened:
        return set(opened.namelist())


def test_the_services_wheel_holds_templates_types_and_packs_and_no_examples(service_wheel):
    names = inside(service_wheel)
    templates = ROOT / "service" / "probewright" / "kit" / "templates"
    asked = {f"probewright/kit/templates/{path.relative_to(templates).as_posix()}"
             for path in templates.rglob("*.tmpl")}  # fmt: skip
    assert len(asked) > 20
    assert asked <= names
    assert {f"{package}/py.typed" for package in ("probewright", "probewright_schemas", "probewright_packs")} <= names
    modules = {path.relative_to(ROOT / "plugins").as_posix()
               for path in (ROOT / "plugins" / "probewright_packs").rglob("*.py")}  # fmt: skip
    assert modules <= names
    assert not [name for name in names if "examples" in name or "ice_maker" in name or "range_hood" in name]


def test_the_packs_wheel_holds_the_pack_and_its_types_alone(pack_wheel):
    names = {name for name in inside(pack_wheel) if ".dist-info/" not in name}
    assert names >= {"towel_warmer/__init__.py", "towel_warmer/family.py", "towel_warmer/py.typed"}
    assert {name.partition("/")[0] for name in names} == {"towel_warmer"}


@pytest.fixture(scope="module")
def environment(tmp_path_factory, service_wheel, pack_wheel):
    """Both wheels in a fresh virtual environment; gives its folder of programs and the seconds that it took."""
    folder = tmp_path_factory.mktemp("environment") / "venv"
    begun = time.monotonic()
    done(sys.executable, "-m", "venv", "--without-pip", str(folder))
    programs = folder / "bin"
    done(sys.executable, "-m", "pip", "--python", str(programs / "python"), "install", "--quiet", "--constraint",
         str(ROOT / "constraints.txt"), str(service_wheel), str(pack_wheel))  # fmt: skip
    return programs, time.monotonic() - begun


@contextmanager
def serving(programs, cwd):
    """The service of the fresh environment; it compiles before it listens."""
    command = [str(programs / "probewright"), "serve", "--port", "0", "--workers", "1"]
    process = subprocess.Popen(command, cwd=cwd, stdout=subprocess.PIPE, text=True)
    too_late = threading.Timer(START_WITHIN, process.kill)
    too_late.start()
    try:
        line = process.stdout.readline()
        too_late.cancel()
        found = re.fullmatch(r"Probewright listens on (http://127\.0\.0\.1:\d+)\n", line)
        assert found, (line, process.poll())
        yield found[1]
    finally:
        too_late.cancel()
        process.terminate()
        try:
            process.communicate(timeout=60)
        except subprocess.TimeoutExpired:
            process.kill()
            process.communicate()


def test_the_fresh_service_diagnoses_a_case_of_the_new_family(environment, tmp_path, record_property):
    programs, installed = environment
    begun = time.monotonic()
    case = {"family": "towel_warmer", "complaints": ["stays_cold"],
            "readings": [{"test": "element_resistance", "over_range": True}]}  # fmt: skip
    with serving(programs, tmp_path) as url:
        started = time.monotonic() - begun
        families = requests.get(f"{url}/v1/families", timeout=60).json()["families"]
        packs = requests.get(f"{url}/v1/packs", timeout=60).json()
        answer = requests.post(f"{url}/v1/diagnoses", json=case, timeout=60)
    record_property("seconds_to_install", round(installed, 1))
    record_property("seconds_to_start", round(started, 1))
    assert {family["id"] for family in families} == {"clothes_dryer", "electric_range", "gas_range", "towel_warmer"}
    assert packs["refused"] == []
    assert [pack["distribution"] for pack in packs["loaded"] if pack["entry_point"] == "towel_warmer"] == [
        "probewright-pack-towel-warmer"
    ]
    assert answer.status_code == 200
    assert answer.json()["faults"][0]["fault"] == "element_open"
    assert answer.json()["faults"][0]["probability"] > 0.9
    assert (answer.json()["next"]["kind"], answer.json()["next"]["id"]) == ("repair", "replace_element")


def test_the_fresh_command_line_writes_a_pack(environment, tmp_path):
    programs, _ = environment
    told = done(str(programs / "probewright"), "pack", "new", "waffle_iron", cwd=tmp_path)
    assert told.startswith("15 files written to probewright-pack-waffle-iron. Next:\n")
    assert (tmp_path / "probewright-pack-waffle-iron" / "waffle_iron" / "wiring.py").is_file()
