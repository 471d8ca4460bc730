"""What the tests of the page stand on: a served shop, and the browser of the system.

The server runs in a thread of the test's own process, over a real record; the browser is real.
"""

import os
import shutil
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import NoReturn

import httpx
import pytest

from stockroom.page.safety.authority import Authority
from stockroom.page.served import Served, serve_shop
from stockroom.page.server import hosts_of, listening, server_of
from stockroom.services.shop import Shop

__all__ = ["SIZES", "TABLET", "Open", "browser_file", "not_tried", "serving"]

SIZES = ((1024, 768), (800, 1280), (390, 844))
"""A tablet across and upright, and a phone, in CSS pixels."""
TABLET = "127.0.0.2"
"""Another address of this computer: who asks for it is no longer taken for the owner here."""
NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
PLACES = ("PLAYWRIGHT_BROWSERS_PATH", "~/.cache/ms-playwright")


def browser_file() -> str | None:
    """The browser of the system, or "" for one that Playwright installed; None where none is."""
    if own := next((found for name in NAMES if (found := shutil.which(name))), None):
        return own
    folder = Path(os.environ.get(PLACES[0]) or Path(PLACES[1]).expanduser())
    return "" if any(folder.glob("chromium*/*/*")) else None


@dataclass(frozen=True)
class Open:
    """A shop being served: where, and what is behind it."""

    served: Served
    port: int

    @property
    def here(self) -> str:
        """The address of this computer, whose user is the owner."""
        return f"{self.served.scheme}://127.0.0.1:{self.port}"

    @property
    def tablet(self) -> str:
        """The address for another device."""
        return f"{self.served.scheme}://{TABLET}:{self.port}"

    def ask(self, method: str, path: str, **more: object) -> httpx.Response:
        """One request of this computer's own, as its page would send it."""
        headers = {"Origin": self.here, **more.pop("headers", {})}  # type: ignore[dict-item]
        return httpx.request(method, f"{self.here}{path}", headers=headers, timeout=30,
                             **more)  # type: ignore[arg-type]  # fmt: skip


@contextmanager
def serving(shop: Shop, port: int = 0, authority: Authority | None = None) -> Iterator[Open]:
    """Serves a shop in a thread until the end of the block."""
    at = listening("0.0.0.0", port)
    port = at.getsockname()[1]
    served = serve_shop(shop, hosts_of([TABLET], port), authority, shop.hand.day)
    started = threading.Event()
    server = server_of(served, started.set)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [at]})
    thread.start()
    try:
        assert started.wait(20)
        yield Open(served, port)
    finally:
        server.should_exit = True
        thread.join(20)
        assert not thread.is_alive()


def not_tried(said: str) -> NoReturn:
    """Says that a browser is missing: fails in the gate, which installs all and insists on them.

    Elsewhere the test is passed over, and says so: on a fresh machine the README's command can
    install what is in Python's index, but no program of the system; all the rest is still tried.
    """
    if os.environ.get("STOCKROOM_BROWSER") == "insist":
        pytest.fail(said)
    pytest.skip(said)
