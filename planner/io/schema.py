"""A problem from JSON text, a plan to JSON text: decimal millimetres outside, micrometres inside.

Every length is read exactly from its decimal digits; whatever cannot be read is refused with
what was read, all faults at once.
"""

import json
from collections import Counter
from decimal import Decimal
from typing import Any

from planner.errors import ProblemRefused
from planner.io.reading import Number, Reader, is_text, shown
from planner.validate import given_twice
from planner.values import Frame, Limits, Piece, Plan, Problem, Reason, Rules, Score, Short, Told

__all__ = ["plan_to_json", "problem_from_json", "told_plainly"]


def problem_from_json(text: str) -> Problem:
    """The problem written in this text.

    Raises:
        ProblemRefused: with every fault found.
    """
    read = Reader()
    data = read.table("problem", _loaded(read, text), ("rules", "pieces", "frames"),
                      ("profiles", "worth", "aims", "limits"))  # fmt: skip
    rules = _rules(read, "rules", data.get("rules", {})) if "rules" in data else None
    named = data.get("profiles", {})
    profiles = {
        name: _rules(read, f"profiles.{name}", value, rules)
        for name, value in read.table("profiles", named, (), named).items()
    }
    pieces = [
        _piece(read, f"pieces[{i}]", value)
        for i, value in enumerate(read.items("pieces", data.get("pieces", [])))
    ]
    frames = [
        _frame(read, f"frames[{i}]", value)
        for i, value in enumerate(read.items("frames", data.get("frames", [])))
    ]
    points = data.get("worth", {})
    worth = {
        name: _points(read, f"worth.{name}", value)
        for name, value in read.table("worth", points, (), points).items()
    }
    aims = data.get("aims", "ordered")
    if aims not in ("ordered", "weighed"):
        read.fault("aims", f'{shown(aims)} was read; "ordered" or "weighed" is expected')
    limits = _limits(read, data.get("limits", {}))
    if read.faults:
        raise ProblemRefused((*read.faults, *_twice(pieces, frames)))
    return Problem(rules, tuple(pieces), tuple(frames), profiles, worth, aims, limits)  # type: ignore[arg-type]


def _twice(pieces: list[Piece | None], frames: list[Frame | None]) -> tuple[str, ...]:
    """Ids that are given twice among what could be read."""
    return (
        *given_twice("piece", (piece.id for piece in pieces if piece)),
        *given_twice("frame", (frame.id for frame in frames if frame)),
    )


def _loaded(read: Reader, text: str) -> Any:
    def once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        for key, times in Counter(key for key, _ in pairs).items():
            if times > 1:
                read.fault("problem", f"key {shown(key)} is given twice in one object")
            if not is_text(key):
                read.fault("problem", f"key {shown(key)} is no text that can be written")
        return dict(pairs)

    try:
        # NaN and Infinity are taken as numbers here, and refused where a number is read.
        return json.loads(
            text, parse_float=Number, parse_int=Number, parse_constant=Number,
            object_pairs_hook=once,
        )  # fmt: skip
    except json.JSONDecodeError as error:
        raise ProblemRefused(
            (f"problem: not JSON at line {error.lineno}, column {error.colno}: {error.msg}",)
        ) from None
    except RecursionError:
        raise ProblemRefused(("problem: nested too deeply to be read",)) from None


def _rules(read: Reader, where: str, value: Any, general: Rules | None = None) -> Rules | None:
    """Rules in full; beside the general ones in part, the rest is as there."""
    names, also = ("cut_allowance_mm", "end_trim_mm", "keep_mm"), ("margin_mm",)
    if where == "rules":
        data = read.table(where, value, names, also)
    else:
        data = read.table(where, value, (), (*names, *also))
    parts = [
        read.length(f"{where}.{n}", data[n])
        if n in data
        else getattr(general, n.removesuffix("_mm"), 0)
        for n in (*names, *also)
    ]
    made: Rules | None = read.made(where, Rules, *parts)
    return made


def _piece(read: Reader, where: str, value: Any) -> Piece | None:
    data = read.table(where, value, ("id", "profile", "batch", "kind", "length_mm"),
                      ("since", "flaws_mm", "ends"))  # fmt: skip
    data, whole = _filled(data, ("id", "profile", "batch", "kind", "length_mm"))
    flaws = []
    for i, flaw in enumerate(read.items(f"{where}.flaws_mm", data.get("flaws_mm", []))):
        ends = read.items(f"{where}.flaws_mm[{i}]", flaw)
        if len(ends) != 2:
            read.fault(f"{where}.flaws_mm[{i}]", "a flaw is a pair: where it starts, where it ends")
            continue
        start, end = (read.length(f"{where}.flaws_mm[{i}]", e) for e in ends)
        flaws.append((start, end))
    made: Piece | None = read.made(
        where, Piece if whole else _nothing,
        id=read.text(f"{where}.id", data["id"]),
        profile=read.text(f"{where}.profile", data["profile"]),
        batch=_batch(read, f"{where}.batch", data["batch"]),
        kind=data["kind"],
        length=read.length(f"{where}.length_mm", data["length_mm"]),
        since=read.day(f"{where}.since", data.get("since")),
        flaws=tuple(flaws),
        ends=_ends(read, f"{where}.ends", data["ends"]) if "ends" in data else (),
    )  # fmt: skip
    return made


