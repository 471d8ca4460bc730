"""The record's page: what happened last, undone by the owner; its backup, its proof."""

import pytest
from sqlalchemy import text

from stockroom.services.rack.pieces import find, move
from stockroom.services.record.daily import last_backup
from stockroom.services.record.history import entry_rows
from stockroom.services.shop import Shop
from tests.page.browser import Open


def test_an_entry_is_looked_at_and_undone_once_with_its_reason(page_of: Open, shop: Shop) -> None:
    piece = find(shop)[0]
    move(shop, piece.id, "Z9")
    entry = entry_rows(shop)[0].number
    assert f'href="/record/{entry}"' in page_of.ask("GET", "/record").text
    form = {"why": "wrong shelf", "key": 32 * "a"}
    answers = [page_of.ask("POST", f"/record/{entry}/undo", data=form) for _ in range(2)]
    assert [answer.status_code for answer in answers] == [303, 409]
    undone, was = entry_rows(shop, last=2)
    assert (undone.reverses, undone.why, was.number, was.undone_by) == (
        entry, "wrong shelf", entry, undone.number
    )  # fmt: skip
    assert next(one.spot for one in find(shop) if one.id == piece.id) == piece.spot
    said = page_of.ask("GET", f"/record/{entry}").text
    assert f'href="/record/{undone.number}"' in said
    assert "Undo it" not in said


def test_what_later_entries_build_on_is_refused_and_shown_again(page_of: Open, shop: Shop) -> None:
    number = find(shop)[0].id
    for spot in ("Z8", "Z9"):
        move(shop, number, spot)
    before = entry_rows(shop)
    answer = page_of.ask("POST", f"/record/{before[1].number}/undo", data={"why": "as typed"})
    assert answer.status_code == 409
    assert 'value="as typed"' in answer.text
    assert entry_rows(shop) == before


def test_what_is_set_by_its_own_command_has_no_key_and_a_number_of_no_entry_is_404(
    page_of: Open,
) -> None:
    assert "Undo it" not in page_of.ask("GET", "/record/1").text
    assert page_of.ask("GET", "/record/999999").status_code == 404


def test_a_backup_is_made_and_its_age_is_told(page_of: Open, shop: Shop) -> None:
    assert last_backup(shop.engine) is None
    assert "There is no backup yet" in page_of.ask("GET", "/record").text
    page_of.ask("POST", "/record/backup")
    assert last_backup(shop.engine) is not None
    assert "less than an hour old" in page_of.ask("GET", "/record").text


@pytest.mark.unaudited
def test_the_record_is_proven_and_its_faults_are_listed(page_of: Open, shop: Shop) -> None:
    assert "The record is true" in page_of.ask("POST", "/record/proof").text
    with shop.engine.begin() as connection:
        connection.execute(text("UPDATE line SET length_um = length_um + 1 WHERE id = 1"))
    said = page_of.ask("POST", "/record/proof").text
    assert "The record is true" not in said
    assert "The record has faults" in said
