"""Open flags of a find as its label must heed them: a stop bars the label, a doubt on what is printed is told.

Severity and sentences are those of the one table of flags. A sentence that tells a kept-back place is told by its
label only.
"""

from dataclasses import dataclass
from functools import reduce

from ledger.bench.models import Flag
from ledger.finds import tables
from ledger.finds.access import sees_exact_place
from ledger.finds.models import Find
from ledger.people.models import Member
from ledger.words import later, say, say_n, together

# What a label prints, by the code of the doubt that is cast on it. Other doubts (photos, say) are not on the label.
DOUBTS_ON = {
    "place_missing": later("place"),
    "place_at_sea": later("place"),
    "place_outside_area": later("place"),
    "photo_place_differs": later("place"),
    "uncertainty_impossible": later("place"),
    "uncertainty_huge": later("place"),
    "altitude_out_of_range": later("place"),
    "date_missing": later("date"),
    "date_too_early": later("date"),
    "photo_date_differs": later("date"),
    "clock_far_off": later("date"),
    "named_before_found": later("date"),
    "season_outside": later("date"),
    "trait_outside": later("measures"),
    "house_rule": later("measures"),
    "number_void": later("collecting number"),
}


@dataclass(frozen=True, slots=True)
class OpenFlags:
    """`stops`: sentences of open stop flags. `doubts`: what doubts are open on, among those of DOUBTS_ON."""

    stops: tuple[str, ...] = ()
    doubts: tuple[str, ...] = ()

    @property
    def mark(self) -> str:
        """The mark of the worst of them, or an empty text."""
        return "stop" if self.stops else "doubt" if self.doubts else ""

    @property
    def words(self) -> str:
        """What the mark means for the label, for its row."""
        if self.stops:
            return say("not printed while its stop flag is open: decide on it at the bench")
        if self.doubts:
            topics = reduce(
                lambda told, topic: say("{first} and {last}", first=told, last=topic), self.doubts
            )
            return say("open doubt on {topics}: prints as recorded", topics=topics)
        return ""


def open_flags(find: Find, member: Member) -> OpenFlags:
    """Return the open flags that matter to the label of *find*, worded for *member*."""
    known = [flag for flag in find.flags.all() if flag.is_open]
    exact = sees_exact_place(find, member)
    doubts = {DOUBTS_ON.get(flag.code, "") for flag in known if _severity(flag) == "doubt"}
    return OpenFlags(
        stops=tuple(_sentence(flag, exact=exact) for flag in known if _severity(flag) == "stop"),
        doubts=tuple(topic for topic in dict.fromkeys(DOUBTS_ON.values()) if topic in doubts),
    )


def stop_refusal(flags: OpenFlags, number: str) -> str:
    """Return why the label of that number is not printed and what to do, or an empty text."""
    if not flags.stops:
        return ""
    if more := len(flags.stops) - 1:
        return say_n(
            "{number} was not printed: a stop flag is open on it. {flag} {n} more is open. Decide on it at the bench, then "
            "print.",
            "{number} was not printed: a stop flag is open on it. {flag} {n} more are open. Decide on it at the bench, then "
            "print.",
            more,
            number=number,
            flag=flags.stops[0],
        )
    return say(
        "{number} was not printed: a stop flag is open on it. {flag} Decide on it at the bench, then print.",
        number=number,
        flag=flags.stops[0],
    )


def _severity(flag: Flag) -> str:
    kind = tables.flag_table().kinds.get(flag.code)
    return kind.severity if kind else flag.severity


def _sentence(flag: Flag, *, exact: bool) -> str:
    kind = tables.flag_table().kinds.get(flag.code)
    return together([say(kind.label), "."], "") if kind and kind.tells_place and not exact else flag.in_words
