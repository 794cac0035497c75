"""What goes wrong with files."""

from __future__ import annotations

from probewright.errors import ProbewrightError


class FilesError(ProbewrightError):
    """A file cannot be read or written, or files were named wrongly; one line that names the file."""

    code = "unusable_file"


def reason_of(error: OSError) -> str:
    """What the operating system says, without the file's name."""
    said = error.strerror or " ".join(str(error).split()) or type(error).__name__
    return said[:1].lower() + said[1:]
