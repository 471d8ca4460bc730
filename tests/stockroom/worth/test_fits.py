"""Packing against every way of packing."""

from itertools import product
from random import Random

from stockroom.worth.fits import packs


def any_way(sizes: list[int], rooms: list[int]) -> bool:
    """Whether one of all ways of putting each size into a room overfills none."""
    return any(
        all(sum(s for s, at in zip(sizes, way, strict=True) if at == n) <= room
            for n, room in enumerate(rooms))
        for way in product(range(len(rooms)), repeat=len(sizes))
    )  # fmt: skip


def test_it_finds_what_trying_every_way_finds() -> None:
    luck = Random(5)
    answers = []
    for _ in range(300):
        sizes = sorted((luck.randint(10, 60) for _ in range(luck.randint(1, 5))), reverse=True)
        rooms = [luck.randint(20, 110) for _ in range(luck.randint(1, 3))]
        answers.append(packs(sizes, rooms, 10_000))
        assert answers[-1] == any_way(sizes, rooms), (sizes, rooms)
    assert 50 < sum(answers) < 250


def test_out_of_steps_it_says_no() -> None:
    # Only the third room tried for the largest leaves the others theirs.
    sizes, rooms = [6, 5, 4, 3], [9, 9]
    assert packs(sizes, rooms)
    assert not packs(sizes, rooms, 3)


def test_nothing_fits_everywhere_and_something_nowhere() -> None:
    assert packs([], [])
    assert packs([5], [5])
    assert not packs([5], [])
    assert not packs([5, 5], [9])
