"""Debian's Chromium, spoken to through pipes: what a page asks for, complains of, and looks like.

The messages are those of the DevTools protocol, one JSON document after another, each ended by a zero byte.
"""

from __future__ import annotations

import fcntl
import json
import os
import select
import shutil
import signal
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

CHROMIUM = shutil.which("chromium")
#: Seconds of silence after which a browser counts as hung; no test depends on them otherwise.
PATIENCE = 120
_QUIET = (
    "--headless", "--disable-gpu", "--no-first-run", "--disable-background-networking", "--disable-component-update",
    "--disable-dev-shm-usage", "--disable-extensions", "--remote-debugging-pipe",
)  # fmt: skip


class Browser:
    """One browser with one open tab; ``heard`` are the events of that tab."""

    def __init__(self, reading: int, writing: int) -> None:
        self._reading, self._writing = reading, writing
        self._left, self._number = b"", 0
        self.heard: list[dict[str, Any]] = []
        target = self.ask("Target.createTarget", url="about:blank")["targetId"]
        self._session = self.ask("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
        for domain in ("Page", "Network", "Runtime", "Log"):
            self.tell(f"{domain}.enable")

    def ask(self, method: str, session: str | None = None, **parameters: Any) -> dict[str, Any]:
        """Send a message and wait for its answer."""
        self._number += 1
        message = {"id": self._number, "method": method, "params": parameters}
        os.write(self._writing, json.dumps(message | ({"sessionId": session} if session else {})).encode() + b"\0")
        while True:
            got = self._next()
            if got.get("id") == self._number:
                assert "error" not in got, (method, got["error"])
                return got["result"]
            self.heard.append(got)

    def tell(self, method: str, **parameters: Any) -> dict[str, Any]:
        """The same, to the tab."""
        return self.ask(method, self._session, **parameters)

    def open(self, path: Path, width: int = 1100) -> None:
        """Open a file and wait until it is loaded."""
        self.tell("Emulation.setDeviceMetricsOverride", width=width, height=900, deviceScaleFactor=1, mobile=False)
        self.heard.clear()
        self.tell("Page.navigate", url=path.as_uri())
        while not self.events("Page.loadEventFired"):
            self.heard.append(self._next())

    def value(self, script: str) -> Any:
        """What an expression of JavaScript comes to on the page."""
        told = self.tell("Runtime.evaluate", expression=script, returnByValue=True)
        assert "exceptionDetails" not in told, told
        return told["result"].get("value")

    def events(self, method: str) -> list[dict[str, Any]]:
        """The parameters of all events of one kind since the page was opened."""
        return [event["params"] for event in self.heard if event.get("method") == method]

    def _next(self) -> dict[str, Any]:
        while b"\0" not in self._left:
            ready, _, _ = select.select([self._reading], [], [], PATIENCE)
            more = os.read(self._reading, 1 << 16) if ready else b""
            assert more, "the browser is gone or hangs"
            self._left += more
        message, self._left = self._left.split(b"\0", 1)
        return json.loads(message)


@contextmanager
def browsing(profile: Path) -> Iterator[Browser]:
    """Start a browser of its own, and stop it."""
    assert CHROMIUM is not None, "chromium is not installed"
    to_browser, from_browser = _pipe(), _pipe()
    command = [CHROMIUM, *_QUIET, f"--user-data-dir={profile}", "about:blank"]
    if os.geteuid() == 0:  # its sandbox refuses to work for root
        command.append("--no-sandbox")
    silent = os.open(profile / "log", os.O_WRONLY | os.O_CREAT)
    # It reads messages from descriptor 3 and writes them to 4.
    ends = ((to_browser[0], 3), (from_browser[1], 4), (silent, 1), (silent, 2))
    actions = [(os.POSIX_SPAWN_DUP2, here, there) for here, there in ends]
    process = os.posix_spawn(CHROMIUM, command, dict(os.environ), file_actions=actions, setpgroup=0)
    for end in (to_browser[0], from_browser[1], silent):
        os.close(end)
    try:
        yield Browser(from_browser[0], to_browser[1])
    finally:
        os.killpg(process, signal.SIGKILL)
        os.waitpid(process, 0)
        os.close(from_browser[0])
        os.close(to_browser[1])


def _pipe() -> tuple[int, int]:
    """A pipe whose ends are far from the descriptors that the browser uses."""
    ends = os.pipe()
    moved = tuple(fcntl.fcntl(end, fcntl.F_DUPFD_CLOEXEC, 10) for end in ends)
    for end in ends:
        os.close(end)
    return moved[0], moved[1]
