from __future__ import annotations

import json
import tomllib
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from probewright.cli.common import Exit
from probewright.figures import invented
from probewright.learning.simulated import close, written
from probewright.packs.registry import Layer, Registry
from probewright.settings import Settings
from probewright.simulation.draw import Omissions, draw
from probewright.simulation.policies import likeliest
from probewright.simulation.world import World
from support.families import pack_of, warmer

DEMO = Path(__file__).parents[2] / "demo" / "closed_jobs.ndjson"


def jobs_of(family, count):
    """Closed jobs of a family, as a file has them."""
    world, policy = World(family, 0.01), likeliest(pack_of(warmer()), Settings())
    drawn = [draw(world, 3, number, Omissions()) for number in range(count)]
    return b"".join(
        written(close(world, job, policy, date(2026, 3, 1) + timedelta(days=i))[0]) for i, job in enumerate(drawn)
    )


@pytest.fixture(scope="module")
def shop_jobs():
    """Jobs of a shop whose heaters break far more often than the pack has it."""
    other = tuple(replace(f, rate=invented(0.2)) if f.id == "heater_open" else f for f in warmer().faults)
    return jobs_of(warmer(faults=other), 200)


@pytest.fixture
def with_warmer(monkeypatch):
    """The command line knows the warmer and nothing else."""

    def use(**changes):
        pack = replace(pack_of(warmer()), **changes)
        monkeypatch.setattr(
            "probewright.cli.loading.prepared", lambda *_, **__: (Registry({"warmer": pack}), Settings())
        )

    use()
    return use


def test_the_demonstration_is_learned_from(run):
    result = run("pack", "learn", "gas_range", str(DEMO))
    assert (result.code, result.err) == (Exit.OK, "")
    assert result.out.startswith("300 closed jobs of gas_range 1.0.0, 2026-01-05 to 2026-06-03\n")
    assert max(len(line) for line in result.out.splitlines()) <= 100
    assert "Written to" not in result.out


def test_a_report_is_printed_and_nothing_is_written_without_being_asked(run, with_warmer, shop_jobs, tmp_path):
    result = run("pack", "learn", "warmer", "-", stdin=shop_jobs)
    assert (result.code, result.err) == (Exit.OK, "")
    assert "The learned numbers forecast the held-back jobs better." in result.out
    assert not list(tmp_path.iterdir())


def test_a_shops_file_is_written_when_it_is_asked_for(run, with_warmer, shop_jobs, tmp_path):
    out = tmp_path / "north_street.toml"
    result = run("pack", "learn", "warmer", shop_jobs, "--out", str(out), "--layer", "north_street")
    assert (result.code, result.err) == (Exit.OK, "")
    assert f"Written to {out}: use it with --shop {out}" in result.out
    document = tomllib.loads(out.read_text())
    assert document["layer"] == "north_street"
    assert document["families"]["warmer"]["fault_rates"]["heater_open"]["value"] > 0.1


def test_a_script_gets_a_document_and_the_same_one_each_time(run, with_warmer, shop_jobs):
    first, again = (run("pack", "learn", "warmer", "-", "--json", stdin=shop_jobs) for _ in range(2))
    assert first.out == again.out
    assert first.out.count("\n") == 1
    told = json.loads(first.out)
    assert (told["verdict"], told["prior_weight"], told["bad_lines"]) == ("better", 100.0, [])


def test_what_the_command_line_says_is_done(run, with_warmer, shop_jobs):
    told = json.loads(run(
        "pack", "learn", "warmer", "-", "--json", "--prior-weight", "20", "--row-weight", "5", "--hold-back", "0.4",
        stdin=shop_jobs,
    ).out)  # fmt: skip
    assert (told["prior_weight"], told["row_weight"], told["held_back"]["jobs"]) == (20.0, 5.0, 80)


def test_a_file_that_is_there_is_not_written_over(run, with_warmer, shop_jobs, one_line, tmp_path):
    out = tmp_path / "shop.toml"
    out.write_text("mine")
    refused = run("pack", "learn", "warmer", shop_jobs, "--out", str(out))
    assert refused.code == Exit.USAGE
    assert "is there already; --force writes over it" in one_line(refused)
    assert out.read_text() == "mine"
    assert run("pack", "learn", "warmer", shop_jobs, "--out", str(out), "--force").code == Exit.OK
    assert "closed_jobs" in out.read_text()


