"""Quotes: a price said for a job that is not taken in yet, kept until its day, then stale."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, timedelta
from types import SimpleNamespace
from typing import Literal

from sqlmodel import Session, col, select

from stockroom.frame.bench_ticket import Ticket
from stockroom.record.database import changing, reading
from stockroom.record.ledger import post, stands
from stockroom.record.tables import Entry, Job, Touch
from stockroom.refusals import Clash, Refused, Unknown, Unreadable
from stockroom.remedies import Do, Remedy
from stockroom.services.counter.make_ticket import section_tried
from stockroom.services.counter.take import NewJob, Taken, check, job_row, quote_name, take_in
from stockroom.services.counter.typed_jobs import JOB, job_told
from stockroom.services.csv_columns import written_row
from stockroom.services.shop import Shop
from stockroom.services.weekly.job_cost import price_new

__all__ = ["Quote", "QuoteState", "quote", "quote_again", "quote_to_say", "quotes", "take_quote"]

QuoteState = Literal["open", "stale", "taken", "quoted again"]
KIND = "quote"
QUOTES = ("shop", "quotes")
COLUMNS = tuple(column for column in JOB if column.name not in ("number", "held"))


@dataclass(frozen=True, slots=True)
class Quote:
    """A price said for a job: what was asked, the price and what the moulding really costs then
    (minor units), and the last day that it holds.

    ``after`` is the job that it became, or the quote that took its place.
    """

    number: int
    job: NewJob
    price: int
    cost: int
    day: date
    until: date
    state: QuoteState
    after: int | None = None

    @property
    def mouldings(self) -> str:
        """All its mouldings from the inside out, as a job's list has them."""
        fillet = [self.job.fillet.profile] if self.job.fillet else []
        return " + ".join([*fillet, self.job.profile, *(one.profile for one in self.job.around)])

    @property
    def gain(self) -> int:
        """What the job really earns on its moulding; below nothing where it loses money."""
        return self.price - self.cost


def quote(shop: Shop, job: NewJob) -> Quote:
    """Prices a job by the shop's rule and keeps what was said; no frame waits for it.

    Raises:
        Unknown: there is no such profile.
        Refused: the shop could not take it in, or its profile has no stick price.
    """
    return kept(shop, job, None)


def quote_again(shop: Shop, typed: str) -> Quote:
    """Prices a quote again, as of today; the new one takes its place.

    Raises:
        Unreadable, Unknown: it is no quote.
        Clash: it became a job, or was quoted again already.
        Refused: the shop could not take it in any more.
    """
    with reading(shop.engine) as session:
        old = quote_named(session, shop, typed)
    refuse_closed(old)
    due = max(old.job.due, shop.hand.day)
    return kept(shop, replace(old.job, due=due), old.number)


def kept(shop: Shop, job: NewJob, instead_of: int | None) -> Quote:
    """Prices a job and writes the quote down."""
    price = price_new(shop, job)
    until = shop.hand.day + timedelta(shop.settings.quote_days)
    with changing(shop.engine, shop.waiting) as session:
        taken = check(session, shop.settings, shop.hand.day, job)
        touches = [QUOTES]
        if instead_of is not None:
            refuse_closed(quote_named(session, shop, str(instead_of)))
            touches.append(("shop", quote_name(instead_of)))
        told = told_again(shop, taken)
        number = post(session, shop.hand, KIND, touches=touches, detail={
            "told": told, "price": price.rule, "cost": price.cost, "until": until.isoformat(),
        })  # fmt: skip
    return Quote(number, taken.job, price.rule, price.cost, shop.hand.day, until, "open")


def told_again(shop: Shop, taken: Taken) -> dict[str, str]:
    """A job as it can be typed again, to the micrometre."""
    kept_so = job_row(taken, 0, matched=False) | {"proud": taken.job.proud}
    row = SimpleNamespace(
        **kept_so
        | {"one_batch": taken.job.one_batch, "around": taken.job.around, "fillet": taken.job.fillet}
    )
    return {name: text for name, text in written_row(COLUMNS, row, shop).items() if text}


