"""Where the service is, and the token that it is shown."""

from __future__ import annotations

import re
import warnings
from ipaddress import ip_address
from urllib.parse import urlsplit

from requests import PreparedRequest
from requests.auth import AuthBase


class InsecureTokenWarning(UserWarning):
    """A token goes over the network as clear text."""


class Bearer(AuthBase):
    """Shows a token (RFC 6750).  Keeps it out of what is printed of the client and of its requests.

    As an authentication and not a mere header, it also comes before what a ``.netrc`` file says of the host.
    """

    def __init__(self, token: str) -> None:
        self._token = token

    def __call__(self, prepared: PreparedRequest) -> PreparedRequest:
        """Add the header."""
        prepared.headers["Authorization"] = f"Bearer {self._token}"
        return prepared

    def __repr__(self) -> str:
        return "Bearer(...)"


def checked_address(base_url: str) -> str:
    """The address, without a slash at its end.

    Raises
    ------
    ValueError
        Where it is none.  An address with a name or password in it is not told.
    """
    try:
        parts = urlsplit(base_url)
        parts.port  # noqa: B018  a port that is none is found when it is read
    except ValueError:
        raise ValueError("base_url is no address such as https://diagnoses.example") from None
    if parts.username is not None or parts.password is not None:
        raise ValueError("base_url must not hold a name or a password; give a token")
    if parts.scheme not in ("http", "https") or not parts.hostname:
        raise ValueError(f"base_url must be an address such as https://diagnoses.example, not {base_url!r}")
    if parts.query or parts.fragment:
        raise ValueError("base_url must end with its path: no '?' and no '#'")
    return base_url.rstrip("/")


def bearer(token: str | None, address: str) -> Bearer | None:
    """The token, if there is one; with a warning where others could read it.

    Raises
    ------
    ValueError
        Where it cannot stand in a header; without telling it.
    """
    if token is None:
        return None
    if not re.fullmatch(r"[\x21-\x7e]+", token):
        raise ValueError("token must be of visible ASCII characters, without spaces or line ends")
    parts = urlsplit(address)
    if parts.scheme == "http" and not _loopback(parts.hostname or ""):
        warnings.warn(
            f"the token goes to {parts.hostname} as clear text; use https://", InsecureTokenWarning, stacklevel=3
        )
    return Bearer(token)


def _loopback(host: str) -> bool:
    """Whether it is this machine (RFC 6761 for the name)."""
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return host == "localhost" or host.endswith(".localhost")
