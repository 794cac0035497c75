"""What authors of packs test with: a conformance suite, a client, sample cases, and assertions that explain.

In a test module of a pack::

    from probewright.testing import PackConformance, assert_leads, assert_next

    import ice_maker

    class TestIceMaker(PackConformance):
        pack = ice_maker

    def test_a_cold_mould_with_an_open_heater(probewright_client):
        client = probewright_client(ice_maker)
        answer = client.diagnose({
            "complaints": ["ice_stays"],
            "readings": [{"test": "heater_resistance", "over_range": True}],
        })
        assert_leads(answer, "heater_open", at_least=0.9)
        assert_next(answer, "repair", "replace_mould")

The fixtures ``probewright_client`` and ``probewright_cases`` come from a pytest plugin that is installed with the
service.  Nothing here is imported before it is used, so that the plugin costs other test suites nothing.

May import: everything of the service but ``cli``.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from probewright.testing.asserting import (
        assert_hazard,
        assert_leads,
        assert_next,
        assert_ruled_out,
        assert_verdict,
        explain,
    )
    from probewright.testing.clients import Client, client
    from probewright.testing.conformance import AmbiguityWarning, Conformance, PackConformance, check_conformance
    from probewright.testing.samples import sample_cases

__all__ = [
    "AmbiguityWarning", "Client", "Conformance", "PackConformance", "assert_hazard", "assert_leads", "assert_next",
    "assert_ruled_out", "assert_verdict", "check_conformance", "client", "explain", "sample_cases",
]  # fmt: skip

_HOME = {
    "AmbiguityWarning": "conformance", "Client": "clients", "Conformance": "conformance",
    "PackConformance": "conformance", "check_conformance": "conformance", "client": "clients",
    "sample_cases": "samples",
}  # fmt: skip


def __getattr__(name: str) -> object:
    """Import what is asked for (PEP 562)."""
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_HOME.get(name, 'asserting')}"), name)


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
