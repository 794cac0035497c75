from __future__ import annotations

import importlib
import itertools
import logging
import subprocess
import sys
from importlib.metadata import EntryPoint, distributions
from types import MappingProxyType, SimpleNamespace

import pytest

from probewright.errors import PackError, UnknownFamily
from probewright.packs import ContractWarning
from probewright.packs.loader import GROUP, load_packs


def load(*extra, **more):
    return load_packs(entry_points=(), extra=extra, **more)


def reasons(registry):
    return {refusal.entry_point: refusal.reason for refusal in registry.refused}


def refused(plugin, make_pack):
    """Why a plugin is refused; a sound pack beside it must load all the same."""
    registry = load(("bad", plugin), ("good", make_pack()))
    assert list(registry.packs) == ["lamp"]
    return reasons(registry)["bad"]


def test_a_sound_pack_is_loaded(make_pack, family):
    registry = load(("lamp", make_pack()))
    pack = registry.get("lamp")
    assert (pack.family, pack.entry_point, pack.distribution) == (family, "lamp", "(given)")
    assert (pack.validators, pack.scorer) == (None, None)
    assert pack.identity.version == "1.2.0"
    assert pack.identity.digest == pack.digest
    assert registry.refused == ()


def test_the_registry_cannot_be_changed(make_pack):
    registry = load(("lamp", make_pack()))
    assert isinstance(registry.packs, MappingProxyType)
    with pytest.raises(AttributeError):
        registry.packs = {}


def test_an_unknown_family_names_those_that_are_loaded(make_pack):
    with pytest.raises(UnknownFamily, match="no pack for family 'lmp'; loaded: lamp"):
        load(("lamp", make_pack())).get("lmp")


def test_families_are_sorted(make_pack, make_family):
    registry = load(("a", make_pack(make_family(id="zebra"))), ("b", make_pack(make_family(id="aard"))))
    assert list(registry.packs) == ["aard", "zebra"]


@pytest.mark.parametrize("contract", ["1", 1.0, True, "1.", "0.1", "1.01", "1.1.0", " 1.1", 0, -1, "１.1"])
def test_a_pack_whose_contract_is_no_version_is_refused(make_pack, contract):
    assert refused(make_pack(contract=contract), make_pack) == (
        f'incompatible: its CONTRACT is {contract!r}, not text such as "1.1"; this service speaks contract 1.1'
    )


def test_a_pack_without_a_contract_is_refused(make_pack):
    assert refused(make_pack(contract=None), make_pack) == (
        'incompatible: it has no CONTRACT (text such as "1.1"); this service speaks contract 1.1'
    )


def test_a_pack_without_the_attribute_is_refused(make_pack):
    plugin = make_pack()
    del plugin.CONTRACT
    assert "it has no CONTRACT" in refused(plugin, make_pack)


@pytest.mark.parametrize("contract", [2, "2.0", "2.1", "1.2", "1.10"])
def test_a_pack_for_another_major_or_a_later_minor_contract_is_refused(make_pack, contract):
    reason = refused(make_pack(contract=contract), make_pack)
    told = f"made for contract {contract}; this service speaks contract 1.1: update probewright, or the pack"
    assert reason == f"incompatible: {told}"


@pytest.mark.parametrize("contract", ["1.0", "1.1"])
def test_a_pack_for_this_or_an_earlier_minor_contract_loads(make_pack, contract):
    assert list(load(("lamp", make_pack(contract=contract))).packs) == ["lamp"]


def test_a_misspelt_hook_is_refused(make_pack):
    reason = refused(make_pack(probewright_validat=lambda context: ()), make_pack)
    told = "there is no hook 'probewright_validat'; did you mean 'probewright_validate'?"
    assert reason == f"its hooks do not fit the contract: {told}"


def test_a_hook_that_is_not_marked_is_warned_of_at_its_line(tmp_path, monkeypatch, make_pack):
    """Nobody would call it, and what it was to reject would count."""
    monkeypatch.syspath_prepend(str(tmp_path))
    written = "CONTRACT = '1.1'\n\n\ndef probewright_validate(context):\n    pass\n"
    (tmp_path / "pw_test_unmarked.py").write_text(written)
    plugin = importlib.import_module("pw_test_unmarked")
    plugin.probewright_family = make_pack().probewright_family
    with pytest.warns(ContractWarning, match="probewright_validate is not marked with @hookimpl") as caught:
        registry = load(("lamp", plugin))
    assert [(w.filename, w.lineno) for w in caught] == [(str(tmp_path / "pw_test_unmarked.py"), 4)]
    assert registry.get("lamp").validators is None


