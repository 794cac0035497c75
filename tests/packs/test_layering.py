"""Layers over loaded packs: overlay packs in the order of their names, then shop files; all of a layer or nothing."""

from __future__ import annotations

from dataclasses import dataclass, field
from types import SimpleNamespace

import pytest

from packs.test_loader import install, points_of
from probewright.errors import PackError
from probewright.figures import shop
from probewright.packs import hookimpl
from probewright.packs.digest import digest
from probewright.packs.loader import load_packs, survey
from probewright.packs.model import Complaint
from probewright.packs.overlay import Overlay, ShopCautions, ShopCosts, ShopMinutes
from probewright.packs.registry import Layer
from probewright.packs.shopfile import ShopFileError


def load(*extra, **more):
    return load_packs(entry_points=(), extra=extra, **more)


def overlay_pack(*overlays, **hooks):
    """A pack that registers no family."""
    given = {"probewright_overlays": lambda: list(overlays)} | hooks
    return SimpleNamespace(CONTRACT="1.1", **{name: hookimpl(hook) for name, hook in given.items()})


@dataclass(frozen=True)
class Odd(Complaint):
    """A record that is more than it should be."""

    more: object = field(default_factory=object)


def rates(layer, **named):
    return Overlay(layer, "lamp", fault_rates={fault: shop(rate) for fault, rate in named.items()})


def rate_of(registry, fault):
    return next(f.rate for f in registry.get("lamp").family.faults if f.id == fault)


@pytest.fixture
def shop_file(tmp_path):
    def write(text, name="shop.toml"):
        path = tmp_path / name
        path.write_text(text, encoding="utf-8")
        return str(path)

    return write


def reasons(registry):
    return {refusal.entry_point: refusal.reason for refusal in registry.refused}


# Precedence


def test_overlay_packs_lie_in_the_order_of_their_names_and_shop_files_over_them(make_pack, shop_file):
    first = overlay_pack(rates("one", filament_open=0.1, filament_weak=0.1))
    second = overlay_pack(rates("two", filament_open=0.2))
    mine = shop_file('layer = "mine"\n[families.lamp]\nfault_rates.filament_open = 0.3')
    over = shop_file('layer = "over"\n[families.lamp]\nfault_rates.filament_open = 0.4', "other.toml")
    given = (("z_lamp", make_pack()), ("b", second), ("a", first))
    told = {
        (): (0.2, "two"), (mine,): (0.3, "mine"), (mine, over): (0.4, "over"), (over, mine): (0.3, "mine"),
    }  # fmt: skip
    for files, expected in told.items():
        registry = load(*given, shop_files=files)
        rate = rate_of(registry, "filament_open")
        assert (rate, rate.layer) == expected
        assert rate_of(registry, "filament_weak").layer == "one"
    assert [layer.name for layer in registry.layers] == ["one", "two", "over", "mine"]
    assert registry.get("lamp").layers == registry.layers
    assert registry.refused == ()


def test_a_pack_knows_what_lies_over_it(make_pack, family, shop_file):
    registry = load(("lamp", make_pack()), ("numbers", overlay_pack(rates("one", filament_open=0.1))),
                    shop_files=[shop_file('[families.lamp]\nunknown_rate = 0.02', "north_street.toml")])  # fmt: skip
    pack = registry.get("lamp")
    assert pack.layers == (
        Layer("one", "overlay_pack", ("lamp",), "numbers", "(given)", "(given)"),
        Layer("north_street", "shop_file", ("lamp",)),
    )
    assert pack.digest == digest(pack.family) != digest(family)
    assert pack.identity.digest == pack.digest


def test_an_installed_pack_of_overlays_is_named_by_distribution_and_version(tmp_path, monkeypatch, make_pack):
    monkeypatch.syspath_prepend(str(tmp_path))
    text = """
from probewright.packs import Overlay, hookimpl, shop

CONTRACT = "1.1"


@hookimpl
def probewright_overlays():
    return [Overlay("installed", "lamp", fault_rates={"filament_open": shop(0.11)})]
"""
    install(tmp_path, "north-street-numbers", "3.0", {"numbers": "pw_test_street"}, {"pw_test_street": text})
    registry = load_packs(entry_points=points_of(tmp_path), extra=[("lamp", make_pack())], strict=True)
    assert registry.layers == (
        Layer("installed", "overlay_pack", ("lamp",), "numbers", "north-street-numbers", "3.0"),
    )
    assert rate_of(registry, "filament_open") == 0.11


