"""What must be said before something is written at the bench: a reason, a possible day, grounds for a bold name.

Each function returns the refusal as a sentence, or an empty text. The forms and the actions ask the same functions.
"""

from datetime import date

from ledger.bench.models import Determination
from ledger.days import day_text
from ledger.finds import assess
from ledger.finds.models import Find
from ledger.names.errors import TaxonNameError
from ledger.names.parse import parse_name
from ledger.taxa.models import Taxon
from ledger.taxa.queries import current_reference
from ledger.traits.check import check_specimen
from ledger.words import later, say

# A reason is read by somebody else in ten years; "ok" tells them nothing.
LEAST_REASON_CHARACTERS = 10

NO_REASON = later(
    "No reason was given. Nothing was settled; say in a few words why, so that it holds up in ten years."
)
# Flags that doubt the day of the find itself.
DATE_FLAGS = frozenset({"date_future", "date_too_early", "photo_date_differs"})

_NAMES_A_GENUS = frozenset({"genus", "species", "subspecies", "variety", "form"})


def reason_refused(reason: str) -> str:
    """Why this is no reason to settle by."""
    said = reason.strip()
    if not said:
        return str(NO_REASON)
    if len(said) < LEAST_REASON_CHARACTERS:
        return say(
            "“{said}” says too little to hold up in ten years. Nothing was settled and what you typed was "
            "kept; say in {least_reason_characters} characters or more what you looked at.",
            said=said,
            least_reason_characters=LEAST_REASON_CHARACTERS,
        )
    return ""


def is_date_doubted(find: Find) -> bool:
    """Whether an open flag doubts the day of the find."""
    return any(flag.code in DATE_FLAGS and flag.is_open for flag in find.flags.all())


def day_refused(find: Find, determined_on: date, *, find_date_wrong: bool) -> str:
    """Why a name cannot be of that day: nobody names what has not been found yet.

    Where the day of the find is flagged itself, the determiner may say that it is the one that is wrong.
    """
    if find.found_on is None or determined_on >= find.found_on:
        return ""
    doubted = is_date_doubted(find)
    if doubted and find_date_wrong:
        return ""
    days = {"named_on": day_text(determined_on), "found_on": day_text(find.found_on)}
    if doubted:
        return say(
            "The name would be of {named_on}, before the find of {found_on}. Nothing was written and what you typed was "
            "kept; correct the day, or tick that the find's own date is wrong.",
            **days,
        )
    return say(
        "The name would be of {named_on}, before the find of {found_on}. Nothing was written and what you typed was kept; "
        "correct the day.",
        **days,
    )


def grounds_refused(find: Find, *, name_typed: str, taxon: Taxon | None, grounds: str) -> str:
    """Why this name needs grounds that were not given: the readings rule it out, or it is of another genus."""
    if grounds.strip() or not name_typed:
        return ""
    why = []
    if taxon is not None and _is_ruled_out(find, taxon):
        why.append(say("The readings of this find rule {taxon} out.", taxon=taxon.name))
    before, now = _genus_of(find.current_determination), _genus(name_typed, taxon)
    if before and now and before != now:
        why.append(say("{now} is another genus than {before}.", now=now, before=before))
    if not why:
        return ""
    return say(
        "{why} Nothing was written and what you typed was kept; say on what grounds it is named so, "
        "here or in the note.",
        why=" ".join(why),
    )


def _is_ruled_out(find: Find, taxon: Taxon) -> bool:
    rows = [row for row in find.readings.all() if row.ended_at is None]
    result = check_specimen(current_reference(), assess.specimen_of(find, rows, taxon.name), for_flags=True)
    return result.standing == "ruled out"


def _genus_of(name: Determination | None) -> str:
    return _genus(name.name_typed, name.taxon) if name else ""


def _genus(typed: str, taxon: Taxon | None) -> str:
    """The genus under its accepted name where the taxon is known; empty where the name is of no genus."""
    if taxon is not None:
        return taxon.name.split()[0]
    try:
        name = parse_name(typed)
    except TaxonNameError:
        return ""
    return name.genus or "" if name.rank in _NAMES_A_GENUS and not name.abbreviated else ""
