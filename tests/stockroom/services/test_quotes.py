"""Prices to say: kept as quotes, turned into jobs at what was said, stale by a day."""

import json
from datetime import timedelta
from pathlib import Path

import pytest

from stockroom.listings.to_customers import quote_letter
from stockroom.paper.list_page import list_page
from stockroom.refusals import Clash, Refused, Unreadable
from stockroom.services.catalogue.profiles import change_profile
from stockroom.services.counter.job_list import job_row, job_rows
from stockroom.services.counter.make_ticket import bench_told, ticket_of
from stockroom.services.counter.typed_jobs import job_told
from stockroom.services.record.undo import undo
from stockroom.services.saw.supplied import chops_awaited, supplied
from stockroom.services.shop import Shop, change_setting, open_shop
from stockroom.services.weekly.job_cost import price_job, said_price
from stockroom.services.weekly.quotes import quote, quote_again, quote_to_say, quotes, take_quote
from stockroom.units.lengths import Micrometres
from stockroom.units.price_rule import read_price_rule
from tests.paper.reading import assert_words_apart, pages_of
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
def test_a_quote_is_kept_listed_printed_and_taken_in_at_the_command_line(
    shop: Shop, where: str, tmp_path: Path
) -> None:
    change_setting(shop, "price_rule", RULE)
    typed = ["--customer", "R. Aldous", "-p", "ASH-22", "-w", "500", "--height", "400"]
    kept = run(where, "quote", *typed, "--due", "2026-12-04")
    number = kept.stdout.split(":")[0]
    assert "$46.50 for the moulding, until Wed 2026-12-23" in kept.stdout
    assert "really costs $18.50. At that price this job earns $28.00" in kept.stderr
    (row,) = json.loads(run(where, "quotes", "--as", "json").stdout)
    assert (row["quote"], row["state"], row["until"]) == (number, "open", "2026-12-23")
    letter = run(where, "paper", "quote", number, str(tmp_path / "quote.pdf"))
    assert f"Quote {number} is in" in letter.stderr
    late = run(where, "--day", "2027-01-04", "take-quote", number)
    assert (late.exit_code, "price it again: stockroom quote-again" in late.stderr) == (12, True)
    assert "is job J1" in run(where, "take-quote").stderr
    assert f"$46.50 as quoted, {number}" in run(where, "job", "J1").stderr
    assert "(as quoted; by the rule it is $46.50 now)" in run(where, "moulding-price").stdout
    assert "there is no quote 'Q1'; see: stockroom quotes" in run(where, "take-quote", "Q1").stderr
    assert "there is no quote; stockroom quote" in run(where, "take-quote").stderr


@pytest.mark.parametrize("where", ["sqlite"], indirect=True)
@pytest.mark.parametrize(
    ("told", "rails", "said"),
    [
        # 220.5 mm six times; 1 begun metre more than 1.2 * 1.323 is 2: 2 * 6.1667 = 12.33, 150 %.
        ({"shape": "6 sides", "width": "200", "height": ""}, 6, ("6 sides", "200 mm", "441")),
        ({"shape": "arch", "width": "300"}, 3, ("arch's sides", "300 mm × 400 mm")),
        ({"shape": "repair", "width": "", "height": "", "lengths": "2x 440 / 300.5"}, 3,
         ("repair", "2 × 440 mm; 1 × 300.5 mm")),
    ],
)  # fmt: skip
def test_a_quote_of_another_shape_keeps_it_and_its_price_to_the_job_its_chops_and_its_paper(
    shop: Shop, where: str, told: dict[str, str], rails: int, said: tuple[str, ...]
) -> None:
    change_setting(shop, "price_rule", RULE.replace("least 25; ", ""))
    shop = on(where, 0)
    asked = {name: text for name, text in {**TOLD, **told}.items() if text}
    one = quote(shop, job_told(asked, shop))
    page = f"Q{one.number}"
    listed = " ".join(paper(shop, page).split())
    wanted = (f"Quote {page}", "R. Aldous", "Harbour", "ash", *said, "good until Wed 2026-12-23",
              shop.settings.money(one.price))  # fmt: skip
    assert [words for words in wanted if words not in listed] == []
    # Nothing that is the shop's own: what it costs, what is earned.
    assert shop.settings.money(one.cost) not in listed
    assert [word for word in ("cost", "earn", "waste", "rule") if word in listed] == []
    again = quote_again(shop, page)
    assert again.price == one.price
    with pytest.raises(Clash, match=f"it is quote Q{again.number} now"):
        paper(shop, page)
    with pytest.raises(Refused, match="is stale"):
        paper(on(where, 31), f"Q{again.number}")
    taken = take_quote(shop, f"Q{again.number}")
    assert taken.job.artwork.shape.words == told["shape"]
    job = f"J{taken.number}"
    assert (price_job(shop, job).said, price_job(shop, job).rule) == (one.price, one.price)
    each = 1_850 * sum(taken.sizes.lengths_um) * 1.2 / 3_000_000
    assert one.price >= 2.5 * each
    # Chops of it come in part; the others still wait, and all have their own ends on its ticket.
    awaited = chops_awaited(shop, job)
    assert sum(awaited.values()) == rails == len(taken.sizes.lengths_um)
    length = next(iter(awaited))
    left = supplied(shop, job, "K4", {Micrometres(length - 150): 1}).awaited  # As it is typed.
    assert sum(left.values()) == rails - 1
    assert job_row(shop, job)[0].shape == told["shape"]
    assert ticket_of(shop, job, bench_told({}, shop)).rails == 1
    assert supplied(shop, job, "K4", joined=True).rails == rails - 1
    assert job_row(shop, job)[0].state == "joined"


def paper(shop: Shop, typed: str) -> str:
    """What a quote says on paper, on the one page that it has."""
    one, ticket = quote_to_say(shop, typed)
    letter = quote_letter(ticket, shop.settings, one.number, one.price, one.until)
    (page,) = pages_of(list_page(letter, shop.hand.day))
    assert_words_apart(page)
    return str(page.extract_text())
