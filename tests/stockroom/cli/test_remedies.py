"""What to do about a refusal: a value below the fronts, words in each of them."""

import re

import pytest

from stockroom.cli.command_list import COMMANDS
from stockroom.cli.remedies import WORDS, worded
from stockroom.page.wording import worded as on_a_page
from stockroom.refusals import Clash
from stockroom.remedies import Do, Remedy


def test_every_remedy_has_a_command_lines_words() -> None:
    assert set(WORDS) == set(Do)


def test_every_command_that_a_remedy_names_is_there() -> None:
    named = {
        found for text in WORDS.values() for found in re.findall(r"stockroom ([a-z][a-z-]*)", text)
    }
    assert named
    assert named <= COMMANDS.keys()


@pytest.mark.parametrize("do", Do, ids=lambda do: do.name)
def test_a_remedy_names_what_it_is_about_in_every_front_and_no_command_on_a_page(do: Do) -> None:
    error = Clash("piece 7 is held", Remedy(do, 4711))
    about = "{about}" in WORDS[do] or "{options}" in WORDS[do]
    assert ("4711" in worded(error)) is about
    page = on_a_page(error).remedy
    assert not re.search(r"stockroom|--|[{}]", page)
    assert page.endswith(".")
