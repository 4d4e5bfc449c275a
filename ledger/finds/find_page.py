"""Everything one find's page shows to one member; its JSON twin is made from the same."""

from dataclasses import dataclass
from datetime import datetime
from functools import cached_property

from django.utils import timezone

from ledger.bench.models import Determination, Flag, Question
from ledger.finds import access, assess, awaited, sensitive, tables
from ledger.finds.checkup import Checkup, check_up, has_dried
from ledger.finds.entries import reading_text
from ledger.finds.models import Find, Photo, Reading
from ledger.moments import moment_text
from ledger.people.models import Member
from ledger.phone.models import WaitingVersion
from ledger.taxa.queries import current_reference, documented_look_alikes, vocabulary
from ledger.traits.reference import Reference
from ledger.traits.vocabulary import Trait
from ledger.words import say


@dataclass(frozen=True, slots=True)
class ShownReading:
    reading: Reading
    trait: Trait
    text: str


@dataclass(frozen=True, slots=True)
class ShownFlag:
    flag: Flag
    label: str
    what_to_do: str


@dataclass(frozen=True, slots=True)
class ShownVersion:
    """A version that waits on a phone: its key, a sentence, and whether this member may say that it waits no longer."""

    pk: int
    said: str
    may_let_go: bool

    def __str__(self) -> str:
        return self.said


