from __future__ import annotations

import json
import sys
import textwrap

import pytest

from probewright.cli.common import Exit
from probewright.review.catalogue import RULES


@pytest.fixture
def written(tmp_path, monkeypatch):
    """Writes a pack as a module of its own, which is forgotten afterwards."""
    monkeypatch.syspath_prepend(str(tmp_path))

    def write(name: str, body: str) -> str:
        text = f"""
            from dataclasses import replace
            from support.lantern import lantern
            from probewright.packs import *
            CONTRACT = CONTRACT_VERSION

            @hookimpl
            def probewright_family():
                family = lantern()
                {body}
        """
        path = tmp_path / f"{name}.py"
        path.write_text(textwrap.dedent(text), encoding="utf-8")
        return str(path)

    before = set(sys.modules)
    path = list(sys.path)
    yield write
    sys.path[:] = path
    for name in set(sys.modules) - before:
        if name.startswith("lantern_"):
            del sys.modules[name]


def check(run, *arguments):
    return run("pack", "check", *arguments, "--no-simulation")


def test_an_installed_pack_is_reviewed_by_its_family(run):
    result = check(run, "gas_range")
    assert (result.code, result.err) == (Exit.OK, "")
    assert result.out.startswith("Review of Gas range 1.0.0 (sha256:")
    assert "Accepted by the author (" in result.out
    assert max(map(len, result.out.splitlines())) <= 100


def test_a_pack_that_is_not_installed_is_reviewed_from_its_file(run, written):
    result = check(run, "--module", written("lantern_clean", "return family"))
    assert (result.code, result.err) == (Exit.OK, "")
    assert "pack lantern_clean of no distribution" in " ".join(result.out.split())


def test_a_pack_that_is_not_installed_is_reviewed_by_its_module(run, written):
    written("lantern_module", "return family")
    assert check(run, "--module", "lantern_module").code == Exit.OK


def test_a_package_is_named_by_its_folder_or_by_the_file_in_it(run, tmp_path, written):
    written("lantern_inner", "return family")
    package = tmp_path / "lantern_package"
    package.mkdir()
    (tmp_path / "lantern_inner.py").rename(package / "__init__.py")
    assert check(run, "--module", str(package)).code == Exit.OK
    assert check(run, "--module", str(package / "__init__.py")).code == Exit.OK


def test_warnings_have_an_exit_code_of_their_own(run, written):
    result = check(run, "--module", written("lantern_warned", "return replace(family, cautions=())"))
    assert result.code == Exit.ATTENTION
    assert "Warnings (1)" in result.out
    assert "    - family: it has no cautions." in result.out


def test_a_shops_numbers_are_reviewed_with_the_pack_that_they_lie_over(run, written, tmp_path):
    shop = tmp_path / "north_street.toml"
    shop.write_text("[families.lantern]\nfault_rates.fuse_open = 0.97\n", encoding="utf-8")
    module = written("lantern_shop", "return family")
    result = check(run, "--module", module, "--shop", str(shop))
    assert result.code == Exit.ATTENTION
    assert "with unknown_rate they add up to 1.07" in " ".join(result.out.split())


def test_errors_have_another_and_each_is_told(run, written):
    broken = "return replace(family, unknown_rate=invented(0.0), supply=replace(family.supply, nominal=invented(-1.0)))"
    result = check(run, "--module", written("lantern_broken", broken))
    assert result.code == Exit.NO_PACK
    assert "which cannot be loaded" in " ".join(result.out.split())
    assert "unknown_rate is 0.0" in result.out
    assert "the nominal voltage must be positive" in result.out
    assert result.err == ""


@pytest.mark.parametrize("body", ["raise SystemExit(3)", "1 / 0", "return 7"])
def test_a_pack_that_does_anything_at_all_is_an_error_and_no_traceback(run, written, body):
    result = check(run, "--module", written("lantern_hostile", body))
    assert result.code == Exit.NO_PACK
    assert "Errors (1)" in result.out
    assert "Traceback" not in result.out + result.err


def test_a_script_gets_the_whole_document(run, written):
    result = check(run, "--module", written("lantern_json", "return replace(family, cautions=())"), "--json")
    told = json.loads(result.out)
    assert (result.code, result.out.count("\n")) == (Exit.ATTENTION, 1)
    assert told["verdict"] == "warnings"
    assert told["counts"] == {"error": 0, "warning": 1, "note": 1, "accepted": 0}
    assert [(f["severity"], f["rule"], f["record"]) for f in told["findings"]] == [
        ("warning", "family_without_cautions", "family"), ("note", "weak_basis", "family")]  # fmt: skip
    assert told["findings"][0]["hint"] == RULES["family_without_cautions"].mend
    assert told["pack"]["family"] == "lantern"
    assert told["figures"]["by_basis"] == {"invented": 76}
    assert told["quality"] is None


