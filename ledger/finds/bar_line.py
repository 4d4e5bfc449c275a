"""The check in one line, for the bar at the foot of the log form. It reads no row."""

from ledger.finds.checkup import Checkup
from ledger.traits.strip import short_name
from ledger.words import lowered, say, say_n

# As many characters as stand in one line of a phone 390 px wide, two lines of one 320 px wide.
MOST_CHARACTERS = 60


def bar_line(checkup: Checkup) -> str:
    """The standing of the name, and the next look. At most 60 characters.

    Without a name: the taxon that stands out, or how many are still open while none does.
    """
    parts = [_standing(checkup)]
    if checkup.next_trait is not None:
        parts.append(say("next: {trait}", trait=lowered(checkup.next_trait.label).partition(",")[0]))
    line = " · ".join(part for part in parts if part)
    return line if len(line) <= MOST_CHARACTERS else line[: MOST_CHARACTERS - 1].rstrip() + "…"


def _standing(checkup: Checkup) -> str:
    result = checkup.result
    if not checkup.read_count:
        return say("Nothing is read yet")
    if result.taxon and result.standing:
        return f"{short_name(result.taxon)}: {say(result.standing)}"
    if checkup.clear_first:
        return say("Fits best: {taxon}", taxon=short_name(checkup.clear_first.taxon))
    many = checkup.still_open
    if not many:
        return say("No taxon fits")
    return say_n("{n} taxon still open", "{n} taxa still open", many)
