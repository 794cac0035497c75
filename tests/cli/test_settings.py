from __future__ import annotations

import dataclasses
import os

import pytest

from probewright.settings import PREFIX, Settings, SettingsError


def read(**variables):
    return Settings.from_environment({PREFIX + name: value for name, value in variables.items()})


def test_defaults():
    assert read() == Settings()
    assert Settings().thresholds.within == 0.95
    assert Settings().thresholds.outside == 0.05


def test_every_setting_has_its_variable():
    given = {"VERDICT_WITHIN": "0.9", "VERDICT_OUTSIDE": "0.1", "MISREAD_RATE": "0.02", "MAX_BODY_BYTES": "4096",
             "STRICT_PACKS": "yes", "SHOP_FILES": os.pathsep.join(("shop.toml", "", "more/shop.toml")),
             "STREAM_PATIENCE_SECONDS": "2.5", "STREAMS_AT_ONCE": "3"}  # fmt: skip
    assert set(given) == {f.name.upper() for f in dataclasses.fields(Settings)}
    assert read(**given) == Settings(0.9, 0.1, 0.02, 4096, True, ("shop.toml", "more/shop.toml"), 2.5, 3)


@pytest.mark.parametrize(
    ("text", "value"), [("1", True), ("TRUE", True), (" yes ", True), ("0", False), ("no", False), ("", False)]
)
def test_switches(text, value):
    assert read(STRICT_PACKS=text).strict_packs is value


def test_other_variables_are_left_alone():
    assert read(LOG_LEVEL="x") == Settings()
    assert Settings.from_environment({"HOME": "/", "VERDICT_WITHIN": "x"}) == Settings()


@pytest.mark.parametrize(
    ("name", "text", "said"),
    [
        ("VERDICT_WITHIN", "often", "must be a number, not 'often'"),
        ("VERDICT_WITHIN", "nan", "must be less than"),
        ("VERDICT_WITHIN", "1.5", "must be less than"),
        ("VERDICT_WITHIN", "0.01", "must be less than"),
        ("VERDICT_OUTSIDE", "-0.1", "must be less than"),
        ("MISREAD_RATE", "0", "must lie between 0 and 0.5"),
        ("MISREAD_RATE", "0.5", "must lie between 0 and 0.5"),
        ("MAX_BODY_BYTES", "1e6", "must be a whole number, not '1e6'"),
        ("MAX_BODY_BYTES", "100", "must be at least 1024"),
        ("STREAM_PATIENCE_SECONDS", "0", "must lie between 0.1 and 86400"),
        ("STREAM_PATIENCE_SECONDS", "nan", "must lie between 0.1 and 86400"),
        ("STREAMS_AT_ONCE", "-1", "must not be less than 0"),
        ("STRICT_PACKS", "maybe", "must be true or false, not 'maybe'"),
    ],
)
def test_what_cannot_be_is_refused_by_name(name, text, said):
    with pytest.raises(SettingsError) as caught:
        read(**{name: text})
    assert PREFIX + name in str(caught.value)
    assert said in str(caught.value)