class FindPage:
    """A find as one member may see it. Made from `Find.objects.for_page()`: no property costs a query of its own."""

    def __init__(
        self,
        find: Find,
        member: Member,
        *,
        now: datetime | None = None,
        answer_typed: str = "",
        answer_trouble: str = "",
    ) -> None:
        self.find, self.member = find, member
        self.now = now or timezone.now()
        self.answer_typed, self.answer_trouble = answer_typed, answer_trouble

    @cached_property
    def place(self) -> access.Place:
        return access.place_for(self.find, self.member)

    @property
    def kept_back_because(self) -> str:
        """Why the place is kept back, for those who see it; names stand in it that others are not told."""
        return sensitive.kept_back_because(self.find) if self.place.exact and self.place.step_deg else ""

    @property
    def may_amend(self) -> bool:
        return access.may_amend(self.find, self.member)

    @property
    def may_change_finder(self) -> bool:
        return access.may_change_finder(self.find, self.member)

    @property
    def named(self) -> Determination | None:
        return self.find.current_determination

    @property
    def names(self) -> list[Determination]:
        """Every determination, the latest first."""
        return list(reversed(self.find.determinations.all()))

    @property
    def shares(self) -> list[Find]:
        """What a mixed collection was split into, in the order of their letters."""
        return sorted(self.find.shares.all(), key=lambda share: share.collecting_suffix)

    @cached_property
    def rows(self) -> list[Reading]:
        return [row for row in self.find.readings.all() if row.ended_at is None]

    @cached_property
    def reference(self) -> Reference:
        return current_reference()

    @cached_property
    def checkup(self) -> Checkup:
        taxon = self.named.taxon if self.named else None
        specimen = assess.specimen_of(self.find, self.rows, taxon.name if taxon else None)
        return check_up(self.reference, specimen, has_dried=self._has_dried)

    @cached_property
    def documented_alike(self) -> "list[tuple[str, str]]":
        """The taxa that a source names as look-alikes of the named one, each with its standing, in the order of the check:

        among all taxa that are open they are those that people take for it.
        """
        taxon = self.named.taxon if self.named else None
        if taxon is None or not self.checkup.result.taxon:
            return []
        documented = set(documented_look_alikes(taxon.pk))
        return [
            (one.taxon, one.standing) for one in self.checkup.result.look_alikes if one.taxon in documented
        ]

    @property
    def documented_names(self) -> set[str]:
        return {name for name, _ in self.documented_alike}

    @property
    def _has_dried(self) -> bool:
        logged_on = self.find.logged_at.date()
        found_on = min(self.find.found_on or logged_on, logged_on)  # a day in the future is a slip
        return has_dried(found_on, self.now.date(), state=self.find.specimen_state)

    @property
    def readings(self) -> list[ShownReading]:
        traits = vocabulary().traits
        known = [(traits[row.trait], row) for row in self.rows if row.trait in traits]
        return [
            ShownReading(row, trait, reading_text(row, trait))
            for trait, row in sorted(known, key=lambda pair: pair[0].order)
        ]

    @property
    def reads_spores(self) -> bool:
        """Whether a size of spores is read, so that there may be raw measurements behind it."""
        return any(row.trait in ("spore_length", "spore_width") for row in self.rows)

    @cached_property
    def photos(self) -> list[Photo]:
        return [photo for photo in self.find.photos.all() if self._may_see(photo)]

    @property
    def on_the_way(self) -> list[tuple[awaited.OnTheWay, str]]:
        """Photos that have not come from their phone yet, one line a phone, each with its sentence."""
        return [(one, one.said(self.member)) for one in awaited.on_the_way(self.find.announced_photos.all())]

    @property
    def waiting_versions(self) -> list[ShownVersion]:
        """For those who may change the find: each other version that waits on a phone."""
        if not self.may_amend:
            return []
        versions = self.find.waiting_versions.all()
        return [
            ShownVersion(one.pk, self._waits(one), access.may_let_go(one, self.find, self.member))
            for one in versions
        ]

    def _waits(self, one: WaitingVersion) -> str:
        since = moment_text(one.since)
        if one.by_id == self.member.pk:
            return say("Another version of it waits on your phone since {since}.", since=since)
        return say(
            "Another version of it waits on {whose}’s phone since {since}.",
            whose=one.by.full_name,
            since=since,
        )

    def _may_see(self, photo: Photo) -> bool:
        photo.find = self.find
        return access.may_see_photo(photo, self.member)

    @property
    def sees_originals(self) -> bool:
        return bool(self.photos) and access.may_see_original(self.photos[0], self.member)

    @cached_property
    def flags(self) -> list[ShownFlag]:
        kinds = tables.flag_table().kinds
        is_finder = self.member.pk == self.find.finder_id
        shown = []
        for flag in access.shown_flags(self.find, self.member):
            kind = kinds.get(flag.code)
            label, todo = (say(kind.label), say(kind.what_to_do)) if kind else (flag.code, "")
            if kind and is_finder:
                todo = say(kind.finder_does)
            shown.append(ShownFlag(flag, label, todo))
        rank = {"stop": 0, "doubt": 1, "note": 2}
        return sorted(shown, key=lambda one: (not one.flag.is_open, rank.get(one.flag.severity, 3)))

    @property
    def open_flags(self) -> list[ShownFlag]:
        return [shown for shown in self.flags if shown.flag.is_open]

    @property
    def weighty_flags(self) -> list[ShownFlag]:
        """Open doubts and stops: what holds the find."""
        return [shown for shown in self.open_flags if shown.flag.severity != "note"]

    @property
    def noted_flags(self) -> list[ShownFlag]:
        return [shown for shown in self.open_flags if shown.flag.severity == "note"]

    @property
    def settled_flags(self) -> list[ShownFlag]:
        return [shown for shown in self.flags if not shown.flag.is_open]

    @property
    def questions(self) -> list[Question]:
        return access.shown_questions(self.find, self.member)

    @property
    def open_question(self) -> Question | None:
        return next((question for question in self.questions if question.answered_at is None), None)

    @property
    def changes(self) -> list[access.ShownChange]:
        return list(reversed(access.shown_changes(self.find, self.member)))

    @property
    def decay(self) -> str:
        """The decay class with the scale it belongs to."""
        if not self.find.decay_class:
            return ""
        scale = tables.decay_scales().get(self.find.decay_scale)
        step = scale.classes.get(self.find.decay_class) if scale else None
        words = f" ({say(step.label)})" if step else ""
        return say(
            "{step}, scale: {scale}",
            step=f"{self.find.decay_class}{words}",
            scale=say(scale.label) if scale else self.find.decay_scale or say("not given"),
        )
