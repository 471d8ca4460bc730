"""What one server serves: the shop, who is let in, and the news."""

from dataclasses import dataclass, field, replace
from datetime import date
from typing import TYPE_CHECKING

from starlette.requests import HTTPConnection

from stockroom.page.news.watcher import Latest, News
from stockroom.page.safety.devices import Device, Devices
from stockroom.page.safety.pairing import Codes
from stockroom.page.working import Runs
from stockroom.record.copies import folder_beside
from stockroom.services.record.history import newest
from stockroom.services.record.kept_open import kept_open
from stockroom.services.shop import Shop, for_hand
from stockroom.words.languages import speak

if TYPE_CHECKING:
    from stockroom.page.safety.authority import Authority

__all__ = ["Served", "serve_shop"]

HERE = ("127.0.0.1", "::1")
"""This computer's own addresses: who is at it holds the record itself, and is its owner."""


@dataclass(frozen=True)
class Served:
    """A shop being served: on which hosts, by whose word over https, on which day if not today."""

    shop: Shop
    devices: Devices
    news: News
    hosts: tuple[str, ...]
    authority: "Authority | None" = None
    day: date | None = None
    codes: Codes = field(default_factory=Codes)
    runs: Runs = field(default_factory=Runs)

    @property
    def scheme(self) -> str:
        """How its addresses begin."""
        return "https" if self.authority else "http"

    def device_of(self, connection: HTTPConnection) -> Device | None:
        """The device that asks; None where it was not let in.

        Who sits at this computer, and asks for it by its own name, is its owner.
        """
        token = connection.cookies.get(self.devices.cookie)
        if token:
            return self.devices.known(token)
        host = connection.headers.get("host", "").rsplit(":", 1)[0].strip("[]")
        peer = connection.client.host if connection.client else ""
        if peer in HERE and host in (*HERE, "localhost"):
            return Device(0, self.shop.hand.who, "owner")
        return None

    def newest(self) -> Latest:
        """The newest entry and plan, as a page shows that it knows them."""
        return newest(self.shop)

    def shop_for(self, device: Device, key: str | None = None) -> Shop:
        """The shop as it is now, with this device's hand at the bench; a key records once. Its
        language is spoken from here on."""
        shop = for_hand(self.shop, device.who, self.day, key)
        speak(shop.settings.language)
        return shop


def serve_shop(
    shop: Shop,
    hosts: tuple[str, ...],
    authority: "Authority | None" = None,
    day: date | None = None,
) -> Served:
    """Makes ready to serve a shop; its devices are listed in a file beside its record."""

    shop = replace(shop, engine=kept_open(shop.engine))

    def look() -> Latest:
        return newest(shop)

    devices = Devices(folder_beside(shop.engine, "page") / "devices.json")
    return Served(shop, devices, News(look), hosts, authority, day)
