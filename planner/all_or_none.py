"""Linked frames are cut all or none, over all profiles: branch and bound on what each link does.

Profiles are planned each alone, and mostly each can cut all. Where one can't, a link is left out
of all, or asked of all before anything else (due before all others), perhaps of a batch that is
chosen; the sum of the profiles' plans bounds what a branch can reach. Land and Doig, An automatic
method of solving discrete programming problems (1960), from memory.
"""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date

from planner.by_profile import Crew, split, together
from planner.explain.matching import short_of_links, why_matched
from planner.heuristics.best_fit import loose_bounds
from planner.linked import Linked, bundled
from planner.score import reached_by
from planner.sorting import by_age, by_due
from planner.stop import Stop
from planner.values import Frame, Plan, Problem

__all__ = ["planned_linked"]

FIRST, NEXT = 0.6, 0.5
"""So much of the time is for the first plans where links may be torn; of the rest for each next."""

# What is decided of a link: None leaves it out; else the batches chosen, by profile.
Choice = Mapping[str, str] | None
Decided = Mapping[str, Choice]
Plans = Mapping[str, Plan]
Value = tuple[int, ...]


def planned_linked(problem: Problem, crew: Crew, stop: Stop) -> Plan:
    """The best plan that cuts the frames of each link all or none."""
    linked = bundled(problem)
    search = _Search(linked, crew, stop)
    plans = search.best()
    whole = together(linked.problem, plans if search.closed else search.loose(plans))
    plan = replace(whole, cuts=linked.cuts(whole.cuts), why_opened=linked.opened(whole))
    plan = replace(plan, short=short_of_links(problem, linked, plan, search.at_fault))
    return replace(plan, why_matched=why_matched(problem, plan, crew, stop))


class _Search:
    """Decisions on links taken one by one, the profiles planned anew where they are concerned.

    ``closed`` says at the end that nothing can be better; ``at_fault`` are the units that could
    not be cut even while every link could be torn.
    """

    def __init__(self, linked: Linked, crew: Crew, stop: Stop) -> None:
        self.linked, self.crew, self.stop = linked, crew, stop
        self.parts = split(linked.problem)
        self.link_of = {unit: link for link, units in linked.units.items() for unit in units}
        self.tied = {f.profile for f in linked.problem.frames if f.id in self.link_of}
        self.known: dict[tuple[str, tuple[Frame, ...]], Plan] = {}
        self.closed = True
        self.root: Decided = dict.fromkeys(sorted(linked.never))
        # All of the time where no link can be torn.
        whole = all(len(units) == 1 for units in linked.units.values())
        self.first = self.plans(self.root, stop if whole else stop.within(FIRST * stop.left()))
        self.at_fault = frozenset(s.frame for p in self.first.values() for s in p.short)

    def best(self) -> Plans:
        """The plans of the profiles that are best together."""
        if self.torn(self.root, self.first) is None:
            return self.first
        best: tuple[Value, Plans] | None = None
        waiting = [self.root]
        while waiting and not (best and self.stop.over()):
            decided = waiting.pop()
            plans = self.plans(decided, self.stop.within(NEXT * self.stop.left()))
            value = self.value(plans)
            sure = all(plans[name].proof == "optimal" for name in self.tied & plans.keys())
            if best and sure and value <= best[0]:
                continue
            self.closed = self.closed and sure
            link = self.torn(decided, plans)
            if link is None:
                best = max(best or (value, plans), (value, plans), key=lambda found: found[0])
            elif self.stop.over():
                return self.given_up(decided)
            else:
                waiting += self.choices(link, decided, plans)
        self.closed = self.closed and not waiting
        # Every branch but the last leaves a link out, so that one of them is whole.
        return best[1] if best else self.given_up(self.root)

    def plans(self, decided: Decided, stop: Stop) -> Plans:
        """The plan of each profile that has frames with what is decided, each planned once."""
        parts = {profile: self.part(part, decided) for profile, part in self.parts.items()}
        parts = {profile: part for profile, part in parts.items() if part.frames}
        asked = {p: part for p, part in parts.items() if (p, part.frames) not in self.known}
        crew = Crew(1) if stop.over() else self.crew.silent() if self.known else self.crew
        for profile, plan in (crew.plans(asked, stop) if asked else {}).items():
            self.known[profile, asked[profile].frames] = plan
        return {profile: self.known[profile, part.frames] for profile, part in parts.items()}

    def part(self, part: Problem, decided: Decided) -> Problem:
        """A profile's problem with what is decided."""
        frames = [self.asked(frame, decided) for frame in part.frames]
        kept = sorted((frame for frame in frames if frame is not None), key=by_due)
        return replace(part, frames=tuple(kept))

    def asked(self, unit: Frame, decided: Decided) -> Frame | None:
        """A unit as it is decided: left out, or due before all others, perhaps of a batch."""
        link = self.link_of.get(unit.id)
        if link is None or link not in decided:
            return unit
        choice = decided[link]
        if choice is None:
            return None
        batch = choice.get(unit.profile, unit.batch) if unit.one_batch else unit.batch
        return replace(unit, due=date.min, batch=batch)

    def value(self, plans: Plans) -> Value:
        """What is reached in each aim, as a sum to be as great as can be.

        Last the pieces fetched, and their places in age on the rack of their profile.
        """
        places = []
        for profile, plan in plans.items():
            used = {one.piece for one in plan.cuts}
            rack = sorted(self.parts[profile].pieces, key=by_age)
            places += [at for at, piece in enumerate(rack) if piece.id in used]
        aims = reached_by(self.linked.problem, plans.values())
        return *aims, -len(places), -sum(places)

    def torn(self, decided: Decided, plans: Plans) -> str | None:
        """The first link that is cut in part or unmatched, or that is asked for and not cut."""
        batches = self.batches(plans)
        for link, units in self.linked.units.items():
            out = decided.get(link, {}) is None
            missed = link in decided and not all(unit in batches for unit in units)
            if not out and (missed or self.linked.torn(link, batches)):
                return link
        return None

    def batches(self, plans: Plans) -> dict[str, set[str]]:
        """The batches that each unit cut comes from."""
        return self.linked.batches(cut for plan in plans.values() for cut in plan.cuts)

    def choices(self, link: str, decided: Decided, plans: Plans) -> Iterator[Decided]:
        """What a torn link can do: nothing, or all; the last is looked at first."""
        batches = self.batches(plans)
        whole = all(unit in batches for unit in self.linked.units[link])
        if link not in decided:
            yield {**decided, link: None}
            if not whole:
                yield {**decided, link: {}}
        if whole:
            first = self.linked.unmatched(link, batches)[0]
            profile = next(f.profile for f in self.linked.problem.frames if f.id == first)
            for batch in sorted({piece.batch for piece in self.parts[profile].pieces}):
                yield {**decided, link: {**(decided.get(link) or {}), profile: batch}}

    def given_up(self, decided: Decided) -> Plans:
        """Plans at once: links that are torn are left out until none is."""
        self.closed = False
        while True:
            plans = self.plans(decided, self.stop.within(0))
            link = self.torn(decided, plans)
            if link is None:
                return plans
            decided = {**decided, link: None}

    def loose(self, plans: Plans) -> Plans:
        """What holds without all branches closed: profiles with links promise nothing."""
        found = dict(plans)
        for profile in self.tied & plans.keys():
            bounds = loose_bounds(self.parts[profile], plans[profile].reached)
            found[profile] = replace(plans[profile], bounds=bounds, proof="feasible")
        return found
