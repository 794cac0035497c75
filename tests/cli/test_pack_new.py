"""``probewright pack new``: what is written, what is told, and how it is refused."""

from __future__ import annotations

import pytest


def test_a_pack_is_written_where_the_command_was_started(run, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    told = run("pack", "new", "towel_warmer")
    assert (told.code, told.err) == (0, "")
    folder = tmp_path / "probewright-pack-towel-warmer"
    assert 'title="Towel warmer"' in (folder / "towel_warmer" / "family.py").read_text()
    assert told.out.splitlines() == [
        "15 files written to probewright-pack-towel-warmer. Next:",
        "  cd probewright-pack-towel-warmer",
        "  python -m pip install --editable '.[test]'",
        "  python -m pytest",
        "  probewright pack check towel_warmer",
        "README.md says what to replace, and in which order.",
    ]


def test_folder_title_and_kind_may_be_chosen(run, tmp_path):
    folder = tmp_path / "my packs" / "warmer"
    told = run("pack", "new", "towel_warmer", "--directory", str(folder), "--title", "Rail", "--no-circuit")
    assert told.code == 0
    assert f"  cd '{folder}'" in told.out
    assert 'title="Rail"' in (folder / "towel_warmer" / "family.py").read_text()
    assert not (folder / "towel_warmer" / "wiring.py").exists()


@pytest.mark.parametrize(
    ("arguments", "why"),
    [
        (["Towel warmer"], "'Towel warmer' cannot be the name of a pack: write it in snake_case"),
        ([""], "'' cannot be the name of a pack: it is empty"),
        (["while"], "'while' cannot be the name of a pack: Python has a keyword of that name"),
        (["towel_warmer", "--title", 'The "warm" one'], "the title has quotes, backslashes, bars or unprintable"),
    ],
)
def test_what_cannot_be_is_refused_in_one_line(run, one_line, tmp_path, monkeypatch, arguments, why):
    monkeypatch.chdir(tmp_path)
    told = run("pack", "new", *arguments)
    assert told.code == 2
    assert one_line(told).startswith(f"probewright: {why}")
    assert list(tmp_path.iterdir()) == []


def test_nothing_is_written_over(run, one_line, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert run("pack", "new", "towel_warmer").code == 0
    told = run("pack", "new", "towel_warmer")
    assert told.code == 2
    assert "probewright-pack-towel-warmer is not empty" in one_line(told)