def test_a_hook_with_an_unknown_argument_is_refused(make_pack):
    reason = refused(make_pack(probewright_validate=lambda contxt: ()), make_pack)
    assert "its hooks do not fit the contract" in reason
    assert "contxt" in reason


def test_a_pack_without_a_family_is_refused(make_pack):
    assert refused(SimpleNamespace(CONTRACT="1.0"), make_pack) == "it lacks the required hook probewright_family"


def test_an_unmarked_hook_is_pointed_out(make_pack):
    plugin = SimpleNamespace(CONTRACT="1.0", probewright_family=lambda: None)
    assert refused(plugin, make_pack).endswith("it has a function of that name, not marked with @hookimpl")


@pytest.mark.parametrize(("value", "said"), [(None, "NoneType"), ({}, "dict")])
def test_the_family_hook_must_return_a_family(make_pack, value, said):
    plugin = make_pack(probewright_family=lambda: value)
    assert refused(plugin, make_pack) == f"probewright_family must return a Family, not {said}"


@pytest.mark.parametrize("error", [ValueError("no\nsuch file"), SystemExit("no\nsuch file")])
def test_a_failing_family_hook_is_one_line(make_pack, error):
    def fail():
        raise error

    reason = refused(make_pack(probewright_family=fail), make_pack)
    assert reason == f"probewright_family raised {type(error).__name__}: no such file"


def test_a_broken_model_is_refused_with_the_record_and_rule(make_pack, make_family):
    reason = refused(make_pack(make_family(id="dim", notice="")), make_pack)
    assert reason == "family 'dim': family: notice is empty"


def test_a_model_that_cannot_be_walked_is_refused(make_pack, make_family, family):
    class Odd(tuple):
        __slots__ = ()

        def __iter__(self):
            raise RuntimeError("no")

    reason = refused(make_pack(make_family(id="dim", cautions=Odd(("x",)))), make_pack)
    assert reason == "cannot be read: RuntimeError: no"


def test_attributes_that_raise_are_survived(make_pack):
    class Odd:
        CONTRACT = "1.0"

        @property
        def probewright_family(self):
            raise OSError("no disk")

    assert refused(Odd(), make_pack) == "cannot be read: OSError: no disk"


def test_duplicates_are_refused_and_the_order_found_does_not_matter(make_pack, make_family):
    given = [
        ("a_lamp", make_pack(make_family(title="A"))),
        ("b_lamp", make_pack(make_family(title="B"))),
        ("c_lamp", make_pack(make_family(title="C"))),
        ("other", make_pack(make_family(id="other"))),
    ]
    results = set()
    for order in itertools.permutations(given):
        registry = load(*order)
        results.add((registry.packs["lamp"].family.title, tuple(registry.packs), registry.refused))
    assert len(results) == 1
    ((title, families, refusals),) = results
    assert (title, families) == ("A", ("lamp", "other"))
    taken = "family 'lamp' is taken by 'a_lamp' of (given) (given)"
    assert [(r.entry_point, r.reason) for r in refusals] == [("b_lamp", taken), ("c_lamp", taken)]


def test_a_broken_pack_takes_no_family(make_pack, make_family):
    registry = load(("a", make_pack(make_family(notice=""))), ("b", make_pack()))
    assert registry.packs["lamp"].entry_point == "b"
    assert [r.entry_point for r in registry.refused] == ["a"]


def test_nothing_loaded_is_an_error(make_pack):
    with pytest.raises(PackError, match=r"no pack could be loaded: nothing is installed in the group"):
        load()
    with pytest.raises(PackError, match=r"no pack could be loaded: bad \(\(given\) \(given\)\): incompatible"):
        load(("bad", make_pack(contract=None)))


def test_strict_refuses_what_lenient_survives(make_pack):
    extra = (("bad", make_pack(contract=None)), ("good", make_pack()))
    assert len(load(*extra).packs) == 1
    with pytest.raises(PackError, match=r"packs were refused: bad .*incompatible"):
        load(*extra, strict=True)
    assert len(load(("good", make_pack()), strict=True).packs) == 1


def test_each_refusal_is_logged(make_pack, caplog):
    with caplog.at_level(logging.WARNING, "probewright.packs.loader"):
        load(("bad", make_pack(contract=None)), ("good", make_pack()))
    (record,) = caplog.records
    assert record.getMessage().startswith("refused pack 'bad' of (given) (given): incompatible: it has no CONTRACT")


# Entry points, from distributions that are really on disk


