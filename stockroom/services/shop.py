"""Setting the shop up and opening it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, timedelta, tzinfo
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from sqlalchemy import Engine
from sqlmodel import Session, col, select

from stockroom.facts import Fact
from stockroom.record import schema
from stockroom.record.database import Key, Waiting, changing, engine_for, reading
from stockroom.record.ledger import Hand, post
from stockroom.record.tables import Entry
from stockroom.settings import shop_settings as settings
from stockroom.settings.machines import MACHINE, on_machine
from stockroom.settings.shop_settings import Settings
from stockroom.settings.typed_settings import with_setting
from stockroom.settings.usual_machine import check_machine
from stockroom.units.dates import parse_day

__all__ = [
    "Shop", "change_setting", "for_hand", "open_shop", "set_up", "shop_time", "under_key",
    "zone_of",
]  # fmt: skip


SKEW = timedelta(minutes=2)
"""What the clocks of a shop's computers may be apart."""


@dataclass(frozen=True)
class Shop:
    """An open shop: its database, its settings, and who is at the bench on which day.

    ``machine`` is the one that all is cut on now, whichever the profiles go to.
    """

    engine: Engine
    settings: Settings
    hand: Hand
    waiting: Waiting = field(default_factory=Waiting)
    machine: str = ""

    def day(self, typed: str, *, past: bool = False) -> date:
        """A day as it is typed in this shop; ``past`` where it has been rather than is to come.

        Raises:
            Unreadable: it is no day.
        """
        return parse_day(typed, self.hand.day, day_first=self.settings.day_first, past=past)


def today_in(timezone: str) -> date:
    """The shop's own day, now; by UTC where this computer does not know the shop's time zone."""
    return datetime.now(zone_of(timezone)).date()


def zone_of(timezone: str) -> tzinfo:
    """A time zone by its name; UTC where this computer lacks it."""
    try:
        return ZoneInfo(timezone)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return UTC


def the_day(told: date | str | None, chosen: Settings) -> date:
    """The day to act on: as told, or the shop's own.

    Raises:
        Unreadable: what was typed is no day.
    """
    today = today_in(chosen.timezone)
    if isinstance(told, str):
        return parse_day(told, today, day_first=chosen.day_first)
    return told or today


def shop_time(session: Session, at: datetime) -> str:
    """A moment by the shop's clock, with its zone: 2026-11-23 10:40 CET."""
    zone = zone_of(settings.load(session).timezone)
    return f"{at.astimezone(zone):%Y-%m-%d %H:%M %Z}"


def open_shop(
    where: str, who: str, day: date | str | None = None, waiting: Waiting | None = None
) -> Shop:
    """Opens a shop's record, brought up to date where it is older.

    Raises:
        NoShop: there is none here, or it cannot be read, or is newer than this program.
    """
    engine = engine_for(where)
    waiting = waiting or Waiting()
    kept = schema.ensure_current(engine)
    if kept is not None and waiting.tell is not None:
        waiting.tell(Fact("record_brought_up", {"kept": str(kept)}))
    now = datetime.now(UTC)
    with reading(engine) as session:
        chosen = settings.load(session)
        if waiting.tell is not None and (said := clock_behind(session, now)):
            waiting.tell(said)
    return Shop(engine, chosen, Hand(who, the_day(day, chosen), now), waiting)


def clock_behind(session: Session, now: datetime) -> Fact | None:
    """What is so where this computer's clock runs behind what is written."""
    last = session.exec(select(Entry).order_by(col(Entry.id).desc()).limit(1)).first()
    if last is None or now >= last.at - SKEW:
        return None
    return Fact("clock_runs_behind", {"now": shop_time(session, now), "entry": last.id,
                                      "at": shop_time(session, last.at)})  # fmt: skip


def for_hand(shop: Shop, who: str, day: date | None = None, key: str | None = None) -> Shop:
    """The shop for another hand, now: its settings as they stand, its own day unless told.

    What it records is recorded once under its own ``key``, if it has one: never under that of
    the command that opened the shop.

    Raises:
        Unreadable: it is no key.
    """
    with reading(shop.engine) as session:
        chosen = settings.load(session)
    hand = Hand(who, day or today_in(chosen.timezone), datetime.now(UTC))
    waiting = replace(shop.waiting, tell=None, key=None if key is None else Key(key))
    return replace(shop, settings=chosen, hand=hand, waiting=waiting)


def under_key(shop: Shop, key: str) -> Shop:
    """The shop for one command under its own key, so that it is recorded once though repeated.

    Raises:
        Unreadable: it is no key.
    """
    return replace(shop, waiting=replace(shop.waiting, key=Key(key)))


def set_up(
    where: str,
    who: str,
    given: Mapping[str, str],
    day: date | str | None = None,
    waiting: Waiting | None = None,
    also: Callable[[Session, "Shop"], None] | None = None,
) -> Shop:
    """Makes a new shop's record with these settings, and what ``also`` puts in: all or nothing.

    Raises:
        Refused: there is one already.
        Unknown, Unreadable: a setting is not understood; nothing is made.
    """
    chosen = Settings()
    for name, typed in sorted(given.items(), key=lambda pair: pair[0] != "unit"):
        chosen = with_setting(chosen, name, typed)
        check_machine(chosen, name)
    # A new shop has one machine, whatever it is called.
    chosen = replace(chosen, machines=Settings().machines)
    engine = engine_for(where)
    shop = Shop(engine, chosen, Hand(who, the_day(day, chosen)), waiting or Waiting())

    def fill(session: Session) -> None:
        settings.store(session, chosen)
        post(session, shop.hand, "setup", touches=[("shop", "settings")], detail=dict(given))
        if also is not None:
            also(session, shop)

    schema.create(engine, fill)
    return shop


def change_setting(
    shop: Shop, name: str, typed: str, machine: str | None = None, *, odd: bool = False
) -> Settings:
    """Changes one setting, of another machine if one is named; gives what is in use then.

    The entry says what it was and what it is.
    """
    with changing(shop.engine, shop.waiting) as session:
        now = settings.load(session)
        before = now if machine is None else on_machine(now, machine)
        after = with_setting(before, name, typed)
        if not odd:
            check_machine(after, name)
        in_use = after if machine is None else on_machine(after, now.machine)
        settings.store(session, in_use)
        note_change(session, shop.hand, name, before, after)
    return in_use


def note_change(session: Session, hand: Hand, name: str, before: Settings, after: Settings) -> None:
    """Writes down what a setting was and is."""
    column = name if hasattr(before, name) else f"{name}_um"
    detail = {"setting": column, "was": str(getattr(before, column)),
              "is": str(getattr(after, column))}  # fmt: skip
    if column in MACHINE:
        detail["machine"] = before.machine
    post(session, hand, "setting", touches=[("shop", "settings")], detail=detail)
