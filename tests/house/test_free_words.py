"""Words that somebody wrote into a box may tell where it was: no page, JSON or print shows those of a place kept back.

Every free-text column of the collection holds a word of its own here, all about one sensitive find. Whoever is not entitled
to its exact place opens every page they are shown and prints every label, and none of the words comes up.
"""

import io
from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pypdfium2
import pytest
from django.apps import apps
from django.db import models
from django.test import Client
from django.urls import reverse

from ledger.club.models import Club
from ledger.finds.models import Find
from ledger.people.models import Member
from tests.factories import FindFactory, ForayFactory, TaxonFactory, name_find
from tests.house.test_crawl import crawl
from vouchers.exchange.models import Sending
from vouchers.labels.sheets import SHEETS
from vouchers.loans.models import Borrowing, Condition, Loan, LoanItem, Prolonging
from vouchers.parts.actions import end_part, make_part
from vouchers.permits.models import Permit, PermitChange, PermitUse
from vouchers.preparation.models import DryingRun, PreparationStep
from vouchers.printing.kinds import OF_VOUCHERS
from vouchers.register.actions import accession, deaccession
from vouchers.register.models import Voucher
from vouchers.sampling.models import SamplingLeave
from vouchers.stocktake.models import Settlement, Stocktake
from vouchers.store.models import Move, PlaceMove, StorePlace

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]

NOW = datetime(2026, 11, 2, 19, 30, tzinfo=UTC)
DAY = date(2026, 11, 2)
# Columns of text in which nobody writes freely of a find, each with what stands in them.
NOT_FREE = {
    "a number, a code, a digest, or a text made by the ledger": {
        *("SeriesYear.letter", "ConditionPhoto.sha256", "ConditionPhoto.format", "Part.suffix"),
        *("PermitChange.field", "PreparationStep.subjects", "PrintedLabel.kind", "PrintedLabel.key"),
        *("PrintedLabel.number", "PrintedLabel.digest", "PrintedLabel.sheet", "PrintedLabel.paper"),
        *("RegisterYear.prefix", "Voucher.prefix", "RegisterEntry.kind", "RegisterEntry.accession_number"),
        *("RegisterEntry.before", "RegisterEntry.digest", "RegisterHead.digest", "Sighting.text"),
        *("Settlement.key", "Settlement.kind", "Settlement.text", "Settlement.said", "Settlement.way"),
    },
    "told by the entries that parts and vouchers write": {"RegisterEntry.body"},
    "the name of a house or a person, or of a thing of the club's own": {
        *("Sending.institution", "Sending.person", "Loan.institution", "Loan.person"),
        *("Borrowing.institution", "Borrowing.person", "SamplingLeave.institution", "SamplingLeave.person"),
        *("SamplingLeave.cut_by", "DryingRun.drier", "StorePlace.name"),
    },
    "of an area with its owner: a leader is not told which sensitive finds go under it": {
        *("Permit.issuer", "Permit.reference", "Permit.holder", "Permit.area", "Permit.limits", "Permit.source"),
    },
    "of a walk through furniture, whatever lies in it": {"Stocktake.signed_words", "Stocktake.given_up_why"},
    "of somebody else's specimens": {"BorrowedItem.their_number", "BorrowedItem.name"}
    | {"BorrowedItem.condition_in", "BorrowedItem.condition_back"},
}  # fmt: skip


class Words:
    """A word for each column, handed out once: `Quarrel07x` cannot come from anything else."""

    def __init__(self) -> None:
        self.of: dict[str, str] = {}

    def __call__(self, *columns: str) -> dict[str, str]:
        """The values of the columns of one model, by name: `words("Loan.purpose", "Loan.terms")`."""
        for column in columns:
            self.of.setdefault(column, f"Quarrel{len(self.of):02d}x")
        return {column.split(".")[1]: self.of[column] for column in columns}

    def one(self, column: str) -> str:
        return next(iter(self(column).values()))

    def told_by(self, body: bytes) -> list[str]:
        return [column for column, word in self.of.items() if word.encode() in body]


@pytest.fixture
def words() -> Words:
    return Words()


