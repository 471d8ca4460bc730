"""What was cut, as a line at the saw."""

from typing import Any

import pytest

from stockroom.refusals import Unreadable
from stockroom.services.saw.typed_cuts import answer_told
from stockroom.settings.shop_settings import Settings

MM, INCHES = Settings(unit="mm"), Settings()


@pytest.mark.parametrize(
    ("line", "settings", "told"),
    [("", MM, {"at": ""}), ("920 B5", MM, {"leftover": ["920"], "at": "B5"}),
     ("30 1/4 B5", INCHES, {"leftover": ["30 1/4"], "at": "B5"}), ("B 5", MM, {"at": "B 5"}),
     ("m2", MM, {"miscut": [2], "at": ""}), ("x", MM, {"missing": True, "at": ""}),
     ("n # dented", MM, {"left": True, "at": "", "why": "dented"}),
     ("m2,3 u1 i57 782,5 C2", MM, {"miscut": [2, 3], "uncut": [1], "instead": 57,
                                   "leftover": ["782,5"], "at": "C2"}),
     ("920 f10..20 B5", MM, {"flaw": ["10..20"], "leftover": ["920"], "at": "B5"})],
)  # fmt: skip
def test_a_line_tells_what_happened_to_a_piece(
    line: str, settings: Settings, told: dict[str, Any]
) -> None:
    assert answer_told(line, 7, settings) == {"piece": 7, "why": "", **told}


def test_a_word_stops() -> None:
    assert answer_told("s", 7, MM) is None


@pytest.mark.parametrize("line", ["9,,2", "92o", "-3 B5", "2..3"])
def test_what_is_no_length_is_not_taken_for_a_place(line: str) -> None:
    with pytest.raises(Unreadable):
        answer_told(line, 7, MM)
