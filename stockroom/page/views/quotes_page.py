"""Quotes: prices said for jobs that are not taken in yet, each with the key that does."""

from starlette.responses import Response

from stockroom.listings.to_customers import quote_letter
from stockroom.page.asking import Ask, changes, go, render, shown
from stockroom.page.views.counter_page import new_job
from stockroom.paper.list_page import list_page
from stockroom.services.counter.typed_jobs import job_told
from stockroom.services.weekly.quotes import quote, quote_again, quote_to_say, quotes, take_quote

__all__ = ["ROUTES"]


def kept(ask: Ask) -> Response:
    """The quotes that may become jobs, the newest first, stale ones marked."""
    every = ask.query.get("all") == "yes"
    return render(ask, "quotes.html", rows=quotes(ask.shop, every=every), every=every)


def keep(ask: Ask) -> Response:
    """What was typed is priced and kept."""
    told = {name: text for name, text in ask.form.items()
            if text.strip() and name not in ("beside", "key")}  # fmt: skip
    quote(ask.shop, job_told(told, ask.shop))
    return go("/counter/quotes")


def take(ask: Ask) -> Response:
    """A quote becomes a job at the price that was said."""
    due = ask.form.get("due", "").strip()
    taken = take_quote(ask.shop, str(ask.path["number"]), ask.shop.day(due) if due else None)
    return go(f"/counter/{taken.number}")


def paper(ask: Ask) -> Response:
    """A quote as its customer is given it, to print."""
    one, ticket = quote_to_say(ask.shop, str(ask.path["number"]))
    settings = ask.shop.settings
    letter = quote_letter(ticket, settings, one.number, one.price, one.until)
    made = list_page(letter, ask.shop.hand.day, settings.page, settings.font)
    named = {"Content-Disposition": f'inline; filename="quote-Q{one.number}.pdf"'}
    return Response(made, media_type="application/pdf", headers=named)


def again(ask: Ask) -> Response:
    """A quote is priced again, as of today."""
    quote_again(ask.shop, str(ask.path["number"]))
    return go("/counter/quotes")


ROUTES = (
    shown("/counter/quotes", kept, "owner"),
    shown("/counter/quotes/{number:number}/paper", paper, "owner"),
    changes("/counter/quotes/keep", keep, "owner", again=new_job),
    changes("/counter/quotes/{number:number}/take", take, "owner", again=kept),
    changes("/counter/quotes/{number:number}/again", again, "owner", again=kept),
)
