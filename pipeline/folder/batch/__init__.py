"""Many pieces: each read, worked on and written by itself, so that no piece can spoil another.

read → Parcel → work (anywhere) → Made → write. The work gets bytes and gives bytes back; reading and writing stay on
this side. So any ``concurrent.futures.Executor`` can do the work: none (one piece after another, in this process),
``Workers`` (guarded processes on this machine), or a cluster that shares no file with us.

Results come in the order of the places, and no more than ``2 × width`` pieces are in memory.

Why own processes instead of a ready-made pool: ``ProcessPoolExecutor`` is lost with the first process that dies, and it
cannot stop one piece. Pebble has time limits but starts ``multiprocessing`` children, which a Dask worker under a nanny
may not have; it is LGPL, and would be a second way beside Dask's. Here a thread asks a plain child over a pipe; the
same child guards a piece on a cluster's worker. The kernel holds the limits (``setitimer``, ``RLIMIT_AS``): they hold
inside C code too, and an orphan ends by itself. The child loads everything before its clock starts; it is replaced
after 500 pieces.
"""

from pipeline.folder.batch.jobs import Crew, Done, Job, Limits, Made, Parcel
from pipeline.folder.batch.leaves import leaves_of
from pipeline.folder.batch.proposing import Proposed, UnknownProposalError, accept_all, propose_all
from pipeline.folder.batch.run import build_all, build_one, check_all, check_one
from pipeline.folder.batch.shares import Share
from pipeline.folder.batch.tidying import tidy_all, tidy_one

__all__ = [
    "Crew",
    "Done",
    "Job",
    "Limits",
    "Made",
    "Parcel",
    "Proposed",
    "Share",
    "UnknownProposalError",
    "accept_all",
    "build_all",
    "build_one",
    "check_all",
    "check_one",
    "leaves_of",
    "propose_all",
    "tidy_all",
    "tidy_one",
]