@pytest.fixture
def scene(words: Words, curator: Member, collector: Member) -> Iterator[Find]:
    """A sensitive find with everything that can be said of its specimen, and another that left the collection."""
    Club.objects.create(name="Hollin Fungus Group", accession_prefix="HFG")
    by = {"made_at": NOW, "made_by": curator}
    find: Find = FindFactory(
        finder=collector,
        foray=ForayFactory(leader=curator),
        own_blur_step_deg=0.1,
        specimen_state="air-dry",
        **words("Find.locality", "Find.note", "Find.permission", "Find.trees_nearby"),
    )
    name_find(
        find, TaxonFactory(name="Fomes fomentarius"), determiner=curator, made_at=NOW - timedelta(days=90)
    )
    name_find(
        find,
        TaxonFactory(),
        determiner=curator,
        made_at=NOW,
        **words("Determination.basis", "Determination.note"),
    )
    voucher = accession(find.pk, by=curator, now=NOW)
    packet = voucher.parts.get()
    make_part(voucher.pk, "duplicate", note=words.one("Part.note"), by=curator, now=NOW)
    slide = make_part(voucher.pk, "slide", note="", by=curator, now=NOW)
    make_part(voucher.pk, "slide", note=words.one("Part.note"), by=curator, now=NOW)
    end_part(slide.pk, why=words.one("Part.ended_why"), by=curator, now=NOW)
    gone = accession(FindFactory(own_blur_step_deg=0.1).pk, by=curator, now=NOW)
    deaccession(gone.pk, reason="lost", words=words.one("Voucher.deaccession_words"), by=curator, now=NOW)
    _prepared(find, words, curator)
    _stored(voucher, words, curator)
    loan = Loan.objects.create(
        year=2026, serial=1, institution="Herbarium of Fenwick", person="Ines Dahl", lent_on=DAY, due_on=DAY, **by,
        **words("Loan.address", "Loan.used_by", "Loan.purpose", "Loan.terms"),
    )  # fmt: skip
    item = LoanItem.objects.create(
        loan=loan, part=packet, lost_at=NOW, lost_words=words.one("LoanItem.lost_words")
    )
    Condition.objects.create(
        item=item, moment="out", words=words.one("Condition.words"), noted_at=NOW, noted_by=curator
    )
    Prolonging.objects.create(
        loan=loan, from_due=DAY, to_due=DAY, why=words.one("Prolonging.why"), at=NOW, by=curator
    )
    Borrowing.objects.create(
        year=2026, serial=1, institution="Herbarium of Fenwick", person="Ines Dahl", received_on=DAY, due_on=DAY, **by,
        **words("Borrowing.address", "Borrowing.their_number", "Borrowing.purpose", "Borrowing.terms"),
    )  # fmt: skip
    Sending.objects.create(
        year=2026, serial=1, institution="Herbarium of Fenwick", person="Ines Dahl", sent_on=DAY, **by,
        **words("Sending.address", "Sending.note"),
    )  # fmt: skip
    columns = ("address", "purpose_words", "what", "decision_words", "warned", "cut_what", "result")
    SamplingLeave.objects.create(
        year=2026, serial=1, part=packet, institution="", person="Ines Dahl", asked_on=DAY, purpose="dna",
        decision="granted", decided_at=NOW, decided_by=curator, cut_on=DAY, cut_by="Ines Dahl", result_at=NOW, **by,
        **words(*(f"SamplingLeave.{column}" for column in columns)),
    )  # fmt: skip
    permit = Permit.objects.create(
        issuer="Estate", holder="Club", area="all", source="letter", entered_at=NOW, entered_by=curator
    )
    PermitUse.objects.create(
        permit=permit, find=find, linked_at=NOW, linked_by=curator, ended_at=NOW, ended_by=curator,
        **words("PermitUse.ended_why"),
    )  # fmt: skip
    PermitChange.objects.create(
        permit=permit, field="area", at=NOW, by=curator, **words("PermitChange.old", "PermitChange.new")
    )
    yield find


def _prepared(find: Find, words: Words, by: Member) -> None:
    entered = {"find": find, "at": NOW, "entered_at": NOW, "entered_by": by}
    run = DryingRun.objects.create(
        drier="blue dehydrator", started_at=NOW, started_by=by, **words("DryingRun.note")
    )
    PreparationStep.objects.create(kind="drier in", run=run, **entered, **words("PreparationStep.words"))
    wrong = PreparationStep.objects.create(
        kind="packet", words=words.one("PreparationStep.words again"), **entered
    )
    PreparationStep.objects.create(
        kind="withdrawn", withdraws=wrong, words=words.one("PreparationStep.words withdrawn"), **entered
    )


def _stored(voucher: Voucher, words: Words, by: Member) -> None:
    packet = voucher.parts.get(suffix="")
    cabinet = StorePlace.objects.create(kind="cabinet", name="Cabinet 1", number=1)
    box = StorePlace.objects.create(kind="box", name="Box 1", number=2, parent=cabinet)
    Move.objects.create(part=packet, to_place=box, at=NOW, by=by, why=words.one("Move.why"))
    PlaceMove.objects.create(place=box, to_parent=cabinet, at=NOW, by=by, why=words.one("PlaceMove.why"))
    type(packet).objects.filter(pk=packet.pk).update(place=box)
    walk = Stocktake.objects.create(place=box, scope=[box.pk], opened_at=NOW, opened_by=by)
    Settlement.objects.create(
        stocktake=walk, key="missing:1:0", kind="missing", text=packet.number, said="is missing", part=packet,
        way="stays missing", reason=words.one("Settlement.reason"), by=by, at=NOW,
    )  # fmt: skip


