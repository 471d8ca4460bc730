"""What belongs together on a cut sheet: a frame's rails, frames told alike, rails of one stop."""

from collections.abc import Sequence

from planner.values import Reason
from stockroom.facts import Fact
from stockroom.frame.shapes import Angles
from stockroom.views.sheet import Because, Part, Sheet, SheetPiece

__all__ = ["Rails", "Stopped", "alike", "alike_told", "collated", "stop_list", "stops_set"]

Rails = tuple[int, int, tuple[int, ...]]
"""How many rails of a length (um), and the pieces they come from."""
Stopped = tuple[SheetPiece, Part, list[tuple[int, str]]]
"""A rail that stands for all of its profile and length, with the piece it is of, and for each of
them the piece and the frame."""


def collated(sheet: Sheet) -> dict[str, list[Rails]]:
    """The frames that are cut, in the order in which they are whole: their rails by length, longest
    first."""
    cut: dict[str, dict[int, list[int]]] = {}
    whole: dict[str, int] = {}
    for at, piece in enumerate(sheet.pieces):
        for rail in piece.rails:
            cut.setdefault(rail.frame, {}).setdefault(rail.length, []).append(piece.number)
            whole[rail.frame] = at
    return {
        label: [(len(pieces), length, tuple(dict.fromkeys(pieces)))
                for length, pieces in sorted(cut[label].items(), reverse=True)]
        for label in sorted(cut, key=whole.__getitem__)
    }  # fmt: skip


def alike_told(frames: Sequence[Because]) -> list[tuple[str | Fact, str, Sequence[Reason]]]:
    """Frames of a job that are told the same in one: how they are called together, the first one's
    label, and what they are told."""
    return [(called(labels), labels[0], why) for labels, why in alike(frames)]


def alike(frames: Sequence[Because]) -> list[tuple[list[str], Sequence[Reason]]]:
    """The labels of frames of a job that are told the same, one after another, and what."""
    groups: list[tuple[list[str], Sequence[Reason]]] = []
    for label, why in frames:
        job = label.partition(".")[0]
        if groups and groups[-1][0][0].partition(".")[0] == job and groups[-1][1] == why:
            groups[-1][0].append(label)
        else:
            groups.append(([label], why))
    return groups


def called(labels: Sequence[str]) -> str | Fact:
    """How frames of a job are called together, such as J34.2..12, or J34, 3 frames."""
    if len(labels) == 1:
        return labels[0]
    job = labels[0].partition(".")[0]
    numbers = [int(label.partition(".")[2] or 0) for label in labels]
    if numbers == [*range(numbers[0], numbers[-1] + 1)]:
        return f"{labels[0]}..{numbers[-1]}"
    return Fact("frames_of_job", {"job": job, "frames": len(labels)})


def stops_set(sheet: Sheet) -> int:
    """How often a stop is set along the walk, each machine's own."""
    stands: dict[str, int] = {}
    times = 0
    for piece in sheet.pieces:
        for rail in piece.rails:
            read = piece.measures(rail)[0][1]
            times += stands.get(piece.machine) != read
            stands[piece.machine] = read
    return times


def stop_list(sheet: Sheet) -> list[Stopped]:
    """All rails by machine and profile, the longest first, those of one length together."""
    found: dict[tuple[str, str, Angles, int], Stopped] = {}
    for piece in sheet.pieces:
        for rail in piece.rails:
            key = (piece.machine, piece.profile, rail.angles, -rail.length)
            found.setdefault(key, (piece, rail, []))[2].append((piece.number, rail.frame))
    return [found[key] for key in sorted(found)]
