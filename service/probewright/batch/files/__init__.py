"""Files of cases and of results: NDJSON, CSV and Parquet, compressed or not; streamed, and written whole or not at all.

May import: ``errors``, the schemas.
"""

from probewright.batch.files.errors import FilesError
from probewright.batch.files.items import STANDARD_INPUT, JobLine, Origin
from probewright.batch.files.lines import LONGEST_LINE
from probewright.batch.files.outputs import check_output, sweep
from probewright.batch.files.reading import open_jobs, read_sources
from probewright.batch.files.rejected import BadLines, bad_line
from probewright.batch.files.sources import FORMATS, Source, find_sources
from probewright.batch.files.writing import write_jobs, write_results

__all__ = [
    "FORMATS",
    "LONGEST_LINE",
    "STANDARD_INPUT",
    "BadLines",
    "FilesError",
    "JobLine",
    "Origin",
    "Source",
    "bad_line",
    "check_output",
    "find_sources",
    "open_jobs",
    "read_sources",
    "sweep",
    "write_jobs",
    "write_results",
]
