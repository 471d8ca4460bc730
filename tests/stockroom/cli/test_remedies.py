"""What to do about a refusal: a value below the fronts, words in each of them."""

import re

import pytest

from stockroom.cli.command_list import COMMANDS
from stockroom.cli.remedies import worded
from stockroom.page.wording import worded as on_a_page
from stockroom.refusals import Clash
from stockroom.remedies import Do, Remedy
from stockroom.words.languages import table_of

TYPED = table_of()["do_at_the_command_line"]
DONE = table_of()["do_on_a_page"]


def test_every_remedy_has_words_at_each_front() -> None:
    assert set(TYPED) == set(DONE) == {do.name for do in Do}


def test_every_command_that_a_remedy_names_is_there() -> None:
    named = {
        found
        for text in TYPED.values()
        for found in re.findall(r"stockroom ([a-z][a-z-]*)", str(text))
    }
    assert named
    assert named <= COMMANDS.keys()


@pytest.mark.parametrize("do", Do, ids=lambda do: do.name)
def test_a_remedy_names_what_it_is_about_in_every_front_and_no_command_on_a_page(do: Do) -> None:
    error = Clash("held_already", Remedy(do, 4711))
    about = "{about}" in TYPED[do.name] or "{options}" in TYPED[do.name]
    assert ("4711" in worded(error)) is about
    page = on_a_page(error).remedy
    assert not re.search(r"stockroom|--|[{}]", page)
    assert page.endswith(".")