@pytest.mark.parametrize("out", [".", "no/such/folder/shop.toml"])
def test_a_file_that_cannot_be_written_is_told_before_the_work(run, with_warmer, one_line, out):
    result = run("pack", "learn", "warmer", "no such file", "--out", out)
    assert result.code == Exit.USAGE
    assert f"cannot write {out}" in one_line(result)


def test_bad_lines_are_told_and_end_it(run, with_warmer, shop_jobs):
    result = run("pack", "learn", "warmer", b"{}\n" + shop_jobs + b"not json\n")
    assert result.code == Exit.INVALID_CASE
    assert result.out == ""
    told = result.err.splitlines()
    assert told[0].startswith("line 1: /case: is required")
    assert told[1].startswith("line 202: is not JSON")
    assert told[2] == "probewright: 2 bad lines; mend them, or learn without with --skip-bad"


def test_of_many_bad_lines_the_first_are_told(run, with_warmer):
    result = run("pack", "learn", "warmer", b"{}\n" * 30)
    assert "line 20: " in result.err
    assert "line 21: " not in result.err
    assert "and 10 more\n" in result.err


def test_bad_lines_can_be_left_out_and_are_counted(run, with_warmer, shop_jobs):
    result = run("pack", "learn", "warmer", b"{}\n" + shop_jobs, "--skip-bad")
    assert result.code == Exit.OK
    assert "line 1: " in result.err
    assert "1 bad line was left out" in result.out


def test_too_few_jobs_are_refused(run, with_warmer, shop_jobs, one_line):
    few = b"".join(shop_jobs.splitlines(keepends=True)[:40])
    result = run("pack", "learn", "warmer", few)
    assert result.code == Exit.INVALID_CASE
    assert "40 closed jobs are too few to learn from; at least 100" in one_line(result)


def test_numbers_that_make_it_worse_say_so_by_the_exit_code(run, with_warmer, shop_jobs):
    # What was true of the first jobs is not of the last: sound appliances, and never a broken heater.
    lines = [json.loads(line) for line in shop_jobs.splitlines()]
    changed = [line | {"proven": ["fuse_open"]} if i < 150 else line for i, line in enumerate(lines)]
    result = run("pack", "learn", "warmer", "\n".join(map(json.dumps, changed)).encode())
    assert result.code == Exit.ATTENTION
    assert "worse than the pack as it is: think twice before using them" in result.out.replace("\n", " ")


def test_a_layer_that_lies_over_the_pack_already_is_not_learned_again(run, with_warmer, shop_jobs, one_line):
    with_warmer(layers=(Layer("closed_jobs", "shop_file", ("warmer",)),))
    result = run("pack", "learn", "warmer", shop_jobs)
    assert result.code == Exit.USAGE
    assert "would count twice" in one_line(result)
    assert run("pack", "learn", "warmer", shop_jobs, "--layer", "this_year").code == Exit.OK


def test_a_reserved_name_is_no_layer(run, with_warmer, one_line):
    assert "the name is reserved" in one_line(run("pack", "learn", "warmer", "-", "--layer", "case", stdin=b""))


def test_a_file_that_is_not_there_is_refused(run, with_warmer, one_line):
    result = run("pack", "learn", "warmer", "no_such_file.ndjson")
    assert result.code == Exit.USAGE
    assert "cannot read no_such_file.ndjson" in one_line(result)


def test_a_family_that_is_not_there_is_refused(run, with_warmer, one_line):
    result = run("pack", "learn", "kettle", "-", stdin=b"")
    assert result.code == Exit.INVALID_CASE
    assert "no pack for family 'kettle'" in one_line(result)


@pytest.mark.parametrize(("option", "value"), [
    ("--prior-weight", "0"), ("--prior-weight", "-5"), ("--prior-weight", "nan"), ("--prior-weight", "many"),
    ("--prior-weight", "1e7"), ("--row-weight", "0.5"), ("--hold-back", "0"), ("--hold-back", "1"),
    ("--hold-back", "inf"), ("--seed", "-1"), ("--seed", "4294967296"), ("--layer", "North Street"),
])  # fmt: skip
def test_options_that_make_no_sense_are_refused(run, with_warmer, option, value):
    result = run("pack", "learn", "warmer", "-", option, value, stdin=b"")
    assert result.code == Exit.USAGE
    assert f"argument {option}" in result.err
