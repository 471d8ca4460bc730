"""The command that follows, from where the shop is: one that does something when it is run."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from stockroom.services.shop import Shop

__all__ = ["after_cutting", "cut_step", "plan_step", "rack_step"]


def plan_step(shop: "Shop") -> str:
    """To plan what waits, on the day by which something is to be cut; else to take a job in."""
    from stockroom.services.now.what_now import next_cut

    day = next_cut(shop)
    if day is None:
        return "stockroom take"
    return "stockroom plan" if day <= shop.hand.day else f"stockroom plan --until {day}"


def cut_step(shop: "Shop") -> str:
    """To cut the accepted plan that waits; else to plan."""
    from stockroom.services.morning.sheets import plan_rows

    waiting = [plan.number for plan in plan_rows(shop, states=("accepted",)) if plan.waiting]
    return f"stockroom cut {waiting[0]}" if waiting else plan_step(shop)


def after_cutting(shop: "Shop") -> str:
    """What follows a plan that is cut."""
    step = cut_step(shop)
    return step if step != "stockroom take" else "stockroom order"


def rack_step(shop: "Shop") -> str:
    """To put something on the rack, where the catalogue has a profile; else to add one, or its
    supplier."""
    from stockroom.services.catalogue.load import profile_rows, supplier_rows

    if profile_rows(shop):
        return ("stockroom receive PROFILE BATCH LENGTH..., or: stockroom "
                "load-rack FILE")  # fmt: skip
    if supplier_rows(shop):
        return "stockroom load-profiles FILE, or: stockroom profile CODE --new"
    return "stockroom load-suppliers FILE, or: stockroom supplier CODE --new"
