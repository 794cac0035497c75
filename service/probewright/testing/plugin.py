"""The pytest plugin: fixtures for tests of packs.

It is loaded in every run of pytest in whose environment the service is installed, so it imports nothing of it until a
fixture is asked for.  ``-p no:probewright`` leaves it out.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from probewright.testing.clients import Client


@pytest.fixture(scope="session")
def probewright_client() -> Callable[..., Client]:
    """Make clients of the service with the given packs and no others.

    Examples
    --------
    >>> def test_without_readings(probewright_client):
    ...     answer = probewright_client(ice_maker).diagnose({"complaints": ["no_ice"]})
    ...     assert_leads(answer, "water_shut_off")
    """
    from probewright.testing.clients import client  # noqa: PLC0415  loads the engine

    return client


@pytest.fixture(scope="session")
def probewright_cases() -> Callable[..., Mapping[str, dict[str, Any]]]:
    """Draw a case of each fault of a pack: see :func:`probewright.testing.sample_cases`.

    Examples
    --------
    >>> def test_cases_are_answered(probewright_client, probewright_cases):
    ...     client = probewright_client(ice_maker)
    ...     for fault, case in probewright_cases(ice_maker).items():
    ...         assert fault in {found["fault"] for found in client.diagnose(case)["faults"]}
    """
    from probewright.testing.samples import sample_cases  # noqa: PLC0415  loads the engine

    return sample_cases
