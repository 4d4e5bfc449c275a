"""What the two screens of the bench show, gathered once: views render it and templates decide nothing."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property
from typing import Any
from zoneinfo import ZoneInfo

from ledger.bench import queries
from ledger.bench.forms import BenchForm, RedetermineForm, SendBackForm, SettleForm
from ledger.bench.models import Question
from ledger.club.queries import the_club
from ledger.finds import naming
from ledger.finds.access import ShownChange
from ledger.finds.checkup import TraitLine
from ledger.finds.counted import counted
from ledger.finds.find_page import FindPage, ShownFlag
from ledger.finds.models import Find, Photo, Status
from ledger.people.models import Member
from ledger.photos.view_table import bench_rank
from ledger.words import say, say_n

MANY_FINDS = 1000
# What speaks against the name comes first.
_OUTCOME_ORDER = {"outside": 0, "edge": 1, "cannot tell": 2, "": 3, "within": 4}


@dataclass(frozen=True, slots=True)
class Neighbours:
    """Where a find stands in the list of the bench. `place` is None for a find that is not held."""

    place: int | None
    before: Find | None
    after: Find | None


class BenchPage:
    """The list: held finds, the worst first, and those with their finders."""

    def __init__(self, now: datetime) -> None:
        self.bench = queries.bench(now)
        self.waiting = queries.waiting(now)

    @property
    def first(self) -> Find | None:
        return self.bench.rows[0].find if self.bench.rows else None


class BenchFindPage(FindPage):
    """One find on the bench: its page, beside the list, with the three forms of the curator."""

    def __init__(self, find: Find, member: Member, now: datetime, form: BenchForm | None = None) -> None:
        super().__init__(find, member, now=now)
        self.bench = queries.bench(now)
        self._form = form

    @cached_property
    def today(self) -> date:
        return club_today(self.now)

    # --- the forms: the one that was refused comes back as it was typed ---

    @cached_property
    def settle_form(self) -> BenchForm:
        return self._given(SettleForm) or SettleForm(initial=self._seen)

    @cached_property
    def send_back_form(self) -> BenchForm:
        return self._given(SendBackForm) or SendBackForm(initial=self._seen)

    @cached_property
    def redetermine_form(self) -> BenchForm:
        initial = self._seen | {"determined_on": self.today}
        return self._given(RedetermineForm) or RedetermineForm(
            initial=initial, today=self.today, find=self.find
        )

    @property
    def question_read_by(self) -> str:
        """Who will read the question to the finder: people write freely in it, and name places."""
        if self.find.blur_step_deg is None:
            return say(
                "Every member can read question and answer. Name no place there that you would not tell them "
                "all."
            )
        return say(
            "Question and answer are read by those who see the exact place: its finder, whoever keyed it "
            "in, the leader of its foray, and curators."
        )

    @property
    def _seen(self) -> dict[str, Any]:
        return {"version": self.find.version, "seen_at": self.find.changed_at.isoformat()}

    def _given(self, kind: type[BenchForm]) -> BenchForm | None:
        return self._form if isinstance(self._form, kind) else None

    @property
    def is_ticked(self) -> "dict[int, bool]":
        """Which open flags are ticked: at first all but the stops, each of which is to be decided on by itself;

        and those the curator left ticked when a form comes back.
        """
        if isinstance(self._form, SettleForm):
            sent = self._form.data.getlist("flags")
            return {shown.flag.pk: str(shown.flag.pk) in sent for shown in self.open_flags}
        return {shown.flag.pk: shown.flag.severity != "stop" for shown in self.open_flags}

    @property
    def flag_names(self) -> list[tuple[int, str]]:
        """The open flags by their short names, in the order in which they stand beside the form."""
        return [(shown.flag.pk, queries.short_name(shown.flag)) for shown in self.open_flags]

    @property
    def has_stop(self) -> bool:
        return any(shown.flag.severity == "stop" for shown in self.open_flags)

    @property
    def headline(self) -> str:
        """How the find stands, flags and readings apart: "1 stop, 4 doubts on the record; ..."."""
        counts = Counter(shown.flag.severity for shown in self.open_flags)
        flags = [counted(one, counts[one]) for one in ("stop", "doubt", "note") if counts[one]]
        record = say("{flags} on the record", flags=", ".join(flags)) if flags else say("No flag is open")
        if not self.checkup.result.taxon:
            return f"{record}."
        against = sum(outcome.outcome == "outside" for outcome in self.checkup.result.traits)
        if not against:
            return say("{record}; no reading speaks against the name.", record=record)
        return say_n(
            "{record}; {n} reading speaks against the name.",
            "{record}; {n} readings speak against the name.",
            against,
            record=record,
        )

    @property
    def standing_said(self) -> str:
        """What the standing means, less what the headline has said already."""
        return self.checkup.sentence_alone

    @property
    def ticked_flags(self) -> list[tuple[ShownFlag, bool]]:
        ticked = self.is_ticked
        return [(shown, ticked[shown.flag.pk]) for shown in self.open_flags]

    @property
    def meanwhile(self) -> list[ShownChange]:
        """What others changed after the page of a refused form was opened."""
        seen_at = self._form.cleaned_data.get("seen_at") if self._form and self._form.trouble else None
        return [change for change in self.changes if change.at > seen_at] if seen_at else []

    # --- the list beside it ---

    @cached_property
    def neighbours(self) -> Neighbours:
        finds = [row.find for row in self.bench.rows]
        place = next((number for number, one in enumerate(finds) if one.pk == self.find.pk), None)
        if place is None:
            return Neighbours(None, None, finds[0] if finds else None)
        return Neighbours(
            place + 1,
            finds[place - 1] if place else None,
            finds[place + 1] if place + 1 < len(finds) else None,
        )

    # --- the evidence ---

    @property
    def shown_photos(self) -> list[Photo]:
        """The views that tell most first; of one rank, in the order they came in."""
        return sorted(self.photos, key=lambda photo: bench_rank(photo.view))

    @cached_property
    def _lines(self) -> list[TraitLine]:
        return sorted(
            self.checkup.read_lines if self.checkup.result.taxon else self._bare_lines,
            key=lambda line: (_OUTCOME_ORDER.get(line.mark, 3), line.trait.order),
        )

    @property
    def _bare_lines(self) -> list[TraitLine]:
        read = {row.trait for row in self.rows}
        return [line for code, line in self.checkup.lines.items() if code in read]

    @property
    def measured_lines(self) -> list[TraitLine]:
        """Readings that are drawn on a range strip."""
        return [line for line in self._lines if line.strip]

    @property
    def seen_lines(self) -> "list[tuple[TraitLine, str]]":
        """The other readings, each with what was seen in words."""
        texts = {shown.trait.code: shown.text for shown in self.readings}
        return [
            (
                line,
                line.outcome.measured.text if line.outcome and line.outcome.measured else texts.get(code, ""),
            )
            for line in self._lines
            if not line.strip
            for code in (line.trait.code,)
        ]

    # --- the record ---

    @property
    def answered_questions(self) -> list[Question]:
        return [question for question in self.questions if question.answered_at is not None]

    @property
    def latest_answer(self) -> Question | None:
        """The answer the curator has not decided on yet: the find is held and no question is open."""
        if self.find.status != Status.HELD or self.open_question:
            return None
        return max(self.answered_questions, key=lambda one: one.answered_at, default=None)

    @cached_property
    def finds_of_finder(self) -> str:
        """How many finds the finder has logged; beyond MANY_FINDS nobody counts them."""
        many = self.find.finder.finds.order_by()[: MANY_FINDS + 1].count()
        if many > MANY_FINDS:
            return say("more than {most} finds", most=MANY_FINDS)
        return say_n("{n} find", "{n} finds", many)

    @cached_property
    def voucher(self) -> Any:
        """The specimen in the collection, if the find has one; the collection is another app and may be absent."""
        return getattr(self.find, "voucher", None)

    @property
    def known_names(self) -> Sequence[tuple[str, str]]:
        """Names to choose from, each with its English name or "": the look-alikes first, then all."""
        result = self.checkup.result
        every = [candidate.taxon for candidate in result.look_alikes] + (
            [result.taxon] if result.taxon else []
        )
        near = [candidate.taxon for candidate in self.checkup.first]
        first = [(name, "") for name in dict.fromkeys([*near, *sorted(every)])]
        return [*first, *(pair for pair in naming.offered(self.reference) if pair[1])]


def club_today(now: datetime) -> date:
    return now.astimezone(ZoneInfo(the_club().time_zone)).date()
