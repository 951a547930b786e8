"""An existing Dask cluster as an executor. Nothing is shared with it but messages: parcels go there as bytes, artefacts
come back as bytes. Its workers must have the same longneck installed; those that do not are passed over, whenever they
come.

On the cluster too each piece is worked on in a guarded process, so that a piece can neither kill nor block a worker.

The messages are pickles both ways: whoever holds the scheduler or a worker can run code here. So the connection is
made with the certificates of Dask's own settings, and ``tls://`` says that nothing else will do.
"""

from pipeline.folder.batch.cluster.connecting import NoClusterError
from pipeline.folder.batch.cluster.executor import Cluster, OtherVersionError

__all__ = ["Cluster", "NoClusterError", "OtherVersionError"]
