"""Many pieces: each read, worked on and written by itself, so that no piece can spoil another.

read → Parcel → work (anywhere) → Made → write. The work gets bytes and gives bytes back; reading and writing stay on
this side. So any ``concurrent.futures.Executor`` can do the work: none (one piece after another, in this process),
``Workers`` (guarded processes on this machine), or a cluster that shares no file with us.
"""

from pipeline.folder.batch.jobs import Crew, Done, Job, Limits, Made, Parcel
from pipeline.folder.batch.proposing import Proposed, UnknownProposalError, accept_all, propose_all
from pipeline.folder.batch.run import build_all, build_one, check_all, check_one
from pipeline.folder.batch.tidying import tidy_all, tidy_one

__all__ = [
    "Crew",
    "Done",
    "Job",
    "Limits",
    "Made",
    "Parcel",
    "Proposed",
    "UnknownProposalError",
    "accept_all",
    "build_all",
    "build_one",
    "check_all",
    "check_one",
    "propose_all",
    "tidy_all",
    "tidy_one",
]
