"""Tickets of several mouldings, read back: a second page where one does not hold them."""

from dataclasses import replace
from datetime import date

import pytest

from stockroom.frame.bench_ticket import Ticket, ticket
from stockroom.frame.hanging import Hanging
from stockroom.frame.layers import FILLET, fillet_sizes, layer_letter, stack_depth
from stockroom.frame.sizes import Mat, Moulding, Readings, frame_sizes
from stockroom.frame.ticket_told import Bench, MoreWork, Work
from stockroom.paper.label_words import bundle_labels
from stockroom.paper.ticket_page import ticket_page
from stockroom.settings.shop_settings import Settings
from stockroom.units.lengths import Micrometres as Um
from tests.paper.reading import pages_of
from tests.paper.test_ticket import FLOAT, assert_sound

MM = 1_000
WIDE = Moulding("rabbeted", Um(40 * MM), Um(6 * MM), Um(60 * MM))
FIL = Moulding("rabbeted", Um(8 * MM), Um(4 * MM), Um(2 * MM))
LINER = Moulding("rabbeted", Um(22 * MM), Um(6 * MM), Um(14 * MM))


def layered(around: int, *, matted: bool) -> Ticket:
    """A float, or a matted work with a fillet, in so many frames round one another; of the latter
    much is told."""
    art = Readings((400 * MM,), (500 * MM,))
    base, window = (LINER, fillet_sizes((400 * MM, 500 * MM), 3 * MM, FIL, 0)) if matted else (
        FLOAT, None)  # fmt: skip
    mat = Mat(60 * MM, 60 * MM, 60 * MM, 80 * MM, Um(3 * MM)) if matted else None
    inner = frame_sizes(art, base, 3 * MM, mat=mat, depth=Um(14 * MM),
                        window=window.opening_um if window else None)  # fmt: skip
    more, depth, sizes = [], stack_depth(base, 54 * MM, 14 * MM), inner
    for number in range(1, around + 1):
        size = Readings((sizes.outside_um[0],), (sizes.outside_um[1],))
        sizes = frame_sizes(size, WIDE, 3 * MM, depth=depth, around=True)
        more.append(MoreWork(number, f"J12.{layer_letter(number)}", f"WIDE-{number}",
                             "a wide one", "white ash", 66 * MM, WIDE, sizes))  # fmt: skip
        depth = stack_depth(WIDE, 66 * MM, depth)
    if window is not None:
        more.append(MoreWork(FILLET, "J12.f", "FIL-8", "fillet", "", 6 * MM, FIL, window))
    work = Work(
        "J12",
        "The Society of Friends of the Old Harbour" if matted else "R. Aldous",
        "Three boats at dusk",
        "BASE-1",
        "plain",
        "white ash",
        date(2026, 12, 4),
        3,
        art,
        Um(14 * MM),
        matted,
        54 * MM,
        (60 * MM, 60 * MM, 60 * MM, 80 * MM) if matted else None,
        note="the pair hangs beside the stairs" if matted else "",
        phone="555 0142",
    )
    made = ticket(work, base, inner, Bench(), Hanging(), shop="The Glue Pot",
                  day=date(2026, 11, 23), more=more)  # fmt: skip
    return replace(made, price=12_350, rails=8, batches=("B7", "K11"))


def test_each_moulding_of_a_frame_has_a_label_for_its_bundle_of_rails() -> None:
    labels = bundle_labels(layered(1, matted=True), Settings(unit="mm"), 2)
    assert [label.heading for label in labels] == ["J12.2", "J12.2b", "J12.2f"]
    assert ["WIDE-1" in str(label) for label in labels] == [False, True, False]


@pytest.mark.parametrize(
    ("size", "around", "matted", "pages"),
    [("a4", 1, False, 1), ("letter", 1, False, 2), ("letter", 1, True, 2), ("a4", 4, True, 2),
     ("letter", 4, True, 2)],
)  # fmt: skip
def test_mouldings_in_one_another_keep_to_their_pages(
    size: str, around: int, matted: bool, pages: int
) -> None:
    job = layered(around, matted=matted)
    settings = Settings(unit="mm") if size == "a4" else Settings(step="1/64 in")
    read = pages_of(ticket_page(job, settings, size))
    for at, page in enumerate(read, 1):
        assert_sound(page)
        text = page.extract_text()
        assert "J12" in text
        assert pages == 1 or f"page {at} of 2" in text
    assert len(read) == pages
    said = " ".join(page.extract_text() for page in read)
    assert [one.work.profile for one in job.more if one.work.profile not in said] == []