def _filled(data: dict[str, Any], wanted: tuple[str, ...]) -> tuple[dict[str, Any], bool]:
    """An object with something in the place of what is missing, and whether it was whole.

    So the faults of what is there are found beside those of what is not.
    """
    blank = {"rails_mm": [], "length_mm": Number("1")}
    return {**{key: blank.get(key, "-") for key in wanted}, **data}, all(k in data for k in wanted)


def _nothing(**_: Any) -> None:
    """Nothing is made of an object that lacks something."""


def _ends(read: Reader, where: str, value: Any) -> tuple[str, ...]:
    """The kinds of a piece's two ends, first and last."""
    ends = read.items(where, value)
    if len(ends) != 2 or not all(end in ("factory", "cut", "square") for end in ends):
        read.fault(where, 'the kinds of both ends are expected, each "factory", "cut" or "square"')
        return ()
    return tuple(ends)


def _batch(read: Reader, where: str, value: Any) -> str:
    """A batch may be left empty: not known."""
    return "" if value == "" and not isinstance(value, Number) else read.text(where, value)


def _frame(read: Reader, where: str, value: Any) -> Frame | None:
    data = read.table(where, value, ("id", "profile", "rails_mm"),
                      ("due", "one_batch", "one_piece", "pin", "batch"))  # fmt: skip
    data, whole = _filled(data, ("id", "profile", "rails_mm"))
    rails = read.items(f"{where}.rails_mm", data["rails_mm"])
    made: Frame | None = read.made(
        where, Frame if whole else _nothing,
        id=read.text(f"{where}.id", data["id"]),
        profile=read.text(f"{where}.profile", data["profile"]),
        rails=tuple(read.length(f"{where}.rails_mm[{i}]", r) for i, r in enumerate(rails)),
        due=read.day(f"{where}.due", data.get("due")),
        one_batch=read.truth(f"{where}.one_batch", data.get("one_batch", False)),
        one_piece=read.truth(f"{where}.one_piece", data.get("one_piece", False)),
        pin=read.maybe_text(f"{where}.pin", data.get("pin")),
        batch=read.maybe_text(f"{where}.batch", data.get("batch")),
    )  # fmt: skip
    return made


def _points(read: Reader, where: str, value: Any) -> tuple[tuple[int, int], ...]:
    points = []
    for i, point in enumerate(read.items(where, value)):
        pair = read.items(f"{where}[{i}]", point)
        if len(pair) != 2:
            read.fault(f"{where}[{i}]", "a point is a pair: a length, and its worth")
            continue
        length, worth = (read.length(f"{where}[{i}]", p) for p in pair)
        points.append((length, worth))
    return tuple(points)


def _limits(read: Reader, value: Any) -> Limits | None:
    data = read.table("limits", value, (), ("seconds", "workers"))
    seconds = read.decimal("limits.seconds", data["seconds"]) if "seconds" in data else Decimal(10)
    workers = read.decimal("limits.workers", data["workers"]) if "workers" in data else Decimal(1)
    if seconds is None or workers is None:
        return None
    if workers != workers.to_integral_value() or abs(workers) > 1024:
        read.fault("limits.workers", f"{workers} was read; a whole number to 1024 is expected")
        return None
    made: Limits | None = read.made("limits", Limits, float(seconds), int(workers))
    return made


def plan_to_json(plan: Plan) -> str:
    """The plan as JSON text, lengths in decimal mm; the same plan always reads the same."""
    return json.dumps({
        "cuts": [{
            "piece": cut.piece,
            "stretch": cut.stretch,
            "rails": [
                {"frame": r.frame, "rail": r.rail, "length_mm": _mm(r.length)} for r in cut.rails
            ],
            "leftover_mm": _mm(cut.leftover),
            "kept": cut.kept,
        } for cut in plan.cuts],
        "short": [_short(short) for short in plan.short],
        "reached": _score(plan.reached),
        "bounds": _score(plan.bounds),
        "proof": plan.proof,
        "seconds": round(plan.seconds, 3),
        "why_opened": {name: _reason(why) for name, why in plan.why_opened.items()},
        "why_pinned": {name: _reason(why) for name, why in plan.why_pinned.items()},
    }, indent=1, ensure_ascii=False)  # fmt: skip


def _short(short: Short) -> dict[str, Any]:
    cure = {} if short.cure is None else {"cure": _reason(short.cure)}
    return {"frame": short.frame, "why": _reason(short.why), **cure}


def _reason(reason: Reason) -> dict[str, Any]:
    """A reason by its code, lengths in decimal mm."""
    about = {
        name.removesuffix("_um") + "_mm" if name.endswith("_um") else name: _told(name, told)
        for name, told in reason.about.items()
    }
    return {"code": reason.code, **about}


def told_plainly(reason: Reason) -> str:
    """A reason as a program shows it: its code, then what it is about."""
    code, *about = _reason(reason).items()
    what = code[1].removesuffix("_of").replace("_", " ")
    return f"{what}: " + ", ".join(f"{name} {told}" for name, told in about)


def _told(name: str, told: Told) -> Any:
    if isinstance(told, int):
        return _mm(told) if name.endswith("_um") else told
    return list(told) if isinstance(told, tuple) else told


def _score(score: Score) -> dict[str, Any]:
    return {
        "frames_cut": score.frames_cut,
        "stick_opened_mm": _mm(score.stick_opened),
        "worth_mm": _mm(score.worth),
    }


def _mm(length: int) -> int | float:
    """Micrometres as decimal mm: under 2**53 um the shortest decimal of the quotient is exact."""
    return length // 1000 if length % 1000 == 0 else length / 1000
