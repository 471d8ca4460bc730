"""Prices to say: kept as quotes, turned into jobs at what was said, stale by a day."""

import json
from datetime import timedelta

import pytest

from stockroom.refusals import Clash, Refused, Unreadable
from stockroom.services.catalogue.profiles import change_profile
from stockroom.services.counter.job_list import job_rows
from stockroom.services.counter.typed_jobs import job_told
from stockroom.services.record.undo import undo
from stockroom.services.shop import Shop, change_setting, open_shop
from stockroom.services.weekly.job_cost import price_job, said_price
from stockroom.services.weekly.quotes import quote, quote_again, quotes, take_quote
from stockroom.units.price_rule import read_price_rule
from tests.stockroom.cli.bench import run
from tests.stockroom.hard.shopwork import MONDAY

RULE = "waste 20 %; mark-up 150 %; by m; least 25; up to 0.50"
TOLD = {"customer": "R. Aldous", "profile": "ASH-22", "width": "500", "height": "400",
        "due": "2026-12-04", "title": "Harbour"}  # fmt: skip
# Rails of 1.94 m with 20 % are 2.328 m, three begun ones of 6.1667: 18.50 with 150 % is 46.25.
PRICE, COST = 4_650, 1_850


def on(where: str, days: int) -> Shop:
    """The shop so many days after Monday."""
    return open_shop(where, "ada", MONDAY + timedelta(days))


def test_a_quote_holds_till_its_day_and_is_priced_again_from_the_next(
    shop: Shop, where: str
) -> None:
    change_setting(shop, "price_rule", RULE)
    change_setting(shop, "quote_days", "10")
    shop = on(where, 0)
    first = quote(shop, job_told(TOLD, shop))
    assert (first.price, first.cost, first.gain) == (PRICE, COST, PRICE - COST)
    assert job_rows(shop) == []
    change_profile(shop, "ASH-22", {"price_per_stick": "20.00"})
    assert [one.state for one in quotes(on(where, 10))] == ["open"]
    late = on(where, 11)
    assert [(one.state, one.job.customer) for one in quotes(late)] == [("stale", "R. Aldous")]
    with pytest.raises(Refused, match="is stale: its price held until Thu 2026-12-03"):
        take_quote(late, f"Q{first.number}")
    second = quote_again(late, f"q{first.number}")
    assert second.price == 5_000
    with pytest.raises(Clash, match=f"it is quote Q{second.number} now"):
        take_quote(on(where, 1), str(first.number))
    taken = take_quote(late, str(second.number))
    assert taken.job.artwork.widths == (500_000,)
    with pytest.raises(Clash, match=f"became job J{taken.number}"):
        take_quote(late, str(second.number))
    assert quotes(late) == []
    assert [one.after for one in quotes(late, every=True)] == [taken.number, second.number]
    # What was said stays, whatever sticks cost by now; a job's undoing leaves the quote.
    change_profile(late, "ASH-22", {"price_per_stick": "30.00"})
    price = price_job(late, f"J{taken.number}")
    assert (price.said, price.rule, price.gain) == (5_000, 7_500, 5_000 - price.cost)
    said = said_price(late, f"J{taken.number}")
    assert said is not None
    assert (said.price, said.quote) == (5_000, second.number)
    undo(late, second.number + 1)
    assert [one.number for one in quotes(late)] == [second.number]


@pytest.mark.parametrize("where", ["sqlite"], indirect=True)
def test_a_rule_by_what_it_really_costs_asks_that_with_its_mark_up(shop: Shop, where: str) -> None:
    change_setting(shop, "price_rule", "real; mark-up 100 %; up to 1")
    shop = on(where, 0)
    assert quote(shop, job_told({**TOLD, "quantity": "2"}, shop)).price == 2 * 2 * COST
    for typed in ("real; waste 20 %", "real; by ft", "real; real"):
        with pytest.raises(Unreadable, match="real in place of waste and by"):
            read_price_rule(typed)


@pytest.mark.parametrize("where", ["sqlite"], indirect=True)
def test_a_quote_is_kept_listed_and_taken_in_at_the_command_line(shop: Shop, where: str) -> None:
    change_setting(shop, "price_rule", RULE)
    typed = ["--customer", "R. Aldous", "-p", "ASH-22", "-w", "500", "--height", "400"]
    kept = run(where, "quote", *typed, "--due", "2026-12-04")
    number = kept.stdout.split(":")[0]
    assert "$46.50 for the moulding, until Wed 2026-12-23" in kept.stdout
    assert "really costs $18.50. At that price this job earns $28.00" in kept.stderr
    (row,) = json.loads(run(where, "quotes", "--as", "json").stdout)
    assert (row["quote"], row["state"], row["until"]) == (number, "open", "2026-12-23")
    late = run(where, "--day", "2027-01-04", "take-quote", number)
    assert (late.exit_code, "price it again: stockroom quote-again" in late.stderr) == (12, True)
    assert "is job J1" in run(where, "take-quote").stderr
    assert f"$46.50 as quoted, {number}" in run(where, "job", "J1").stderr
    assert "(as quoted; by the rule it is $46.50 now)" in run(where, "moulding-price").stdout
    assert "there is no quote 'Q1'; see: stockroom quotes" in run(where, "take-quote", "Q1").stderr
    assert "there is no quote; stockroom quote" in run(where, "take-quote").stderr
