"""pyarrow, for those who asked for it."""

from __future__ import annotations

from importlib import import_module
from types import ModuleType

from probewright.batch.files.errors import FilesError


def load_arrow() -> tuple[ModuleType, ModuleType]:
    """``pyarrow`` and ``pyarrow.parquet``.

    Raises
    ------
    FilesError
        When it is not installed.
    """
    try:
        return import_module("pyarrow"), import_module("pyarrow.parquet")  # loaded only for Parquet
    except ImportError:
        raise FilesError("Parquet needs pyarrow: pip install 'probewright[parquet]'") from None
