"""Mouldings: looked up at the counter; the owner sees all that is known of one, and changes it."""

from typing import get_args

from starlette.responses import Response

from stockroom.frame.sizes import Kind
from stockroom.page.asking import Ask, changes, go, render, shown
from stockroom.refusals import Refused
from stockroom.services.catalogue.load import PROFILE, profile_rows, supplier_rows
from stockroom.services.catalogue.profiles import add_profile, change_profile, profile_cells
from stockroom.services.counter.machine_fit import unfit_profiles
from stockroom.services.csv_columns import DAY, LENGTH, LENGTH_DOWN, YES, Field
from stockroom.services.rack.pieces import find
from stockroom.words.language import word

__all__ = ["ROUTES"]

WAS = "was-"
"""Stands before the names of the fields that bring back what a form showed."""


def mouldings(ask: Ask) -> Response:
    """Mouldings by code or name, how wide they are, and what of each is on the rack."""
    typed = ask.query.get("find", "").strip()
    wanted = typed.casefold()
    stock: dict[str, list[int]] = {}
    for piece in find(ask.shop):
        stock.setdefault(piece.profile, []).append(piece.length)
    rows = [
        (profile, len(stock.get(profile.code, ())), sum(stock.get(profile.code, ())))
        for profile in profile_rows(ask.shop)
        if (not profile.discontinued or wanted == profile.code.casefold())
        and (wanted in profile.code.casefold() or wanted in profile.name.casefold())
        and (ask.query.get("stock") != "yes" or profile.code in stock)
    ]
    return render(ask, "mouldings.html", rows=rows, wanted=typed,
                  stock=ask.query.get("stock", ""))  # fmt: skip


def moulding(ask: Ask) -> Response:
    """All that is known of a moulding, to be changed; or an empty form for a new one."""
    code = ask.form.get("code", ask.query.get("code", "")).strip().upper()
    new = not ask.query.get("code") and ask.form.get("new", "yes") == "yes"
    was = {} if new else profile_cells(ask.shop, code)
    unfit = [] if new else [fact for _, fact in unfit_profiles(ask.shop, code)]
    return render(ask, "moulding.html", code=code, new=new, was=was, told={**was, **ask.form},
                  unfit=unfit, suppliers=supplier_rows(ask.shop),
                  kinds=[(kind, word(kind)) for kind in get_args(Kind)],
                  fields=[(one.name, sort_of(one), one.needed) for one in PROFILE
                          if one.name not in ("code", "name", "supplier", "kind")])  # fmt: skip


def sort_of(column: Field) -> str:
    """How a value of a moulding is typed: a length, a day, yes or no, or as a text."""
    sorts = {LENGTH: "length", LENGTH_DOWN: "length", DAY: "date", YES: "yes"}
    return next((sort for cell, sort in sorts.items() if column.cell is cell), "text")


def change(ask: Ask) -> Response:
    """What differs from what the form showed is changed; or the moulding is put into the
    catalogue."""
    told = {one.name: ask.form.get(one.name, "").strip() for one in PROFILE if one.name != "code"}
    code = ask.form.get("code", "").strip()
    if ask.form.get("new") == "yes":
        code = add_profile(ask.shop, code, told)
    else:
        differs = {name: text for name, text in told.items()
                   if text != ask.form.get(WAS + name, "").strip()}  # fmt: skip
        if not change_profile(ask.shop, code, differs, ask.form.get("why", "").strip()):
            raise Refused("nothing is different", "change what is not so, then send it")
    return go(f"/counter/mouldings?find={code}")


ROUTES = (
    shown("/counter/mouldings", mouldings),
    shown("/counter/moulding", moulding, "owner"),
    changes("/counter/moulding/change", change, "owner", again=moulding),
)
