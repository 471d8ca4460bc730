"""What labels say, the fullest first: of a piece, of a frame's back, of a bundle of rails."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from stockroom.facts import Fact
from stockroom.frame.bench_ticket import Ticket
from stockroom.frame.layers import layer_letter
from stockroom.frame.sizes import FrameSizes, Moulding
from stockroom.paper.label_layout import LabelLine, Wording, short
from stockroom.refusals import Refused
from stockroom.settings.shop_settings import Settings
from stockroom.views.saw_rows import saw_rows
from stockroom.views.ticket_rows import heavy
from stockroom.words.language import NO_SHOP, Shown, word
from stockroom.words.plan_reasons import in_words, whole

__all__ = ["FLAWS", "Label", "back_label", "bundle_labels"]

FLAWS = "flaws from this end"
NAMES = (40, 24, 12)
"""How many letters of a customer's name stand on a label, as there is room."""
ENDS = (12, 7)
"""So many letters of a long batch or place, the last ones, as there is room."""
MOST_RAILS = 3
"""Of more different lengths a label says how many rails they are."""


@dataclass(frozen=True, slots=True)
class Label:
    """A piece: its number, and the rest as it is printed; the day it came. What else is to be known
    of it (its ``marks``) is never left out."""

    number: int
    profile: str
    batch: str
    kind: str
    length: str
    spot: str
    since: date
    marks: tuple[Fact, ...] = ()
    shop: Shown = NO_SHOP

    @property
    def wording(self) -> Wording:
        """Profile and length are never shortened. Where there is little room the note on flaws goes
        first, then the words stick and offcut, then the date."""
        name = f"{self.number}"
        return Wording(name, name, tuple(marked(self)),
                       word("{profile} and {length} of piece {name}", profile=self.profile,
                            length=self.length, name=name))  # fmt: skip


def marked(label: Label) -> Iterator[tuple[LabelLine, ...]]:
    """What a piece's label may say, always with what else is to be known of the piece."""
    if not label.marks:
        yield from piece_lines(label)
        return
    each = tuple(LabelLine(in_words(mark, label.shop), bold=True, size=0.8) for mark in label.marks)
    for said in (each, (LabelLine(whole(label.marks, label.shop), bold=True, size=0.6),)):
        yield from ((*lines, *said) for lines in piece_lines(label))


def piece_lines(label: Label) -> Iterator[tuple[LabelLine, ...]]:
    """What a piece's label may say: its batch and place whole, else the ends of them, which tell
    them from others that begin alike."""
    yield from lines_with(label, label.batch, label.spot)
    for most in ENDS:
        if max(len(label.batch), len(label.spot)) > most:
            yield from lines_with(label, end_of(label.batch, most), end_of(label.spot, most))


def end_of(text: str, most: int) -> str:
    """The last letters of a text that is longer than so many."""
    return text if len(text) <= most else f"…{text[1 - most :]}"


def lines_with(label: Label, batch: str, spot: str) -> Iterator[tuple[LabelLine, ...]]:
    """What a piece's label may say with its batch and place told so."""
    profile, spot = label.profile, spot or word("place ?")
    day = label.since.isoformat()
    named = LabelLine(profile, batch, bold=True)
    length = LabelLine(
        f"{word(label.kind) if label.kind else ''} {label.length}".strip(), bold=True
    )
    yield named, length, LabelLine(spot, day), LabelLine(word(FLAWS), size=0.7)
    yield named, length, LabelLine(spot, day)
    length = LabelLine(label.length, bold=True)
    yield named, length, LabelLine(spot, day)
    yield (
        LabelLine(profile, bold=True),
        LabelLine(label.length, batch, bold=True),
        LabelLine(spot, day),
    )
    yield LabelLine(profile, bold=True), LabelLine(label.length, spot, bold=True), LabelLine(batch)
    yield named, length, LabelLine(spot)
    yield LabelLine(profile, bold=True), length, LabelLine(batch, spot)


def frame_name(ticket: Ticket, frame: int) -> str:
    """A frame of a job: by the job's number alone where it has no other."""
    return ticket.label if ticket.quantity == 1 else f"{ticket.label}.{frame}"


def back_label(ticket: Ticket, settings: Settings, frame: int = 1) -> Wording:
    """For the back of a finished frame: whose it is, what it weighs, and its fixings, of which
    nothing is left out.

    Raises:
        Refused: it is no whole frame, so that nothing is hung.
    """
    hang, name = ticket.hanging, frame_name(ticket, frame)
    if hang is None:
        raise Refused("nothing_hangs", job=int(ticket.label[1:]))
    sure = (
        word("as weighed") if all(weight.given for weight in ticket.weights) else word("estimated")
    )
    weight = LabelLine(" ".join(heavy(ticket.grams, settings)), sure, bold=True)
    each = " ".join(heavy(hang.rated_kg * 1000 / hang.factor, settings, up=True))
    apart = settings.length_with_unit(settings.settable(hang.span_um, "nearest"))
    fixed = [LabelLine(word("fixings {down} from the top", down=settings.length(hang.down_um))),
             LabelLine(word("{apart} apart, each for {each}", apart=apart, each=each))]  # fmt: skip
    if hang.rise_um is not None:
        hook = settings.length(hang.down_um - hang.rise_um)
        fixed.append(LabelLine(word("on a wire, hook {hook} from the top", hook=hook)))
    title = LabelLine(short(ticket.title, 40))
    lines = [(LabelLine(short(ticket.customer, NAMES[0]), bold=True), title, weight,
              *fixed)] if ticket.title else []  # fmt: skip
    lines += [
        (LabelLine(short(ticket.customer, most), bold=True), weight, *fixed) for most in NAMES
    ]
    return Wording(
        name, ticket.label, tuple(lines), word("weight and fixings of {name}", name=name)
    )


def bundle_labels(ticket: Ticket, settings: Settings, frame: int = 1) -> list[Wording]:
    """For the bundles of rails of a frame, one for each of its mouldings."""
    whole = [(ticket.profile, ticket.moulding, ticket.sizes, "")]
    whole += [(one.work.profile, one.work.moulding, one.work.sizes, layer_letter(one.work.number))
              for one in ticket.more]  # fmt: skip
    return [bundle_label(ticket, settings, frame, *one) for one in whole]


def bundle_label(
    ticket: Ticket, settings: Settings, frame: int, profile_code: str, moulding: Moulding,
    sizes: FrameSizes, letter: str,
) -> Wording:  # fmt: skip
    """For a bundle of rails: whose they are, the profile, what rails, when they are due."""
    name = frame_name(ticket, frame)
    if letter:
        name += letter if ticket.quantity > 1 else f".{letter}"
    rows = saw_rows(sizes, moulding)
    rails = ", ".join(f"{row.many} × {settings.length(row.long_um)}" for row in rows[:MOST_RAILS])
    rails = f"{rails} {settings.unit}"
    if len(rows) > MOST_RAILS:
        rails = word("{rails:rail} of {sizes} lengths", rails=len(sizes.lengths_um),
                     sizes=len(rows))  # fmt: skip
    profile, cut = (
        LabelLine(profile_code, bold=True),
        LabelLine(rails, bold=True),
    )
    due = LabelLine(word("due"), ticket.due.isoformat())
    whose = [LabelLine(short(ticket.customer, most)) for most in NAMES]
    return Wording(name, ticket.label, ((whose[0], profile, cut, due),
                                        *((line, profile, cut) for line in whose)),
                   word("{profile} and {rails} of {name}", profile=profile_code, rails=rails,
                        name=name))  # fmt: skip