def test_layers_that_say_the_same_keep_the_digest(make_pack, family):
    plain = load(("lamp", make_pack()))
    again = Overlay("same", "lamp", fault_rates={f.id: f.rate for f in family.faults})
    laid = load(("lamp", make_pack()), ("numbers", overlay_pack(again)))
    assert laid.get("lamp").digest == plain.get("lamp").digest
    assert rate_of(laid, "filament_open").layer == "same"


def test_hooks_of_the_family_stay_its_own(make_pack):
    registry = load(("lamp", make_pack(probewright_validate=lambda context: [])),
                    ("numbers", overlay_pack(rates("one", filament_open=0.1))))  # fmt: skip
    assert registry.get("lamp").validators is not None


def test_one_pack_may_lay_several_layers_over_several_families(make_pack, make_family):
    lantern = make_family(id="lantern")
    several = overlay_pack(rates("one", filament_open=0.1), rates("two", filament_open=0.2),
                           Overlay("one", "lantern", costs=ShopCosts(callback=shop(7.0))))  # fmt: skip
    registry = load(("lamp", make_pack()), ("lantern", make_pack(lantern)), ("numbers", several))
    assert [(layer.name, layer.families) for layer in registry.layers] == [("one", ("lamp", "lantern")),
                                                                          ("two", ("lamp",))]  # fmt: skip
    assert [layer.name for layer in registry.get("lantern").layers] == ["one"]
    assert rate_of(registry, "filament_open") == 0.2


# What is refused


def refused(*packs, make_pack):
    """Why the first pack is refused; the family loads without anything of it."""
    names = [f"pack_{i}" for i in range(len(packs))]
    registry = survey(entry_points=(), extra=[("lamp", make_pack()), *zip(names, packs, strict=True)])
    plain = load(("lamp", make_pack()))
    assert registry.get("lamp").digest == plain.get("lamp").digest
    return reasons(registry)[names[0]]


def test_what_is_unknown_is_refused_by_name_and_nothing_of_the_pack_is_laid(make_pack):
    broken = overlay_pack(
        rates("one", filament_weak=0.2), Overlay("two", "lamp", minutes=ShopMinutes(tests={"glew": shop(1.0)})),
        Overlay("two", "lmp"), rates("three", filament_opn=0.1),
    )  # fmt: skip
    assert refused(broken, make_pack=make_pack) == (
        "layer 'two' over family 'lamp': minutes.tests: test 'glew' does not exist; did you mean 'glow'?; "
        "layer 'two' over family 'lmp': no loaded pack has this family; did you mean 'lamp'?; "
        "layer 'three' over family 'lamp': fault_rates: fault 'filament_opn' does not exist; "
        "did you mean 'filament_open'?"
    )


