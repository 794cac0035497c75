"""What a re-evaluation comes to, as one page for those who decide what to do about it."""

from probewright.batch.report.about import About
from probewright.batch.report.page import report_page

__all__ = ["About", "report_page"]
