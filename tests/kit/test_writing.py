"""What is written is a whole distribution, and nothing that is there is written over."""

from __future__ import annotations

import ast
import tomllib
from string import Template

import pytest

from probewright.kit import KitError, NewPack, render, write
from probewright.packs import CONTRACT_VERSION

ICE = NewPack("ice_maker", "Ice maker")
COMMON = {
    ".gitignore", "README.md", "pyproject.toml", "ice_maker/__init__.py", "ice_maker/complaints.py",
    "ice_maker/family.py", "ice_maker/faults.py", "ice_maker/made_up.py", "ice_maker/places.py", "ice_maker/py.typed",
    "ice_maker/repairs.py", "ice_maker/safety.py", "ice_maker/tests.py", "tests/test_ice_maker.py",
}  # fmt: skip


def test_the_files_of_each_kind():
    assert set(render(ICE)) == COMMON | {"ice_maker/wiring.py"}
    assert set(render(NewPack("ice_maker", "Ice maker", circuit=False))) == COMMON


def test_project_and_entry_point():
    project = tomllib.loads(render(ICE)["pyproject.toml"])
    assert project["project"]["name"] == "probewright-pack-ice-maker"
    assert project["project"]["description"].startswith("Ice maker")
    assert project["project"]["entry-points"] == {"probewright.packs": {"ice_maker": "ice_maker"}}
    assert project["project"]["dependencies"][0].startswith("probewright>=")
    assert project["tool"]["setuptools"]["packages"] == ["ice_maker"]


def test_it_is_for_the_contract_of_this_service():
    tree = ast.parse(render(ICE)["ice_maker/__init__.py"])
    assigned = {node.targets[0].id: ast.literal_eval(node.value) for node in tree.body if isinstance(node, ast.Assign)}
    assert assigned["CONTRACT"] == CONTRACT_VERSION


@pytest.mark.parametrize("circuit", [True, False])
def test_nothing_is_left_to_be_filled_in(circuit):
    for place, text in render(NewPack("ice_maker", "Ice maker", circuit)).items():
        assert Template(text).get_identifiers() == [], place
        assert text == "" or text.endswith("\n"), place


def test_a_module_that_is_meant_to_be_changed_says_so():
    files = render(ICE)
    modules = [place for place in files if place.startswith("ice_maker/") and place.endswith(".py")]
    told = [place for place in modules if "Replace: " in files[place]]
    assert set(modules) - set(told) == {"ice_maker/__init__.py"}
    for place in told:
        if place != "ice_maker/made_up.py":
            assert f"| `{place}` |" in files["README.md"]


def test_a_new_folder_is_made(tmp_path):
    written = write(ICE, tmp_path / "deep" / "in")
    assert len(written) == len(COMMON) + 1
    assert {path.relative_to(tmp_path / "deep" / "in").as_posix() for path in written} == set(render(ICE))
    assert all(path.is_file() for path in written)


def test_an_empty_folder_is_filled(tmp_path):
    assert write(ICE, tmp_path)


def test_a_folder_that_holds_something_is_left_alone(tmp_path):
    (tmp_path / "mine.txt").write_text("mine")
    with pytest.raises(KitError, match="is not empty: name a folder that is empty or does not exist"):
        write(ICE, tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["mine.txt"]


def test_a_file_is_no_folder(tmp_path):
    file = tmp_path / "file"
    file.write_text("mine")
    with pytest.raises(KitError, match="is a file"):
        write(ICE, file)
    with pytest.raises(KitError, match="cannot write to"):
        write(ICE, file / "under")
    assert file.read_text() == "mine"
