"""What the shell completes: the shop's own profiles, jobs, pieces and settings."""

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, Any

from stockroom.refusals import StockroomError

if TYPE_CHECKING:
    from stockroom.services.shop import Shop

__all__ = ["jobs_known", "pieces_known", "profiles_known", "settings_known"]

MOST = 200


def beginning(ctx: Any, typed: str, names: "Callable[[Shop], Iterable[str]]") -> list[str]:
    """The shop's names that begin as typed; none where the shop cannot be read."""
    from stockroom.cli.building.at_bench import default_shop
    from stockroom.services.shop import open_shop

    try:
        shop = open_shop(ctx.find_root().params.get("shop") or default_shop(), "completion")
        hits = [name for name in names(shop) if name.casefold().startswith(typed.casefold())]
    except StockroomError:
        return []
    return hits[:MOST]


def profiles_known(ctx: Any, incomplete: str) -> list[str]:
    """The codes of the catalogue's profiles."""

    def codes(shop: "Shop") -> Iterable[str]:
        from stockroom.services.catalogue.load import profile_rows

        return [profile.code for profile in profile_rows(shop)]

    return beginning(ctx, incomplete, codes)


def jobs_known(ctx: Any, incomplete: str) -> list[str]:
    """The jobs that wait for something."""

    def numbers(shop: "Shop") -> Iterable[str]:
        from stockroom.services.counter.job_list import job_rows

        return [f"J{row.number}" for row in job_rows(shop)]

    return beginning(ctx, incomplete, numbers)


def pieces_known(ctx: Any, incomplete: str) -> list[str]:
    """The numbers of the pieces on the rack."""

    def numbers(shop: "Shop") -> Iterable[str]:
        from stockroom.services.rack.pieces import find

        return [str(piece.id) for piece in find(shop)]

    return beginning(ctx, incomplete, numbers)


def settings_known(incomplete: str) -> list[str]:
    """The names of the settings."""
    from stockroom.settings.typed_settings import explained

    return [name for name in explained() if name.startswith(incomplete)]
