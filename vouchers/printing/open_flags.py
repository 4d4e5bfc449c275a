"""Open flags of a find as its label must heed them: a stop bars the label, a doubt on what is printed is told.

Severity and sentences are those of the one table of flags. A sentence that tells a kept-back place is told by its
label only.
"""

from dataclasses import dataclass

from ledger.bench.models import Flag
from ledger.finds import tables
from ledger.finds.access import sees_exact_place
from ledger.finds.models import Find
from ledger.people.models import Member

# What a label prints, by the code of the doubt that is cast on it. Other doubts (photos, say) are not on the label.
DOUBTS_ON = {
    "place_missing": "place",
    "place_at_sea": "place",
    "place_outside_area": "place",
    "photo_place_differs": "place",
    "uncertainty_impossible": "place",
    "uncertainty_huge": "place",
    "altitude_out_of_range": "place",
    "date_missing": "date",
    "date_too_early": "date",
    "photo_date_differs": "date",
    "clock_far_off": "date",
    "named_before_found": "date",
    "season_outside": "date",
    "trait_outside": "measures",
    "house_rule": "measures",
    "number_void": "collecting number",
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
            return "not printed while its stop flag is open: decide on it at the bench"
        if self.doubts:
            return f"open doubt on {' and '.join(self.doubts)}: prints as recorded"
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
    more = len(flags.stops) - 1
    others = f" {more} more {'is' if more == 1 else 'are'} open." if more else ""
    return (
        f"{number} was not printed: a stop flag is open on it. {flags.stops[0]}{others} "
        "Decide on it at the bench, then print."
    )


def _severity(flag: Flag) -> str:
    kind = tables.flag_table().kinds.get(flag.code)
    return kind.severity if kind else flag.severity


def _sentence(flag: Flag, *, exact: bool) -> str:
    kind = tables.flag_table().kinds.get(flag.code)
    return f"{kind.label}." if kind and kind.tells_place and not exact else flag.in_words
