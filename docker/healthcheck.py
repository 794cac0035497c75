"""Ask the service whether it is ready: ``healthcheck.py [URL]``.  Exit code 0 for yes, 1 for no.

Standard library only, so that it runs in the smallest image and starts fast.
"""

from __future__ import annotations

import http.client
import sys
from urllib.parse import urlsplit

TIMEOUT_S = 2.0
#: Where the image's own service listens.
USUAL = "http://127.0.0.1:8080/health/ready"


def ready(url: str, timeout: float = TIMEOUT_S) -> tuple[bool, str]:
    """Whether ``url`` answers 200 in time, and what it said otherwise."""
    parts = urlsplit(url)
    if parts.scheme != "http" or parts.hostname is None:
        return False, f"not an http address: {url}"
    connection = http.client.HTTPConnection(parts.hostname, parts.port or 80, timeout=timeout)
    try:
        connection.request("GET", parts.path or "/")
        status = connection.getresponse().status
    except (OSError, http.client.HTTPException) as error:
        return False, f"{url}: {error or type(error).__name__}"
    finally:
        connection.close()
    return status == http.client.OK, f"{url}: HTTP {status}"


def main(arguments: list[str]) -> int:
    """Run as a command."""
    if len(arguments) > 1:
        sys.stderr.write("usage: healthcheck.py [URL]\n")
        return 1
    good, said = ready(arguments[0] if arguments else USUAL)
    if not good:
        sys.stderr.write(f"not ready: {said}\n")
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
