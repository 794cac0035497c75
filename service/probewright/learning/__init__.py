"""What closed jobs teach: fault rates and outcome tables from cases with a proven fault, as a shop's own numbers.

Pure functions: jobs are read (:func:`read_jobs`), learned from (:func:`learn`), and what was learned is told
(:func:`document`, :func:`text`) or written down (:func:`shop_toml`).  Nothing is kept.

May import: ``simulation``, for closed jobs whose truth is known and for its statistics; ``engine`` and what is below.
"""

from probewright.learning.jobs import BadLine, Job, JobFile, TooManyJobsError, read_jobs
from probewright.learning.learned import Learned, Plan, learn
from probewright.learning.report import document, text
from probewright.learning.split import TooFewJobsError
from probewright.learning.written import shop_toml

__all__ = [
    "BadLine", "Job", "JobFile", "Learned", "Plan", "TooFewJobsError", "TooManyJobsError", "document", "learn",
    "read_jobs", "shop_toml", "text",
]  # fmt: skip
