"""The words of each front stand in one file of a language, all of them and no others."""

import os

import pytest

from stockroom.words.languages import ENGLISH, HOUSE, read
from tests.stockroom.words.fronts import FRONTS_WORDS, listed, words_in_place


@pytest.mark.parametrize("front", FRONTS_WORDS)
def test_the_file_of_a_front_has_all_its_words_and_no_others(front: str) -> None:
    """Words that are new fail here: UPDATE_WORDS=1 before this test writes the file anew."""
    elsewhere = {told for part in ("kept", "names") for told in read(ENGLISH, *HOUSE)[part]}
    words = {told: where for told, where in FRONTS_WORDS[front]().items() if told not in elsewhere}
    file = ENGLISH / f"{front}.toml"
    if os.environ.get("UPDATE_WORDS"):
        file.write_text(listed(front, words), encoding="utf-8")
    anew = "run UPDATE_WORDS=1 pytest tests/stockroom/words/test_fronts.py"
    assert file.read_text(encoding="utf-8") == listed(front, words), anew
    assert list(words_in_place(front)) == []
