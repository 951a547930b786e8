"""The way to a scheduler: its address, the certificates, and whether it answers at all."""

from __future__ import annotations

import asyncio
import ssl
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from distributed import Client
    from distributed.security import Security

#: Seconds in which the scheduler must answer.
ANSWERS = 5.0
#: Seconds in which a cluster must have a worker, at the beginning and whenever it has lost all.
PATIENCE = 20.0

_SETTINGS = "the settings distributed.comm.tls of Dask (ca-file, client.cert, client.key)"


class NoClusterError(Exception):
    """The cluster cannot be used; the message says why."""


def connected(address: str) -> Client:
    """A client of the scheduler at an address, with the certificates that Dask's settings name. Raises
    NoClusterError."""
    # Imported late: it is an extra, heavy, and seldom asked for.
    try:
        from distributed import Client  # noqa: PLC0415
    except ImportError as error:
        raise NoClusterError("it needs the extra: pip install 'longneck[cluster]'") from error
    security = _security(address)
    _ask(address, security)
    try:
        return Client(address, security=security, timeout=PATIENCE, set_as_default=False)
    except (OSError, ValueError) as error:
        raise NoClusterError(f"no scheduler answers at {address}") from error


def _security(address: str) -> Security:
    """The certificates, and whether less will do. Raises NoClusterError if they are needed and cannot be used."""
    from distributed.security import Security  # noqa: PLC0415

    try:
        security = Security()
        context = security.get_connection_args("client")["ssl_context"]
    except (OSError, ValueError, ssl.SSLError) as error:
        raise NoClusterError(f"the certificates cannot be used that are named in {_SETTINGS}: {error}") from error
    if address.startswith("tls://") and context is None:
        raise NoClusterError(f"{address} needs certificates: name them in {_SETTINGS}")
    return security


def _ask(address: str, security: Security) -> None:
    """See that a scheduler answers, before a client is made that would go on trying. Raises NoClusterError."""
    from distributed.comm import connect  # noqa: PLC0415
    from distributed.comm.addressing import parse_host_port  # noqa: PLC0415

    async def identity() -> Any:
        comm = await connect(address, timeout=ANSWERS, **security.get_connection_args("client"))
        try:
            await comm.write({"op": "identity", "reply": True})
            return await comm.read()
        finally:
            comm.abort()

    try:
        parse_host_port(address.partition("://")[2] or address)
    except ValueError as error:
        raise NoClusterError(f"“{address}” is not an address such as tls://HOST:PORT") from error
    try:
        answer = asyncio.run(asyncio.wait_for(identity(), ANSWERS))
    except Exception as error:  # what stands behind an address can fail in any way
        raise NoClusterError(f"no scheduler answers at {address}{_because(error)}") from error
    if not isinstance(answer, dict) or answer.get("type") != "Scheduler":
        raise NoClusterError(f"what answers at {address} is not a scheduler")


def _because(error: BaseException | None) -> str:
    """Why, where the certificates are the reason."""
    while error is not None:
        if isinstance(error, ssl.SSLCertVerificationError):
            return f": its certificate is not one that {_SETTINGS} trust"
        if isinstance(error, RuntimeError) and "encryption" in str(error):
            return ": the settings of Dask ask for encryption, and this address has none; use tls://"
        error = error.__cause__ or error.__context__
    return ""
