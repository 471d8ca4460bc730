"""What all commands share: where the record is, who is at the bench, on which day."""

import getpass
from dataclasses import dataclass
from secrets import token_hex
from typing import TYPE_CHECKING

from stockroom.cli.remedies import measure, tell
from stockroom.words.languages import speak

if TYPE_CHECKING:
    from stockroom.services.shop import Shop

__all__ = ["AtBench", "default_shop", "user_name"]


@dataclass(frozen=True)
class AtBench:
    """Where the shop's record is, who is at the bench, and on which of the shop's days."""

    where: str
    who: str
    day: str | None
    wait: float
    key: str | None = None

    def open(self) -> "Shop":
        """The shop, open.

        Raises:
            NoShop: there is none here, or it cannot be used.
        """
        from stockroom.record.database import Key, Waiting
        from stockroom.services.record.daily import with_daily_backup
        from stockroom.services.shop import open_shop

        waiting = Waiting(self.wait, tell, Key(self.key or token_hex(8)))
        shop = with_daily_backup(open_shop(self.where, self.who, self.day, waiting))
        measure(shop.settings)
        speak(shop.settings.language)
        return shop


def default_shop() -> str:
    """The record in the user's own data folder."""
    from platformdirs import user_data_path

    return str(user_data_path("stockroom") / "shop.db")


def user_name() -> str:
    """Who runs this program, as the machine knows them."""
    try:
        return getpass.getuser()
    except (OSError, KeyError, ImportError):
        return "someone"
