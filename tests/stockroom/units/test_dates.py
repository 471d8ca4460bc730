"""Days as they are typed, and the weekday they are shown with."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockroom.refusals import Unreadable
from stockroom.units.dates import WEEKDAYS, day_with_weekday, parse_day, weekday_of

MONDAY = date(2026, 11, 23)
DAYS = st.dates(date(2020, 1, 1), date(2040, 12, 31))


@pytest.mark.parametrize(
    ("typed", "day"),
    [("4.12.", date(2026, 12, 4)), ("4.12", date(2026, 12, 4)), ("4/12", date(2026, 12, 4)),
     ("04.12.2026", date(2026, 12, 4)), ("4.12.26", date(2026, 12, 4)),
     ("4. 12. 2026", date(2026, 12, 4)), ("2026-12-04", date(2026, 12, 4)),
     ("Fri", date(2026, 11, 27)), ("freitag", date(2026, 11, 27)), ("Di", date(2026, 11, 24)),
     ("Monday", MONDAY), ("today", MONDAY), ("heute", MONDAY), ("tomorrow", date(2026, 11, 24)),
     ("morgen", date(2026, 11, 24)), ("+4", date(2026, 11, 27)), ("-1", date(2026, 11, 22)),
     ("Fri 2026-12-04", date(2026, 12, 4)), ("Fr, 4.12.", date(2026, 12, 4)),
     ("3.1.", date(2027, 1, 3)), ("29.2.", date(2028, 2, 29))],
)  # fmt: skip
def test_a_day_is_read_as_a_metric_shop_types_it(typed: str, day: date) -> None:
    assert parse_day(typed, MONDAY, day_first=True) == day


def test_the_shops_order_of_day_and_month_is_kept() -> None:
    assert parse_day("4/12", MONDAY, day_first=False) == date(2027, 4, 12)
    assert parse_day("12/4/2026", MONDAY, day_first=False) == date(2026, 12, 4)
    with pytest.raises(Unreadable, match="12/4"):
        parse_day("24/12", MONDAY, day_first=False)


def test_a_day_that_has_been_is_the_last_such_day() -> None:
    assert parse_day("4.12.", MONDAY, day_first=True, past=True) == date(2025, 12, 4)
    assert parse_day("Fri", MONDAY, day_first=True, past=True) == date(2026, 11, 20)


@pytest.mark.parametrize(
    "typed", ["", "31.2.2026", "0.1.", "4.13.", "fr1", "t", "dom.enica", "+9999", "2026-13-01",
              "30.2.", "4.12.20266", "4-12/2026", "٤.١٢."],
)  # fmt: skip
def test_what_is_no_day_is_refused_with_what_would_be(typed: str) -> None:
    with pytest.raises(Unreadable, match="Fri, tomorrow or"):
        parse_day(typed, MONDAY, day_first=True)


@given(DAYS, DAYS, st.booleans())
def test_every_day_reads_back_in_every_form(day: date, today: date, first: bool) -> None:
    pair = (day.day, day.month) if first else (day.month, day.day)
    for typed in (
        day.isoformat(),
        f"{pair[0]}.{pair[1]}.{day.year}",
        f"{pair[0]}/{pair[1]}/{day.year}",
    ):
        assert parse_day(typed, today, day_first=first) == day
    assert parse_day(day.strftime("%A"), day, day_first=first) == day
    assert parse_day("+3", today, day_first=first) == today + timedelta(3)
    assert day_with_weekday(day).endswith(day.isoformat())


def test_three_letters_tell_weekdays_apart_in_every_language() -> None:
    for number, names in enumerate(WEEKDAYS):
        assert {weekday_of(name[:3]) for name in names} == {number}
