"""The wire between a command and a server under our hand: it may fall silent at any message."""

import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress

__all__ = ["Wire", "wire_to"]

CHUNK = 65_536


class Wire:
    """Carries what is said both ways, until it falls silent: nothing is refused, nothing comes.

    ``asked`` counts what the client sent, piece by piece. At the one of number ``silent_at`` it
    falls silent, after that was carried where ``carried``, and stays so until it is ``mended``.
    """

    def __init__(self, path: str) -> None:
        self.path = path
        self.mended()
        self.listening = socket.create_server(("127.0.0.1", 0))
        self.port: int = self.listening.getsockname()[1]
        self.open: list[socket.socket] = []
        threading.Thread(target=self.accept, daemon=True).start()

    def mended(self, silent_at: int = 0, *, carried: bool = False) -> None:
        """All is carried again, for the connections that are opened from now on."""
        self.asked, self.silent_at, self.carried = 0, silent_at, carried
        self.silent = threading.Event()

    def accept(self) -> None:
        """Takes connections in, each of which keeps what holds of it now."""
        with suppress(OSError):
            while True:
                client, _ = self.listening.accept()
                server = socket.socket(socket.AF_UNIX)
                server.connect(self.path)
                self.open += client, server
                for one, other in ((client, server), (server, client)):
                    told = one, other, self.silent, one is client
                    threading.Thread(target=self.carry, args=told, daemon=True).start()

    def carry(
        self, one: socket.socket, other: socket.socket, silent: threading.Event, asks: bool
    ) -> None:
        """Carries what one side says to the other; that it has hung up too."""
        with suppress(OSError):
            while said := one.recv(CHUNK):
                if asks and silent is self.silent:
                    self.asked += 1
                    if self.asked == self.silent_at:
                        silent.set()
                        if self.carried:
                            other.sendall(said)
                if not silent.is_set():
                    other.sendall(said)
            if not silent.is_set() or asks:
                other.shutdown(socket.SHUT_WR)

    def close(self) -> None:
        """Hangs up."""
        for one in (self.listening, *self.open):
            one.close()


@contextmanager
def wire_to(path: str) -> Iterator[Wire]:
    """A wire to the server that listens at a path."""
    wire = Wire(path)
    try:
        yield wire
    finally:
        wire.close()
