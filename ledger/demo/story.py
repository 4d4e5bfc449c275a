"""Plays the plan: every find is logged, every decision made, through the actions the members' own screens use.

Things happen in the order of their time, so that numbers, histories and flags are those the ledger itself gives.
"""

import heapq
import json
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from itertools import count
from pathlib import Path
from uuid import UUID

from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile

from ledger.bench import actions as bench
from ledger.bench.models import Question
from ledger.club.models import Club
from ledger.demo.plan import Plan
from ledger.demo.planned import PlannedFind
from ledger.demo.reasons import reason_for
from ledger.demo.scene import Scene
from ledger.finds import actions as finds
from ledger.finds import naming
from ledger.finds.entries import FindEntry, FromPhone, NameGiven
from ledger.finds.models import Find, Photo, Status
from ledger.finds.photo_actions import add_photo
from ledger.forays.models import Foray
from ledger.measures import actions as measures
from ledger.measures.taking import CannotMeasure
from ledger.people.actions import invite, join, keep_own_page
from ledger.people.models import Member
from ledger.phone import numbers
from ledger.spores.actions import keep_spores
from ledger.spores.entries import SporesEntry
from ledger.spores.models import SporeSet
from ledger.taxa import actions as taxa
from ledger.taxa.models import Taxon
from ledger.traits.ranges import DocumentedRange

HOUSE_RULE = DocumentedRange(
    taxon="Trametes versicolor",
    trait="cap_width",
    high=80.0,
    unit="mm",
    note="Over 80 mm it is taken for something else until a photo with a scale shows otherwise.",
    binding=True,
)

Accession = Callable[[UUID, Member, datetime], object]
Say = Callable[[int, int], None]


def read_scene() -> Scene:
    folder = Path(settings.FIXTURES) / "demo"
    club, kinds = (
        json.loads((folder / f"{name}.json").read_text(encoding="utf-8")) for name in ("club", "kinds")
    )
    return Scene.from_json(club, kinds)