def install(folder, distribution, version, points, modules):
    info = folder / f"{distribution}-{version}.dist-info"
    info.mkdir(parents=True)
    (info / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {distribution}\nVersion: {version}\n")
    lines = "".join(f"{name} = {target}\n" for name, target in points.items())
    (info / "entry_points.txt").write_text(f"[{GROUP}]\n{lines}")
    for name, text in modules.items():
        (folder / f"{name}.py").write_text(text)


def points_of(folder) -> list[EntryPoint]:
    return [e for d in distributions(path=[str(folder)]) for e in d.entry_points.select(group=GROUP)]


def test_installed_packs_are_named_by_distribution_and_version(tmp_path, monkeypatch, make_pack):
    monkeypatch.syspath_prepend(str(tmp_path))
    install(tmp_path, "broken-packs", "0.3", {"kettle": "pw_test_kettle", "toaster": "pw_test_absent"},
            {"pw_test_kettle": "import pw_test_missing_dependency\n"})  # fmt: skip
    install(tmp_path, "quitting-packs", "4.0", {"iron": "pw_test_iron"}, {"pw_test_iron": "raise SystemExit(1)\n"})
    registry = load_packs(entry_points=points_of(tmp_path), extra=[("lamp", make_pack())])
    assert {(r.entry_point, r.distribution, r.version) for r in registry.refused} == {
        ("kettle", "broken-packs", "0.3"), ("toaster", "broken-packs", "0.3"), ("iron", "quitting-packs", "4.0"),
    }  # fmt: skip
    said = reasons(registry)
    assert said["kettle"].startswith("cannot be imported: ModuleNotFoundError: No module named 'pw_test_missing")
    assert said["toaster"].startswith("cannot be imported: ModuleNotFoundError: No module named 'pw_test_absent'")
    assert said["iron"] == "cannot be imported: SystemExit: 1 (pw_test_iron.py, line 1)"


def test_an_import_that_fails_names_the_authors_lines(tmp_path, monkeypatch):
    """That of the module, and that of the function in which it failed; not those of imports, nor of the service."""
    monkeypatch.syspath_prepend(str(tmp_path))
    helper = "from probewright.packs import uniform\n\n\ndef between(low, high):\n    return uniform(low, high)\n"
    hob = "\nfrom pw_test_numbers import between\n\nWARM = between(1, 2)\n"
    files = {"pw_test_numbers": helper, "pw_test_hob": hob,
             "pw_test_pack": "import pw_test_hob\n", "pw_test_slip": "WARM = (\n"}  # fmt: skip
    install(tmp_path, "hob", "1", {"hob": "pw_test_pack", "slip": "pw_test_slip"}, files)
    with pytest.raises(PackError) as caught:
        load_packs(entry_points=points_of(tmp_path))
    assert "not of 1 (pw_test_hob.py, line 4; pw_test_numbers.py, line 5); slip" in str(caught.value)
    assert str(caught.value).endswith("(pw_test_slip.py, line 1)")


def test_one_entry_point_name_in_two_distributions(tmp_path, monkeypatch):
    """The first by name and distribution that loads has it, however they are found."""
    monkeypatch.syspath_prepend(str(tmp_path))
    module = "from probewright_packs.gas_range import *\nfrom probewright_packs.gas_range import probewright_validate\n"
    install(tmp_path, "b-packs", "1.0", {"range": "pw_test_range_b"}, {"pw_test_range_b": module})
    install(tmp_path, "a-packs", "2.0", {"range": "pw_test_range_a"}, {"pw_test_range_a": module})
    for order in itertools.permutations(points_of(tmp_path)):
        registry = load_packs(entry_points=order)
        assert registry.get("gas_range").distribution == "a-packs"
        assert [(r.distribution, r.reason) for r in registry.refused] == [
            ("b-packs", "the entry-point name is taken by a-packs 2.0")
        ]


def test_an_entry_point_without_a_distribution_is_still_named(make_pack):
    registry = load_packs(entry_points=[EntryPoint("x", "pw_test_absent", GROUP)], extra=[("lamp", make_pack())])
    (refusal,) = registry.refused
    assert (refusal.entry_point, refusal.distribution, refusal.version) == ("x", "(unknown)", "(unknown)")


def test_the_gas_range_is_installed():
    registry = load_packs(strict=True)
    pack = registry.get("gas_range")
    assert (pack.distribution, pack.entry_point) == ("probewright", "gas_range")


def test_the_digest_is_the_same_in_every_process():
    command = "from probewright.packs.loader import load_packs; print(load_packs().get('gas_range').digest)"
    seen = set()
    for seed in ("0", "1"):
        done = subprocess.run(
            [sys.executable, "-c", command], env={"PYTHONHASHSEED": seed}, capture_output=True, text=True, check=True
        )
        seen.add(done.stdout.strip())
    assert seen == {load_packs().get("gas_range").digest}
