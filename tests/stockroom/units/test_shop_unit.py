"""A shop may measure in any unit of the table; centimetres, say, and what follows from them."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stockroom.frame.cutters import CUTTERS, Cutter
from stockroom.settings.shop_settings import Settings
from stockroom.settings.typed_settings import with_setting
from stockroom.units.lengths import Micrometres, exact_length, format_length, parse_length
from stockroom.units.shop_unit import SHOP_UNITS
from stockroom.views.sheet_rows import tally_rows
from stockroom.words.language import word
from tests.stockroom.cli.bench import run


@settings(max_examples=40)
@given(st.integers(0, 100_000_000), st.sampled_from(sorted(SHOP_UNITS)))
def test_an_exact_length_reads_back_in_every_unit(um: int, unit: str) -> None:
    assert parse_length(exact_length(um, unit), unit) == um


@pytest.mark.parametrize(
    ("um", "shown"),
    [(603_500, "60.35"), (603_740, "60.35"), (603_750, "60.4"), (10_000, "1"), (0, "0")],
)
def test_centimetres_are_printed_to_half_a_millimetre(um: int, shown: str) -> None:
    assert format_length(um, "cm") == shown
    assert format_length(-um, "cm") == (f"-{shown}" if um else "0")


def test_a_shop_in_centimetres_takes_bare_numbers_as_such_and_says_so(tmp_path: object) -> None:
    where = f"{tmp_path}/shop.db"
    assert run(where, "setup", "--unit", "cm", "--starter").exit_code == 0
    told = run(where, "sizes", "-p", "ASH-22", "-w", "40", "--height", "50")
    assert (told.exit_code, "cm" in told.output) == (0, True)
    assert run(where, "receive", "ASH-22", "B7", "298.5").exit_code == 0
    assert "298.5" in run(where, "find", "ASH-22").output
    assert word(tally_rows(Settings(unit="cm"))[4][0]) == "length opened, cm"


def test_another_cutter_is_a_row_of_its_own_with_its_own_loss(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A cutter that takes its cut's width square to the stick, whatever the mitre."""
    monkeypatch.setitem(CUTTERS, "square", Cutter("square", lambda kerf, _: Micrometres(kerf)))
    shop = replace(with_setting(Settings(), "kerf", "4 mm"), cutter="square")
    assert shop.cut_allowance_um == 4_000 + shop.clean_up_um
    assert with_setting(shop, "cutter", "guillotine").cut_allowance_um == shop.clean_up_um