def test_jobs_are_played_unless_told_otherwise(run, written):
    module = written("lantern_played", "return family")
    result = run("pack", "check", "--module", module, "--jobs", "4", "--seed", "3", "--json")
    told = json.loads(result.out)
    assert result.code == Exit.OK
    assert (told["quality"]["jobs"], told["quality"]["seed"]) == (4, 3)
    assert list(told["quality"]["worlds"]) == ["given", "perturbed"]
    again = run("pack", "check", "--module", module, "--jobs", "4", "--seed", "3", "--json")
    assert again.out == result.out


def test_what_jobs_come_to_is_told_to_people_too(run, written, tmp_path):
    page = tmp_path / "review.html"
    result = run("pack", "check", "--module", written("lantern_told", "return family"), "--jobs", "4",
                 "--html", str(page))  # fmt: skip
    assert result.code == Exit.OK
    assert "numbers perturbed" in result.out
    assert max(map(len, result.out.splitlines())) <= 100
    html = page.read_text(encoding="utf-8")
    assert "<title>Review of Lantern 1.0.0</title>" in html
    assert "Pack lantern_told of no distribution, sha256:" in html


def test_a_pack_that_nobody_would_complain_of_cannot_be_simulated(run, written, monkeypatch):
    monkeypatch.setattr("probewright.simulation.draw._TRIALS", 300)  # patience of its own takes seconds
    body = """tiny = tuple(replace(c, if_working=invented(1e-12), if_failed=None if c.if_failed is None else invented(
                    2e-12), shown_by={f: invented(1e-12) for f in c.shown_by}) for c in family.complaints)
                return replace(family, complaints=tiny)"""
    result = run("pack", "check", "--module", written("lantern_mute", body), "--jobs", "3", "--json")
    told = json.loads(result.out)
    assert result.code == Exit.NO_PACK
    assert [f["rule"] for f in told["findings"] if f["severity"] == "error"] == ["cannot_be_simulated"]


def test_what_fails_while_jobs_are_played_is_told_and_shown_where_on_request(run, monkeypatch):
    def fail(*arguments, **more):
        raise IndexError("out of range")

    monkeypatch.setattr("probewright.review.quality.measure", fail)
    result = run("pack", "check", "gas_range", "--jobs", "3")
    assert result.code == Exit.NO_PACK
    assert "IndexError: out of range (--traceback shows where)" in " ".join(result.out.split())
    with pytest.raises(IndexError, match="out of range"):
        run("--traceback", "pack", "check", "gas_range", "--jobs", "3")


def test_a_name_that_is_not_there_is_a_mistake_of_the_command_line(run, one_line):
    result = check(run, "gas_rnage")
    assert result.code == Exit.USAGE
    assert "no pack 'gas_rnage'; did you mean 'gas_range'?" in one_line(result)


@pytest.mark.parametrize("arguments", [(), ("gas_range", "--module", "x")])
def test_one_pack_is_named_one_way(run, one_line, arguments):
    result = check(run, *arguments)
    assert result.code == Exit.USAGE
    assert "--module" in one_line(result)


def test_a_file_that_is_not_there_is_a_mistake_of_the_command_line(run, one_line, tmp_path):
    result = check(run, "--module", str(tmp_path / "nothing.py"))
    assert result.code == Exit.USAGE
    assert "there is no file" in one_line(result)


def test_a_page_that_cannot_be_written_is_told_before_the_work(run, one_line, tmp_path):
    result = check(run, "gas_range", "--html", str(tmp_path / "nowhere" / "review.html"))
    assert result.code == Exit.USAGE
    assert "its folder does not exist" in one_line(result)


@pytest.mark.parametrize("page", ["", "/proc/page.html", "/"])
def test_a_page_for_which_there_is_no_place_is_a_mistake_of_the_command_line(run, written, page):
    pytest.importorskip("matplotlib")
    result = check(run, "--module", written("lantern_nowhere", "return family"), "--html", page)
    assert result.code == Exit.USAGE
    assert (result.err.startswith("probewright: cannot write "), result.err.count("\n")) == (True, 1)


def test_files_of_the_setting_lie_over_installed_packs(run, written, tmp_path, monkeypatch):
    shop = tmp_path / "shop.toml"
    shop.write_text('layer = "north"\n[families.gas_range]\nfault_rates.gas_leak = 0.9\n', encoding="utf-8")
    alone = json.loads(check(run, "gas_range", "--json").out)
    monkeypatch.setenv("PROBEWRIGHT_SHOP_FILES", str(shop))
    assert json.loads(check(run, "gas_range", "--json").out)["pack"]["digest"] != alone["pack"]["digest"]
    assert check(run, "--module", written("lantern_apart", "return family")).code == Exit.OK


def test_a_refused_pack_is_reviewed_whatever_is_laid_over_it(run, written, tmp_path):
    shop = tmp_path / "shop.toml"
    shop.write_text("[families.lantern]\nunknown_rate = 0.01\n", encoding="utf-8")
    broken = written("lantern_refused", "return replace(family, notice='')")
    result = check(run, "--module", broken, "--shop", str(shop))
    assert result.code == Exit.NO_PACK
    assert "notice is empty" in result.out
