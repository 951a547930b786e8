"""The content of a piece: from its records, and read back from the documents that a build keeps."""

from pipeline.desk.compare.contents.gather import content_of
from pipeline.desk.compare.contents.recall import NotEventsError, NotFindingsError, recall_content, recall_findings

__all__ = ["NotEventsError", "NotFindingsError", "content_of", "recall_content", "recall_findings"]
