"""The content of a piece: from its records, and read back from the documents that a build keeps."""

from pipeline.stages.contents.gather import content_of
from pipeline.stages.contents.recall import NotEventsError, NotFindingsError, recall_content, recall_findings

__all__ = ["NotEventsError", "NotFindingsError", "content_of", "recall_content", "recall_findings"]
