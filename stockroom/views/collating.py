"""What belongs together on a cut sheet: a frame's rails, frames told alike, rails of one stop."""

from collections.abc import Mapping, Sequence

from planner.values import Reason
from stockroom.facts import Fact
from stockroom.frame.shapes import Angles
from stockroom.views.sheet import Because, Part, Sheet, SheetPiece

__all__ = ["MANY", "Rails", "Stopped", "alike", "alike_told", "called", "collated",
           "frames_as_runs", "job_of", "stop_list", "stops_set"]  # fmt: skip

Rails = tuple[int, int, Angles, tuple[int, ...]]
"""How many rails of a length (um) with the same ends, and the pieces they come from."""
Stopped = tuple[SheetPiece, Part, list[tuple[int, str]]]
"""A rail that stands for all of its profile and length, with the piece it is of, and for each of
them the piece and the frame."""


MANY = 4
"""So many equal frames of a job are gathered by length and count, not one by one."""


def job_of(label: str) -> str:
    """The job of a frame, by its label."""
    return label.partition(".")[0]


def layer_of(label: str) -> str:
    """The letter of a frame's moulding; nothing where its artwork lies."""
    return label.partition(".")[2].lstrip("0123456789")


def collated(sheet: Sheet) -> list[tuple[list[str], list[Rails]]]:
    """The frames that are cut, in the order in which they are whole: their labels and their rails
    by length and ends, longest first; many of one job's moulding together."""
    cut: dict[str, dict[tuple[int, Angles], list[int]]] = {}
    whole: dict[str, int] = {}
    for at, piece in enumerate(sheet.pieces):
        for rail in piece.rails:
            key = rail.length, rail.angles
            cut.setdefault(rail.frame, {}).setdefault(key, []).append(piece.number)
            whole[rail.frame] = at
    equal: dict[tuple[str, str], list[str]] = {}
    for label in sorted(cut, key=whole.__getitem__):
        equal.setdefault((job_of(label), layer_of(label)), []).append(label)
    found = []
    for label in sorted(cut, key=whole.__getitem__):
        every = equal[job_of(label), layer_of(label)]
        if len(every) < MANY:
            found.append(([label], rails_of([cut[label]])))
        elif label == every[-1]:
            found.append((sorted(every, key=number_of), rails_of([cut[one] for one in every])))
    return found


def number_of(label: str) -> int:
    """The number of a frame within its job."""
    return int(label.partition(".")[2].removesuffix(layer_of(label)) or 0)


def rails_of(cut: Sequence[Mapping[tuple[int, Angles], Sequence[int]]]) -> list[Rails]:
    """Rails by length and ends, the longest first, with the pieces that they come from."""
    found = []
    for length, angles in sorted({key for frame in cut for key in frame}, reverse=True):
        pieces = [piece for frame in cut for piece in frame.get((length, angles), ())]
        found.append((len(pieces), length, angles, tuple(sorted(set(pieces), key=pieces.index))))
    return found


def alike_told(frames: Sequence[Because]) -> list[tuple[str | Fact, str, Sequence[Reason]]]:
    """Frames of a job that are told the same in one: how they are called together, the first one's
    label, and what they are told."""
    return [(called(labels), labels[0], why) for labels, why in alike(frames)]


def alike(frames: Sequence[Because]) -> list[tuple[list[str], Sequence[Reason]]]:
    """The labels of frames of a job that are told the same, one after another, and what."""
    groups: list[tuple[list[str], Sequence[Reason]]] = []
    for label, why in frames:
        if groups and job_of(groups[-1][0][0]) == job_of(label) and groups[-1][1] == why:
            groups[-1][0].append(label)
        else:
            groups.append(([label], why))
    return groups


def called(labels: Sequence[str]) -> str | Fact:
    """How frames of a job are called together, such as J34.2..12, or J34, 3 frames; a frame counts
    once, with all its mouldings."""
    if len(labels) == 1:
        return labels[0]
    job, numbers = job_of(labels[0]), [number_of(label) for label in labels]
    letters = {layer_of(label) for label in labels}
    if len(letters) == 1 and numbers == [*range(numbers[0], numbers[-1] + 1)]:
        return f"{labels[0]}..{numbers[-1]}{letters.pop()}"
    return Fact("frames_of_job", {"job": job, "frames": len(set(numbers))})


def equal_rails(piece: SheetPiece) -> list[list[Part]]:
    """A piece's rails in cutting order; neighbours of one length and of one frame, or equal ones of
    a job, together."""
    groups: list[list[Part]] = []
    for part in piece.rails:
        last = groups[-1][0] if groups else None
        if last is not None and (job_of(last.frame), last.length, last.angles) == (
            job_of(part.frame), part.length, part.angles,
        ):  # fmt: skip
            groups[-1].append(part)
        else:
            groups.append([part])
    return groups


def runs(labels: Sequence[str]) -> tuple[str, ...]:
    """Labels, equal frames of a job that follow one another as one, such as J34.2..12."""
    found: list[list[str]] = []
    for label in labels:
        last = found[-1][-1] if found else ""
        follows = (job_of(last), layer_of(last)) == (job_of(label), layer_of(label))
        if follows and number_of(last) + 1 == number_of(label):
            found[-1].append(label)
        else:
            found.append([label])
    return tuple(
        own[0] if len(own) == 1 else f"{own[0]}..{number_of(own[-1])}{layer_of(own[0])}"
        for own in found
    )


def frames_as_runs(reason: Reason | None) -> Reason | None:
    """A reason with the frames that it is about told in runs."""
    if reason is None or not isinstance(frames := reason.about.get("frames"), tuple):
        return reason
    return Reason(reason.code, {**reason.about, "frames": runs(list(map(str, frames)))})


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
