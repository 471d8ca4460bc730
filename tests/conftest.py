"""What holds for all tests: no clock fails one, statements are compiled once, refusals read."""

import hypothesis
import pytest

from stockroom.refusals import StockroomError
from stockroom.words.language import Voice
from tests.compiled_once import share

hypothesis.settings.register_profile("stockroom", deadline=None)
hypothesis.settings.load_profile("stockroom")
share()


@pytest.fixture(autouse=True, scope="session")
def told_in_english() -> None:
    """A refusal is a value; what a test matches is how the command line says it."""
    words = Voice("at_the_command_line")
    StockroomError.__str__ = lambda error: words.whole(error)  # type: ignore[method-assign]
