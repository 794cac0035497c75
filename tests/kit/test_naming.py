"""Names that would bring a pack into trouble are refused, and the reason is told."""

from __future__ import annotations

import sys

import pytest

from probewright.kit import KitError, NewPack, checked_name, checked_title


@pytest.mark.parametrize("name", ["towel_warmer", "kettle", "oven2", "a", "x" * 40])
def test_sound_names_are_taken(name):
    assert checked_name(name) == name


@pytest.mark.parametrize(
    ("name", "why"),
    [
        ("", "it is empty"),
        ("Ice Maker", "write it in snake_case, such as 'ice_maker'"),
        ("ice-maker", "write it in snake_case, such as 'ice_maker'"),
        ("2oven", "write it in snake_case$"),
        ("_oven", "write it in snake_case, such as 'oven'"),
        ("ice__maker", "write it in snake_case, such as 'ice_maker'"),
        ("café", "write it in snake_case, such as 'caf'"),
        ("../oven", "write it in snake_case, such as 'oven'"),
        ("x" * 41, "it has more than 40 letters"),
        ("class", "Python has a keyword of that name"),
        ("match", "Python has a keyword of that name"),
        ("json", "Python has a module of that name"),
        ("tests", "a folder or module of that name has a meaning of its own"),
        ("numpy", r"a module of that name is installed \(of numpy\)"),
        ("probewright", r"a module of that name is installed \(of probewright\)"),
        ("range_hood", r"a module of that name is there already \(.*range_hood.py\)"),
        ("gas_range", r"an installed pack has it already \(probewright_packs.gas_range\)"),
    ],
)
def test_others_are_refused_with_the_reason(name, why):
    with pytest.raises(KitError, match=f"cannot be the name of a pack: {why}"):
        checked_name(name)


def test_what_lies_where_the_command_was_started_from_does_not_count(tmp_path, monkeypatch):
    (tmp_path / "new_oven").mkdir()
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(sys, "path", ["", *sys.path])
    assert checked_name("new_oven") == "new_oven"


def test_titles_are_trimmed():
    assert checked_title(" Ice maker ") == "Ice maker"


@pytest.mark.parametrize(
    ("title", "why"),
    [("  ", "is empty"), ("x" * 61, "more than 60 letters"), ('An "oven"', "use plain words"),
     ("Back\\slash", "use plain words"), ("Two\nlines", "use plain words"), ("A | B", "use plain words")],
)  # fmt: skip
def test_titles_that_do_not_fit_between_quotes_are_refused(title, why):
    with pytest.raises(KitError, match=why):
        checked_title(title)


def test_a_distribution_is_called_after_its_pack():
    assert NewPack("ice_maker", "Ice maker").distribution == "probewright-pack-ice-maker"
