"""Templates into pages: the only module that knows the library for them."""

from collections.abc import Mapping
from datetime import date, datetime
from functools import cache, partial
from importlib.resources import files
from pathlib import Path
from secrets import token_hex
from typing import TYPE_CHECKING, Any

from starlette.responses import HTMLResponse

from stockroom.facts import Tellable
from stockroom.frame.shapes import shape_told
from stockroom.job_notes import JOB_NOTES
from stockroom.page.field_labels import labelled
from stockroom.page.translated import in_template
from stockroom.page.wording import words
from stockroom.paper.sawn.front_drawing import label_words
from stockroom.settings.shop_settings import Settings
from stockroom.units.money import format_money
from stockroom.views.sheet_rows import rail_rows, sayings
from stockroom.views.size_rows import size_rows
from stockroom.words.language import WEEKDAYS, word
from stockroom.words.languages import other_words, spoken
from stockroom.words.plan_reasons import proof_in_words, whole

if TYPE_CHECKING:
    from jinja2 import Environment

__all__ = ["html"]

UNLABELLED = '<span data-field="{name}">{name}</span>'
"""A field that has no label in what is sent: a part of a page, whose program has the label."""
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


@cache
def environment(language: Path) -> "Environment":
    """The templates of a language; every value is escaped, and a missing one is a fault."""
    from jinja2 import Environment, FunctionLoader, StrictUndefined

    words = other_words(language)

    def template(name: str) -> str:
        text = (files("stockroom.page") / "templates" / name).read_text(encoding="utf-8")
        return in_template(text, lambda told: words.get(told, told)) if words else text

    made = Environment(
        loader=FunctionLoader(template), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True, auto_reload=False,
    )  # fmt: skip
    made.globals["new_key"] = partial(token_hex, 16)
    made.globals["job_notes"] = JOB_NOTES
    made.filters.update(
        day=day_said,
        clock=clock_said,
        count=count_said,
        told=fact_said,
        shape=shape_said,
        word=word,
        money=format_money,
        size_rows=size_rows,
        rail_rows=rail_rows,
        rail_label=label_words,
        sayings=sayings,
        because=whole,
        proof=proof_in_words,
    )
    return made


def html(
    template: str, status: int, headers: Mapping[str, str] | None, /, **values: Any
) -> HTMLResponse:
    """A page of this status from its template."""
    text = environment(spoken()).get_template(template).render(values)
    return HTMLResponse(labelled(text, UNLABELLED), status, headers)


def fact_said(fact: Tellable, settings: Settings) -> str:
    """What is so, in a page's words."""
    return words(settings).say(fact)


def count_said(many: int, noun: str) -> str:
    """A count with its noun, as a language counts."""
    return word("{many:" + noun + "}", many=many)


def shape_said(kept: str) -> str:
    """A shape as it is kept, in words."""
    return word(shape_told(kept).said)


def day_said(day: date) -> str:
    """A day as it is said: Mon 23 Nov."""
    return f"{word(WEEKDAYS[day.weekday()])} {day.day} {word(MONTHS[day.month - 1])}"


def clock_said(moment: datetime) -> str:
    """A time of day in the shop's zone is made elsewhere; this writes hours and minutes."""
    return f"{moment:%H:%M}"