@pytest.mark.parametrize(
    ("pack", "told"),
    [
        (overlay_pack(), "probewright_overlays must return a sequence of Overlay, not []"),
        (overlay_pack(probewright_overlays=lambda: rates("one")), "must return a sequence of Overlay, not Overlay("),
        (overlay_pack(probewright_overlays=lambda: "one"), "must return a sequence of Overlay, not 'one'"),
        (overlay_pack(probewright_overlays=lambda: None), "must return a sequence of Overlay, not None"),
        (overlay_pack(rates("one"), 3), "probewright_overlays must return overlays, not 3"),
        (overlay_pack(probewright_overlays=lambda: 1 / 0), "probewright_overlays raised ZeroDivisionError"),
        (overlay_pack(rates("pack")), "the name is reserved"),
        (overlay_pack(rates("one"), rates("one")), "layer 'one': lies over family 'lamp' twice"),
        (overlay_pack(rates("one"), probewright_validate=lambda context: []),
         "probewright_overlays stands alone, but it has probewright_validate too: give each an entry point"),
        (SimpleNamespace(CONTRACT="1.1", probewright_overlays=lambda: [rates("one")]),
         "it lacks the required hook probewright_family; it has a function probewright_overlays, not marked"),
        (SimpleNamespace(CONTRACT="2.0", probewright_overlays=hookimpl(lambda: [rates("one")])), "incompatible"),
        (overlay_pack(Overlay("one", "lamp", fault_rates={"filament_open": 0.1})), "0.1 carries no basis"),
        (overlay_pack(Overlay("one", "lamp", cautions=ShopCautions((3,)))), "family[0]: holds a int; expected str"),
        (overlay_pack(Overlay("one", "lamp", effects=({},))), "effects[0]: holds a dict; expected Effects"),
        (overlay_pack(Overlay("one", "lamp", complaints=(Odd("odd", "Odd", shop(0.1), "lights", shop(0.2)),))),
         "cannot be laid: PackModelError"),
    ],
)  # fmt: skip
def test_packs_that_keep_no_promise_are_refused(pack, told, make_pack):
    assert told in refused(pack, make_pack=make_pack)


def test_a_pack_has_a_family_or_overlays(make_pack, make_family):
    both = make_pack(make_family(id="lantern"), probewright_overlays=lambda: [rates("one", filament_open=0.1)])
    registry = load(("both", both), ("lamp", make_pack()))
    assert list(registry.packs) == ["lamp"]
    assert reasons(registry)["both"] == (
        "probewright_overlays stands alone, but it has probewright_family too: give each an entry point"
    )


def test_a_name_of_a_layer_is_taken_once(make_pack, shop_file):
    packs = (("lamp", make_pack()), ("a", overlay_pack(rates("one", filament_open=0.1))))
    registry = load(*packs, ("b", overlay_pack(rates("one", filament_open=0.2))))
    assert reasons(registry) == {"b": "layer 'one': the name is taken by another layer"}
    assert rate_of(registry, "filament_open") == 0.1
    with pytest.raises(ShopFileError, match="layer 'one': the name is taken by another layer"):
        load(*packs, shop_files=[shop_file("[families.lamp]\nunknown_rate = 0.02", "one.toml")])


def test_a_name_of_an_entry_point_is_taken_once(make_pack):
    registry = load(("a", make_pack()), ("b", overlay_pack(rates("one", filament_open=0.1))),
                    ("b", overlay_pack(rates("two", filament_open=0.2))),
                    ("a", overlay_pack(rates("three"))))  # fmt: skip
    assert sorted(reasons(registry)) == ["a", "b"]
    assert all("the entry-point name is taken" in reason for reason in reasons(registry).values())
    assert len(registry.layers) == 1


def test_strict_fails_on_a_refused_overlay_pack(make_pack):
    with pytest.raises(PackError, match=r"packs were refused: numbers .*fault 'filament_opn' does not exist"):
        load(("lamp", make_pack()), ("numbers", overlay_pack(rates("one", filament_opn=0.1))), strict=True)


def test_overlays_alone_are_no_packs(make_pack):
    with pytest.raises(PackError, match=r"no pack could be loaded: numbers .*no loaded pack has this family"):
        load(("numbers", overlay_pack(rates("one", filament_open=0.1))))


def test_a_broken_shop_file_is_told_with_the_path_of_each_key(make_pack, shop_file):
    path = shop_file("[families.lamp]\nfault_rates = {filament_opn = 0.1, filament_open = 0}\nvan = ['bulp']\n"
                     "[families.lmp]\n")  # fmt: skip
    with pytest.raises(ShopFileError) as caught:
        load(("lamp", make_pack()), shop_files=[path])
    assert str(caught.value) == (
        f"shop file {path}: 4 mistakes: families.lamp.fault_rates: fault 'filament_opn' does not exist; did you mean "
        "'filament_open'?; families.lamp: fault filament_open: rate is 0.0; it must lie strictly between 0 and 1; "
        "families.lamp.van: part 'bulp' does not exist; did you mean 'bulb'?; "
        "families.lmp: no loaded pack has this family; did you mean 'lamp'?"
    )
