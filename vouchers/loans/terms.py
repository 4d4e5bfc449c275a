"""Terms of a loan in words, as the trade makes them, and the cautions of its form. Pure."""

from collections.abc import Sequence

from ledger.words import later, say

# [practice.md 6: loan conditions of large collections as the trade's pattern] The curator changes them for one loan.
_TERMS = (
    later("The loan is made to the institution, whose head answers for it."),
    later(
        "The specimens are kept dry, away from pests and apart from fresh material, and are looked at in the institution's "
        "own rooms."
    ),
    later("Nothing is lent or passed on to anybody else without our leave in writing."),
    later(
        "Nothing is cut, ground, mounted or otherwise used up. Leave to sample is asked for in writing, case by case; this "
        "loan does not imply it."
    ),
    later(
        "Each opinion is written on a slip of its own, with name and date, and put into the packet. No label or earlier "
        "slip is written on, covered or taken out."
    ),
    later("Exact places on the labels are for the work only and are not published."),
    later(
        "Publications name the collection and the number of each specimen; a copy or the address of it is sent to us."
    ),
    later("All is returned by the due date, or a longer time is asked for before it."),
)


def usual_terms() -> str:
    """The terms that are proposed for a loan, a line each."""
    return "\n".join(f"{number}. {term}" for number, term in enumerate(_TERMS, start=1))


_OPEN_IT = later(
    "Open it in a room without other specimens; let a cold parcel come to the warmth of the room before it is opened."
)
_MOST_NAMED = 12  # a line and a half
_COUNT_IT = later(
    "Count the specimens against this list on arrival, sign, and send one copy back. Say at once what is missing or "
    "damaged."
)


def cautions(not_frozen: Sequence[str]) -> tuple[str, ...]:
    """The cautions on the form of a loan. `not_frozen`: the numbers of those without freezing on record.

    A parcel is called frozen only where freezing is on record for all that is in it.
    """
    if not not_frozen:
        packed = say("Packed dry, dead and frozen against insects.")
        mark = say("dead, dried, frozen fungi for study")
    else:
        named, more = ", ".join(not_frozen[:_MOST_NAMED]), len(not_frozen) - _MOST_NAMED
        if more > 0:
            packed = say(
                "Not frozen on record: {named} and {n} more. Freeze on arrival, before it comes near other specimens.",
                named=named,
                n=more,
            )
        else:
            packed = say(
                "Not frozen on record: {named}. Freeze on arrival, before it comes near other specimens.",
                named=named,
            )
        mark = say("dead, dried fungi for study")
    return (
        f"{packed} {_OPEN_IT}",
        say(
            "For a parcel over a border: mark it “{mark}”. Wood in it may need a plant-health paper of its own; ask before "
            "it is sent. Send it back so that it can be traced.",
            mark=mark,
        ),
        str(_COUNT_IT),
    )


NO_SAMPLING = later(
    "Nothing of these specimens may be cut or used up: a loan does not imply leave to sample."
)