def quote_to_say(shop: Shop, typed: str) -> tuple[Quote, Ticket]:
    """A quote with its job as a ticket, to be given to a customer; a day that is past is today.

    Raises:
        Unreadable, Unknown: it is no quote.
        Clash: it became a job, or was quoted again.
        Refused: it is stale, or the shop could not take it in any more.
    """
    with reading(shop.engine) as session:
        one = quote_named(session, shop, typed)
    refuse_closed(one)
    refuse_stale(one)
    return one, section_tried(shop, replace(one.job, due=max(one.job.due, shop.hand.day)))


def quotes(shop: Shop, *, every: bool = False) -> list[Quote]:
    """The quotes that can still become jobs, stale ones too, the newest first; with ``every``,
    those that did as well."""
    with reading(shop.engine) as session:
        entries = session.exec(
            select(Entry)
            .join(Touch, col(Touch.entry_id) == Entry.id)
            .where(Touch.what == QUOTES[0], Touch.which == QUOTES[1], stands())
            .order_by(col(Entry.id).desc())
        ).all()
        found = as_kept(session, shop, entries)
    return [one for one in found if every or one.state in ("open", "stale")]


def quote_named(session: Session, shop: Shop, typed: str) -> Quote:
    """The quote of this number, as Q41 or 41.

    Raises:
        Unreadable, Unknown: it is no number, or no quote has it.
    """
    digits = typed.strip().upper().removeprefix("Q")
    if not (digits.isascii() and digits.isdecimal() and len(digits) <= 9):
        raise Unreadable(typed, "of_quote_number")
    entry = session.exec(select(Entry).where(Entry.id == int(digits), stands())).first()
    if entry is None or entry.kind != KIND:
        raise Unknown("unknown_quote", typed.strip(), (), Remedy(Do.SEE_QUOTES))
    return as_kept(session, shop, [entry])[0]


def as_kept(session: Session, shop: Shop, entries: Iterable[Entry]) -> list[Quote]:
    """The quotes that these entries keep, with what became of each."""
    rows = list(entries)
    names = {quote_name(entry.id): entry.id for entry in rows}
    later = session.exec(
        select(Touch.which, Entry)
        .join(Entry, col(Entry.id) == Touch.entry_id)
        .where(Touch.what == "shop", col(Touch.which).in_(list(names)), stands())
    ).all()
    closed = {names[which]: entry for which, entry in later}
    jobs = dict(session.exec(
        select(Job.taken_in, Job.id)
        .where(col(Job.taken_in).in_([entry.id for entry in closed.values()]))
    ).all())  # fmt: skip
    return [as_quote(shop, entry, closed.get(entry.id), jobs) for entry in rows]


def as_quote(shop: Shop, entry: Entry, closed: Entry | None, jobs: dict[int, int]) -> Quote:
    """One quote; ``closed`` is the entry that took it up, ``jobs`` the jobs by their entries."""
    until = date.fromisoformat(entry.detail["until"])
    state: QuoteState = "stale" if shop.hand.day > until else "open"
    after = None
    if closed is not None:
        state = "quoted again" if closed.kind == KIND else "taken"
        after = jobs.get(closed.id, closed.id)
    return Quote(entry.id, job_told(entry.detail["told"], shop), entry.detail["price"],
                 entry.detail["cost"], entry.day, until, state, after)  # fmt: skip


def refuse_closed(one: Quote) -> None:
    """A quote is taken up once.

    Raises:
        Clash: it was.
    """
    if one.state == "taken":
        raise Clash("quote_is_job", number=one.number, job=one.after)
    if one.state == "quoted again":
        raise Clash("quote_again_already", number=one.number, other=one.after)


def refuse_stale(one: Quote) -> None:
    """A price holds till its day.

    Raises:
        Refused: that is past.
    """
    if one.state == "stale":
        raise Refused("quote_stale", Remedy(Do.QUOTE_AGAIN, one.number), number=one.number,
                      until=one.until)  # fmt: skip


def take_quote(shop: Shop, typed: str, due: date | None = None) -> Taken:
    """Takes a quoted job in at the price that was said; ``due`` where that day is another now.

    Raises:
        Unreadable, Unknown: it is no quote.
        Clash: it became a job, or was quoted again already.
        Refused: it is stale; or the job can't be taken in.
    """
    with changing(shop.engine, shop.waiting) as session:
        one = quote_named(session, shop, typed)
        refuse_closed(one)
        refuse_stale(one)
        job = replace(one.job, due=due or one.job.due, quoted=(one.number, one.price))
        return take_in(session, shop, [job])[0]
