"""A mixed collection parted into shares: each a find of its own, of the same gathering, with a letter behind its number."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from string import ascii_uppercase

from django.utils import timezone

from ledger.bench.models import Determination
from ledger.finds import sensitive
from ledger.finds.entries import RECORD_FIELDS, NameGiven
from ledger.finds.flagging import recheck
from ledger.finds.history import record_change
from ledger.finds.models import Find, Status
from ledger.people.models import Member
from ledger.search import keeping
from ledger.words import say, say_n

FEWEST = 2
# What holds for the gathering goes with each share. What was seen on the mixture stays with it: nobody can say of which
# share it was.
_OF_THE_MIXTURE = {"kept", "fruit_bodies", "smell", "note", "specimen_state", "specimen_age"}
SHARED_FIELDS = tuple(name for name in RECORD_FIELDS if name not in _OF_THE_MIXTURE)


class SplitRefused(ValueError):
    """The collection cannot be split; the text says why, what was kept and what to do."""


@dataclass(frozen=True, slots=True)
class Share:
    """One share as the curator sorted it out: its name, if it has one, and a note by which it is known again."""

    name: NameGiven = field(default_factory=NameGiven)
    note: str = ""


def split_find(find: Find, shares: Sequence[Share], *, by: Member, now: datetime) -> list[Find]:
    """Write a find for each share, and return them. *find* is locked by the caller, in whose transaction this happens.

    Place, day, wood and finder are those of the gathering; readings, photos and names of the mixture stay with *find*.
    A place that is kept back stays so for every share, and a name of one share keeps it back for all.
    """
    _refuse(find, shares)
    letters = free_letters(find)
    if len(letters) < len(shares):
        raise SplitRefused(
            say(
                "{number} was not split: {n} letters are left for {n2} shares. Nothing was changed.",
                number=find.collecting_number,
                n=len(letters),
                n2=len(shares),
            )
        )
    made = []
    for share, letter in zip(shares, letters, strict=False):
        made.append(_made(find, share, letter, by, now))
        # The name of this share may have closed the place of the whole gathering; the next one takes it over.
        find.refresh_from_db(fields=["named_blur_step_deg", "place_opened"])
    said = ", ".join(share.collecting_number for share in made)
    record_change(find, field="split", old="", new=said, by=by, now=now)
    find.version, find.changed_at = find.version + 1, now
    if find.status == Status.SETTLED:
        find.status = Status.LOGGED  # what was settled was one name for what turned out to be several
    find.save(update_fields=["version", "changed_at", "status"])
    keeping.keep(find)
    return made


def _refuse(find: Find, shares: Sequence[Share]) -> None:
    if len(shares) < FEWEST:
        raise SplitRefused(
            say(
                "{number} was not split: {n} share is no split. Nothing was changed. Fill in two "
                "shares or more; if it is all one fungus, redetermine it.",
                number=find.collecting_number,
                n=len(shares),
            )
        )
    if not find.kept:
        raise SplitRefused(
            say(
                "{number} was seen only: there is no material to sort. Nothing was changed.",
                number=find.collecting_number,
            )
        )
    if find.shares.exists():
        raise SplitRefused(
            say(
                "{number} was split before. Nothing was changed. If a share is mixed too, split that share.",
                number=find.collecting_number,
            )
        )
    bare = [
        letter
        for share, letter in zip(shares, free_letters(find), strict=False)
        if not (share.name.typed.strip() or share.note.strip())
    ]
    if bare:
        raise SplitRefused(
            say_n(
                "{number} was not split: share {shares} has neither a name nor a word by which it is known again, and "
                "each would get a number for life. Nothing was changed. Fill in one of the two for each share.",
                "{number} was not split: the shares {shares} have neither a name nor a word by which it is known again, and "
                "each would get a number for life. Nothing was changed. Fill in one of the two for each share.",
                len(bare),
                number=find.collecting_number,
                shares=f" {say('and')} ".join(bare),
            )
        )


def free_letters(find: Find) -> list[str]:
    """The letters left to the shares of a gathering: a share that is split again gives the next ones, not longer ones."""
    taken = set(
        Find.objects.filter(
            collecting_code=find.collecting_code, collecting_serial=find.collecting_serial
        ).values_list("collecting_suffix", flat=True)
    )
    return [letter for letter in ascii_uppercase if letter not in taken]


def _made(parent: Find, share: Share, letter: str, by: Member, now: datetime) -> Find:
    find = Find(
        finder=parent.finder,
        logged_by=by,
        collecting_code=parent.collecting_code,
        collecting_serial=parent.collecting_serial,
        collecting_suffix=letter,
        split_from=parent,
        named_blur_step_deg=parent.named_blur_step_deg,
        place_opened=parent.place_opened,
        logged_at=now,
        changed_at=now,
        note=share.note,
        **{name: getattr(parent, name) for name in SHARED_FIELDS},
    )
    name = share.name
    if name.typed:
        # The name goes first, as when a find is logged: its key to the find is asked for at the end only.
        find.current_determination = Determination.objects.create(
            find=find,
            name_typed=name.typed,
            vernacular_typed=name.vernacular_typed,
            taxon=name.taxon,
            qualifier=name.qualifier,
            determiner=by,
            determined_on=timezone.localdate(now),
            basis=name.basis,
            made_at=now,
        )
    find.save(force_insert=True)
    sensitive.note_name(find, name.typed, name.taxon)
    find.save(update_fields=["named_blur_step_deg", "place_opened"])
    said = say(
        "{number}, a share of {parent}", number=find.collecting_number, parent=parent.collecting_number
    )
    record_change(find, field="logged", old=None, new=said, by=by, now=now)
    recheck(find, now=now)
    return find