@dataclass
class Teller:
    """Plays one plan into an empty ledger. `accession` takes a find in; `say` is told how many finds are logged."""

    scene: Scene
    plan: Plan
    prints: Iterator[list[bytes]]
    accession: Accession
    say: Say
    members: dict[str, Member] = field(default_factory=dict)
    forays: dict[tuple[str, object], Foray] = field(default_factory=dict)
    waiting: list[PlannedFind] = field(default_factory=list)
    logged: int = 0
    _events: list[tuple[datetime, int, Callable[[datetime], None]]] = field(default_factory=list)
    _order: Iterator[int] = field(default_factory=count)

    def tell(self) -> None:
        """Everything, from the founding of the club to the last evening at the bench."""
        self._found_club()
        for find in self.plan.finds:
            self._at(find.logged_at, lambda now, find=find: self._log(find, now))
        for number, evening in enumerate(self.plan.bench_evenings):
            self._at(evening, lambda now, number=number: self._bench(number, now))
        while self._events:
            when, _, happen = heapq.heappop(self._events)
            happen(when)

    def _at(self, when: datetime, happen: Callable[[datetime], None]) -> None:
        heapq.heappush(self._events, (when, next(self._order), happen))

    # --- the club --------------------------------------------------------------------------------------------

    def _found_club(self) -> None:
        Club.objects.create(**self.scene.club)
        zone = self.plan.bench_evenings[0].tzinfo
        for person in self.scene.people:
            joined = datetime.combine(person.joined, datetime.min.time(), zone).replace(hour=18)
            _, token = invite(role=person.role, now=joined, note=person.full_name)
            member = join(
                token,
                now=joined + timedelta(hours=2),
                sign_in_name=person.sign_in_name,
                password=self.scene.password,
                full_name=person.full_name,
                collector_code=person.collector_code,
            )
            Member.objects.filter(pk=member.pk).update(joined_at=joined + timedelta(hours=2))
            member.named_outside = person.named_outside
            keep_own_page(member)
            self.members[person.sign_in_name] = member
        for outing in self.scene.outings:
            self.forays[outing.name, outing.on] = Foray.objects.create(
                name=f"{outing.name}, {outing.wood}",
                held_on=outing.on,
                place=outing.wood,
                leader=self.members[outing.leader],
                permission=self.scene.woods[outing.wood].permission,
            )
        opened = self.plan.bench_evenings[0] - timedelta(days=90)
        for taxon, step in self.scene.sensitive.items():
            taxa.mark_sensitive(Taxon.objects.get(name=taxon), step)
        taxa.enter_range(HOUSE_RULE, by=self._curator(0), now=opened)

    def _curator(self, number: int) -> Member:
        """The two curators take turns."""
        curators = [member for member in self.members.values() if member.role == "curator"]
        return curators[number % len(curators)]

    # --- finds -----------------------------------------------------------------------------------------------

    def _log(self, planned: PlannedFind, now: datetime) -> None:
        finder = self.members[planned.finder.sign_in_name]
        for number, (photo, data) in enumerate(zip(planned.photos, next(self.prints), strict=True)):
            upload = SimpleUploadedFile(f"{photo.view}.jpg", data, "image/jpeg")
            sent = now - timedelta(seconds=90 - 20 * number)  # one after the other, before the form
            add_photo(upload, draft_id=planned.id, by=finder, view=photo.view, now=sent)
        serial = None
        if planned.serial_back is not None:
            finder.refresh_from_db()
            serial = max(1, finder.next_serial + planned.serial_back)
        if planned.number_of:
            serial = self._reserved(planned, finder, now)
        entry = FindEntry(
            record=self._record(planned),
            readings=tuple(planned.readings.values()),
            name=self._name(planned.name, planned.basis, planned.named_on or now.date()),
            serial=serial,
        )
        finds.log_find(
            entry, by=finder, find_id=planned.id, sent=FromPhone(clock_off_s=planned.clock_off_s), now=now
        )
        self.waiting.append(planned)
        if planned.later:
            self._at(now + timedelta(days=planned.later_days), lambda at: self._measure(planned, at))
        if planned.measures:
            self._at(now + timedelta(hours=5), lambda at: self._measure_photos(planned, at, by_curator=False))
            self._at(now + timedelta(days=2), lambda at: self._measure_photos(planned, at, by_curator=True))
        if planned.spores:
            self._at(now + timedelta(days=1), lambda at: self._measure_spores(planned, at))
        self.logged += 1
        self.say(self.logged, len(self.plan.finds))

    def _reserved(self, planned: PlannedFind, finder: Member, now: datetime) -> int:
        """A number out of a block: of a phone that has it still, or of slips that came back, of which one was overlooked."""
        before = now - timedelta(days=20)
        if planned.number_of == "phone":
            block = numbers.reserve_block(
                finder, holder="phone", by=self._curator(0), many=5, request_id=planned.id, now=before
            )
            return block.first + 1
        block = numbers.reserve_block(
            finder, holder="paper", by=finder, many=4, request_id=planned.id, label="Slips", now=before
        )
        numbers.return_block(block, by=finder, now=now - timedelta(days=2))
        return block.first + 2

    def _record(self, planned: PlannedFind) -> dict[str, object]:
        foray = self.forays[planned.outing.name, planned.outing.on] if planned.outing else None
        return {**planned.record, "foray": foray}

    def _name(self, typed: str, basis: str, on: date) -> NameGiven:
        named = naming.read(typed)
        return NameGiven(
            typed=named.written,
            vernacular_typed=named.vernacular_typed,
            taxon=named.row,
            qualifier=named.qualifier,
            determined_on=on,
            basis=basis,
        )

    def _measure(self, planned: PlannedFind, now: datetime) -> None:
        """Readings made at home are added to those of the wood; where a curator was quicker, the name stays theirs."""
        find = Find.objects.select_related("current_determination__taxon").get(pk=planned.id)
        name = find.current_determination
        entry = FindEntry(
            record={},
            readings=tuple({**planned.readings, **planned.later}.values()),
            name=NameGiven(
                typed=name.name_typed,
                taxon=name.taxon,
                qualifier=name.qualifier,
                determiner_name=name.determiner_name,
                basis=name.basis,
            )
            if name
            else NameGiven(),
        )
        finder = self.members[planned.finder.sign_in_name]
        finds.amend_find(find.pk, entry, by=finder, version=find.version, now=now)

    def _measure_photos(self, planned: PlannedFind, now: datetime, *, by_curator: bool) -> None:
        """Measure, and make what the finder measured the readings; a curator measures anew and leaves the reading."""
        member = self._curator(0) if by_curator else self.members[planned.finder.sign_in_name]
        photos = {photo.view: photo for photo in Photo.objects.filter(find=planned.id)}
        taken = set()
        for number, one in enumerate(
            measure for measure in planned.measures if measure.by_curator == by_curator
        ):
            # Plain pictures have no pores to count.
            with suppress(CannotMeasure):
                measures.keep_measurement(
                    photos[one.view], way=one.way, trait=one.trait, points=one.points, above_mm=0.0, note=one.note,
                    by=member, now=now + timedelta(minutes=number),
                )  # fmt: skip
                taken.add(one.trait)
        for trait in sorted(taken) if not by_curator else ():
            measures.make_reading(planned.id, trait, by=member, now=now + timedelta(minutes=20))

    def _measure_spores(self, planned: PlannedFind, now: datetime) -> None:
        finder = self.members[planned.finder.sign_in_name]
        entry = SporesEntry(
            pairs=planned.spores, mount=SporeSet.Mount.KOH, material=SporeSet.Material.PRINT, fruit_bodies=1,
            magnification=1000, um_per_division=0.98, resolution_um=0.1, measured_on=now.date(),
            measured_by=finder.full_name,
        )  # fmt: skip
        keep_spores(planned.id, entry, by=finder, now=now)

    # --- the bench -------------------------------------------------------------------------------------------

    def _bench(self, number: int, now: datetime) -> None:
        curator, left = self._curator(number), []
        last = number == len(self.plan.bench_evenings) - 1
        for step, planned in enumerate(self.waiting):
            rest = timedelta(days=planned.fate.rest_days)
            resting = planned.logged_at + rest > now and not last
            if resting or not self._decide(planned, curator, now + timedelta(minutes=2 * step)):
                left.append(planned)
        self.waiting = left

    def _decide(self, planned: PlannedFind, curator: Member, now: datetime) -> bool:
        """Do what is planned for the find; False where it must wait for an answer."""
        find, fate = Find.objects.get(pk=planned.id), planned.fate
        if fate.ask is not None:
            question = Question.objects.filter(find=find).first()
            if question is None:
                asked = bench.send_back(
                    find.pk, version=find.version, question=fate.ask.text, by=curator, now=now
                )
                if fate.ask.answer is not None:
                    self._at(now + timedelta(days=fate.ask.days), lambda at: self._answer(planned, asked, at))
                return False
            if question.answered_at is None:
                return False
        if fate.rename is not None:
            named = naming.read(fate.rename.typed)
            new = bench.NewName(
                name_typed=named.written,
                vernacular_typed=named.vernacular_typed,
                taxon=named.row,
                qualifier=named.qualifier,
                basis=fate.rename.basis,
                note=fate.rename.note,
                determiner_name="",
                determined_on=now.date(),
            )
            bench.redetermine(find.pk, version=find.version, name=new, by=curator, now=now)
            find.refresh_from_db()
        if not fate.held and (fate.settle or fate.rename or find.status == Status.HELD):
            open_codes = [flag.code for flag in find.flags.all() if flag.is_open and flag.severity != "note"]
            reason = reason_for(open_codes, planned.id.int) or fate.settle or "Name and readings agree."
            at = now + timedelta(seconds=40)
            bench.settle(find.pk, version=find.version, reason=reason, by=curator, now=at)
        if fate.voucher:
            self.accession(find.pk, curator, now + timedelta(minutes=1))
        return True

    def _answer(self, planned: PlannedFind, question: Question, now: datetime) -> None:
        answer = planned.fate.ask.answer if planned.fate.ask else None
        finder = self.members[planned.finder.sign_in_name]
        finds.answer_question(question, answer or "", by=finder, now=now)
