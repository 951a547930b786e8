"""What stands behind a conversation with a text editor: the texts as they are typed over the files as they lie, what
was read of them, and the work that is done elsewhere.

``texts`` puts a piece together from open texts and files; ``work`` is what another process does; ``documents`` knows
for each open text what has been found so far, and which must be read again when another changes.
"""

from pipeline.folder.conversing.documents import Conversation, Document
from pipeline.folder.conversing.work import Whole, propose_parcel, read_parcel

__all__ = ["Conversation", "Document", "Whole", "propose_parcel", "read_parcel"]