def _addresses(find: Find) -> list[str]:
    """Pages of the scene that a leader may know of without being led there."""
    return [
        reverse("store-place", args=[2]),
        reverse("stocktake", args=[Stocktake.objects.get().pk]),
        reverse("stocktake-json", args=[Stocktake.objects.get().pk]),
        reverse("drying-run", args=[DryingRun.objects.get().pk]),
        reverse("preparation-of-find", args=[find.pk]),
        reverse("permit", args=[Permit.objects.get().pk]),
        reverse("loan", args=["L-2026-0001"]),
        reverse("sampling-leave", args=["C-2026-0001"]),
        reverse("sending", args=["X-2026-0001"]),
        reverse("borrowing", args=["B-2026-0001"]),
        reverse("register-book", args=[2026]),
        *(reverse("voucher", args=[voucher.slug]) for voucher in Voucher.objects.all()),
    ]


def printed(browser: Client, sheet: str, find: Find) -> tuple[bytes, bytes]:
    """What is to be read before this sheet is printed, and the text of its PDF."""
    form: dict[str, Any] = {"sheet": [sheet], "paper": "a4", "vouchers": [find.voucher.pk]}
    first = browser.post(reverse("labels"), form)
    if first["Content-Type"] == "application/pdf":
        return b"", pdf_text(first.content)
    read = first.content
    ticked = [line.split('"')[0] for line in read.decode(errors="replace").split('name="again" value="')[1:]]
    answer = browser.post(reverse("labels"), form | {"anyway": "1", "again": ticked})
    assert answer["Content-Type"] == "application/pdf"
    return read, pdf_text(answer.content)


def pdf_text(data: bytes) -> bytes:
    pages = pypdfium2.PdfDocument(io.BytesIO(data))
    return " ".join(page.get_textpage().get_text_range() for page in pages).encode()


def test_every_column_of_text_is_known_here(scene: Find, words: Words) -> None:
    texts = {
        f"{model.__name__}.{field.name}"
        for model in apps.get_app_config("vouchers").get_models()
        for field in model._meta.get_fields()
        if isinstance(field, models.CharField | models.TextField) and not field.choices
    }
    known = set(words.of) | {column for columns in NOT_FREE.values() for column in columns}
    assert texts - known == set(), "say here who may read it: fill it in the scene, or name what stands in it"


@pytest.mark.parametrize("who", ["stranger", "leader"])
def test_no_page_tells_what_was_written_freely_of_a_place_kept_back(
    who: str, scene: Find, words: Words, request: pytest.FixtureRequest
) -> None:
    browser = Client()
    browser.force_login(request.getfixturevalue(who))
    visited = dict(crawl(browser))
    visited |= {address: browser.get(address).content for address in _addresses(scene)}
    told = {address: found for address, body in visited.items() if (found := words.told_by(body))}
    assert told == {}


def test_the_same_pages_tell_them_to_a_curator(
    scene: Find, words: Words, curator: Member, browser_of: Callable[[Member], Client]
) -> None:
    """Or the test above would pass for want of pages."""
    browser = browser_of(curator)
    told = {column for address in _addresses(scene) for column in words.told_by(browser.get(address).content)}
    assert {
        *("PreparationStep.words", "PreparationStep.words withdrawn", "Move.why", "Settlement.reason"),
        *("SamplingLeave.cut_what", "SamplingLeave.result", "DryingRun.note", "Part.note", "Part.ended_why"),
        *("Voucher.deaccession_words", "PermitUse.ended_why", "Loan.purpose"),
    } <= told


@pytest.mark.parametrize("sheet", OF_VOUCHERS)
def test_no_label_tells_them_to_a_leader_not_even_as_it_was_printed_before(
    sheet: str,
    scene: Find,
    words: Words,
    leader: Member,
    curator: Member,
    browser_of: Callable[[Member], Client],
) -> None:
    _, before = printed(browser_of(curator), sheet, scene)
    assert before, "the curator's print came out"
    read, after = printed(browser_of(leader), sheet, scene)
    assert (words.told_by(read), words.told_by(after)) == ([], [])
    assert after


def test_what_leaves_the_club_never_tells_them(
    scene: Find, words: Words, curator: Member, browser_of: Callable[[Member], Client]
) -> None:
    """What was written for the borrower is on their form: purpose, terms, condition, and the leave to cut."""
    browser = browser_of(curator)
    (sheet,) = (one for one in SHEETS if one == "duplicates")
    assert words.told_by(printed(browser, sheet, scene)[1]) == []
    form = pdf_text(browser.get(reverse("loan-form", args=["L-2026-0001", "a4"])).content)
    told = {column.split(".")[0] for column in words.told_by(form)}
    assert told <= {"Loan", "Condition"} and "Loan" in told
