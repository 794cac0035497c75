"""``probewright serve``: gunicorn, with the packs loaded and compiled before the workers are made."""

from __future__ import annotations

import gc
import logging
import os
import socket
import sys
from collections.abc import Mapping, Sequence
from dataclasses import replace

from gunicorn.app.base import BaseApplication  # type: ignore[import-untyped]

from probewright import engine
from probewright.cli.common import Exit, UnusableError
from probewright.cli.loading import prepared
from probewright.cli.streaming import Application, PatientLogger, Running, bear
from probewright.settings import PREFIX, Settings
from probewright.web import create_app

_SHARED_MEMORY = "/dev/shm"  # noqa: S108  workers touch a file there as a sign of life; a disk may block them
_LOOPBACK = ("127.", "::1", "localhost")

log = logging.getLogger(__name__)


def serve(host: str, port: int, workers: int, threads: int, *, strict: bool, shop: Sequence[str] = ()) -> int:
    """Serve until told to stop."""
    listener = _listen(host, port)
    url = _url(listener)
    registry, settings = prepared(strict, shop)
    settings = _with_streams(settings, threads)
    bear(listener, settings.stream_patience_seconds)
    app = create_app(registry, settings)
    for pack in registry.packs.values():
        engine.warm_up(pack, settings)
    if not host.startswith(_LOOPBACK):
        log.warning("%s is not loopback: put something in front of it that knows who may ask", host)
    running = Running()
    # From here on the socket is gunicorn's, which closes the descriptor that it is given.
    configuration = _configuration(listener.detach(), workers, threads, url) | running.settings()
    _Service(running.around(app), configuration).run()
    return Exit.OK


def _with_streams(settings: Settings, threads: int) -> Settings:
    """Half of the threads are for streams unless the deployment says otherwise; one is always left for the rest."""
    if settings.streams_at_once >= threads:
        raise UnusableError(
            f"{PREFIX}STREAMS_AT_ONCE ({settings.streams_at_once}) must be less than --threads ({threads}): "
            f"streams would leave nobody to answer the rest"
        )
    return replace(settings, streams_at_once=settings.streams_at_once or threads // 2)


def _listen(host: str, port: int) -> socket.socket:
    """Bind here, not in gunicorn, so that a free port is known and a mistake is one line."""
    try:
        family, *_, address = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE)[0]
        return _bound(socket.socket(family, socket.SOCK_STREAM), address)
    except OSError as error:
        raise UnusableError(f"cannot listen on {host}:{port}: {error.strerror or error}") from None


def _bound(listener: socket.socket, address: tuple[object, ...]) -> socket.socket:
    try:
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listener.bind(address)
    except OSError:
        listener.close()
        raise
    return listener


def _url(listener: socket.socket) -> str:
    host, port = listener.getsockname()[:2]
    return f"http://[{host}]:{port}" if ":" in host else f"http://{host}:{port}"


def _configuration(descriptor: int, workers: int, threads: int, url: str) -> dict[str, object]:
    def announce(_: object) -> None:
        # What was loaded lives as long as the process: leave it out of every later collection, so that the workers
        # share its pages and do not walk it.
        gc.collect()
        gc.freeze()
        sys.stdout.write(f"Probewright listens on {url}\n")
        sys.stdout.flush()

    return {
        "bind": f"fd://{descriptor}",
        "workers": workers,
        # Threads wait for clients that are slow or stream; the work is done by one at a time, and workers share it.
        "worker_class": "gthread",
        "threads": threads,
        "logger_class": PatientLogger,
        "preload_app": True,
        "when_ready": announce,
        "loglevel": "warning",
        "proc_name": "probewright",
        "worker_tmp_dir": _SHARED_MEMORY if os.path.isdir(_SHARED_MEMORY) else None,
        "control_socket_disable": True,
    }


class _Service(BaseApplication):  # type: ignore[misc]  # gunicorn has no types
    """Gunicorn around an application that is there already."""

    def __init__(self, app: Application, configuration: Mapping[str, object]) -> None:
        self._app, self._configuration = app, configuration
        super().__init__()

    def load_config(self) -> None:
        for name, value in self._configuration.items():
            if name in self.cfg.settings:  # earlier versions have no control socket to disable
                self.cfg.set(name, value)

    def load(self) -> Application:
        return self._app
