"""The invented workshop on its Monday morning, before the first plan, in a record of its own."""

from datetime import date
from pathlib import Path

from demo.monday import HERE, workshop_settings
from demo.runner import WHO
from stockroom.services.catalogue.load import starter
from stockroom.services.counter.typed_jobs import take_file
from stockroom.services.past.old_book import load_past
from stockroom.services.rack.pieces import Arrival, receive
from stockroom.services.rack.rack_file import load_rack
from stockroom.services.shop import Shop, set_up

__all__ = ["MONDAY", "WHO", "make_workshop"]

MONDAY = date(2026, 11, 23)


def make_workshop(record: Path | str) -> Shop:
    """Sets the workshop up: its catalogue, its rack, Monday's delivery, the week's jobs."""
    given = dict(row.split("=", 1) for row in workshop_settings())
    shop = set_up(str(record), WHO, given, MONDAY, also=starter)
    load_rack(shop, HERE / "rack.csv")
    load_past(shop, HERE / "past.csv")
    receive(shop, "ASH-22", "A118", [Arrival(3_004_000), Arrival(2_998_000)], "A1")
    take_file(shop, HERE / "jobs.csv")
    return shop
