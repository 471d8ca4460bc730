"""The server itself: its socket, its limits, its end. The only module that knows uvicorn."""

import asyncio
import socket
from collections.abc import Callable
from typing import TYPE_CHECKING

from stockroom.page.application import application
from stockroom.page.served import Served
from stockroom.refusals import Refused

if TYPE_CHECKING:
    import uvicorn

__all__ = ["PORT", "addresses", "hosts_of", "listening", "names_of", "run", "server_of"]

PORT = 8377
MOST_AT_ONCE = 200
KEEP_ALIVE_SECONDS, GRACE_SECONDS = 15, 2
FAREWELL_SECONDS = 0.3
HEAD_SECONDS = 10.0
"""How long a request's head may take to come; a slower client is dropped."""
MOST_HEADERS = 16 * 1024
ANY = ("0.0.0.0", "::")
UNROUTED = "192.0.2.1"
"""An address kept for documents (RFC 5737): the way there tells our own; nothing is sent."""


def listening(host: str, port: int) -> socket.socket:
    """A socket that listens there.

    Raises:
        Refused: the address is not this computer's, or the port is taken.
    """
    kind = socket.AF_INET6 if ":" in host else socket.AF_INET
    made = socket.socket(kind, socket.SOCK_STREAM)
    try:
        made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        made.bind((host, port))
        made.listen(128)
    except (OSError, OverflowError) as error:
        made.close()
        raise Refused("nothing can be served at {host}, port {port}: {fault}",
                      "is it served already? else choose another --port",
                      host=host, port=str(port), fault=str(error)) from error  # fmt: skip
    return made


def addresses(host: str) -> list[str]:
    """The addresses under which a device finds this computer, the network's first."""
    if host not in ANY:
        return [host]
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as way:
        try:
            way.connect((UNROUTED, 9))
            own = [str(way.getsockname()[0])]
        except OSError:
            own = []
    return [*own, "127.0.0.1"]


def hosts_of(names: list[str], port: int) -> tuple[str, ...]:
    """The Host that each of these names gives, with its port; this computer's own names too."""
    own = [*names, "127.0.0.1", "localhost"]
    return tuple(dict.fromkeys(f"[{n}]:{port}" if ":" in n else f"{n}:{port}" for n in own))


def protocol() -> "type[asyncio.Protocol]":
    """How a request is read: a client that does not end its head in time is let go.

    The server's own limits count from a request on, and a head that drips in never is one.
    """
    import h11
    from uvicorn.protocols.http.h11_impl import H11Protocol

    class Impatient(H11Protocol):
        """Closes a connection whose request has begun, or is awaited, for too long."""

        head: asyncio.TimerHandle | None = None

        def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
            super().connection_made(transport)
            self.wait_for_head()

        def data_received(self, data: bytes) -> None:
            super().data_received(data)
            self.wait_for_head()

        def connection_lost(self, exc: Exception | None) -> None:
            self.stop_waiting()
            super().connection_lost(exc)

        def wait_for_head(self) -> None:
            """Begins to count where a head is awaited, and ends where it is there."""
            if self.conn.their_state is not h11.IDLE:
                self.stop_waiting()
            elif self.head is None:
                self.head = self.loop.call_later(HEAD_SECONDS, self.transport.close)

        def stop_waiting(self) -> None:
            """Counts no more."""
            if self.head is not None:
                self.head.cancel()
            self.head = None

    return Impatient


def names_of(hosts: tuple[str, ...]) -> list[str]:
    """The addresses in these hosts, without their port."""
    return [host.rsplit(":", 1)[0].strip("[]") for host in hosts]


def server_of(served: Served, started: Callable[[], None] | None = None) -> "uvicorn.Server":
    """A server with its limits, which ends at once although streams are open."""
    import uvicorn

    class Server(uvicorn.Server):
        """A server that ends its streams of news before it waits for them."""

        async def startup(self, sockets: list[socket.socket] | None = None) -> None:
            await super().startup(sockets)
            if started is not None:
                started()

        async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
            served.news.close()
            asyncio.get_running_loop().call_later(FAREWELL_SECONDS, self.let_go)
            await super().shutdown(sockets)
            self.let_go()
            await asyncio.sleep(0)

        def let_go(self) -> None:
            """Ends connections that were answered: over https the other end must say goodbye too,
            and a device that sleeps does not."""
            for one in list(self.server_state.connections):
                if one.cycle is None or one.cycle.response_complete:  # type: ignore[union-attr]
                    one.transport.abort()

    config = uvicorn.Config(
        application(served), log_level="warning", access_log=False, server_header=False,
        limit_concurrency=MOST_AT_ONCE, timeout_keep_alive=KEEP_ALIVE_SECONDS,
        timeout_graceful_shutdown=GRACE_SECONDS, h11_max_incomplete_event_size=MOST_HEADERS,
        http=protocol(), ws="none", proxy_headers=False, loop="asyncio",
    )  # fmt: skip
    config.load()
    if served.authority is not None:
        config.ssl = served.authority.context(names_of(served.hosts))
    return Server(config)


def run(served: Served, at: socket.socket, started: Callable[[], None]) -> None:
    """Serves until Ctrl-C."""
    server_of(served, started).run(sockets=[at])
