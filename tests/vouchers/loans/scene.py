"""One loan out with a condition and its photo, one loan in, one sending with news of a name, one leave that waits: for the
tests that open every page."""

from datetime import datetime, timedelta
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone

from ledger.people.models import Member
from tests.factories import FindFactory, TaxonFactory, name_find, picture
from vouchers.exchange.actions import SendingTerms, send
from vouchers.loans.actions import LoanTerms, lend, note_condition, prolong, return_items
from vouchers.loans.borrowing import BorrowingTerms, ItemIn, borrow
from vouchers.loans.due import usual_due
from vouchers.loans.photos import add_photos
from vouchers.loans.terms import usual_terms
from vouchers.parts.actions import make_part
from vouchers.register.actions import accession
from vouchers.sampling.actions import LeaveAsked, ask

AT = {"institution": "Herbarium of Fenwick", "person": "Prof. Ines Dahl", "address": "4 Mill Lane\nFenwick"}


def make_scene(by: Member, now: datetime) -> dict[str, Any]:
    """The papers, by what they are. The loan was due yesterday; one of its two parts came back."""
    today = timezone.localtime(now).date()
    find = FindFactory(finder=by)
    name_find(find, TaxonFactory(name="Trametes versicolor"))
    voucher = accession(find.pk, by=by, now=now)
    packet = voucher.parts.get()
    slide = make_part(voucher.pk, "slide", by=by, now=now)
    duplicate = make_part(voucher.pk, "duplicate", by=by, now=now)
    terms = LoanTerms(
        **AT,
        used_by="Tom Weir",
        purpose="Revision of Trametes",
        terms=usual_terms(),
        lent_on=today - timedelta(days=200),
        due_on=today - timedelta(days=1),
    )
    loan = lend(terms, [packet.pk, slide.pk], by=by, now=now)
    item = loan.items.get(part=packet)
    left = note_condition(item.pk, "out", "two caps, one margin chipped", by=by, now=now)
    photo = SimpleUploadedFile("packet.jpg", picture(colour="tan"), "image/jpeg")
    assert add_photos(left, [photo], by=by, now=now) == []
    return_items(loan.pk, {slide.pk: "sound"}, by=by, now=now)
    later = lend(terms, [slide.pk], by=by, now=now, condition="sound")
    prolong(later.pk, due_on=usual_due(today), why="Dahl asked for it", by=by, now=now)
    borrowing = borrow(
        BorrowingTerms(
            **AT,
            their_number="RF/26/411",
            purpose="to compare",
            terms="Not to be cut.",
            received_on=today,
            due_on=usual_due(today),
        ),
        [ItemIn("K(M) 21040", "Trametes gibbosa", "sound"), ItemIn("K(M) 21041")],
        by=by,
        now=now,
    )
    sending = send(SendingTerms(**AT, sent_on=today, note="by post"), [duplicate.pk], by=by, now=now)
    name_find(find, TaxonFactory(name="Trametes ochracea"))
    leave = ask(
        LeaveAsked(
            **AT, asked_on=today, purpose="dna", purpose_words="ITS of the county", what="5 mm² of the flesh"
        ),
        packet.pk,
        by=by,
        now=now,
    )
    return {
        "lent voucher": voucher,
        "loan": loan,
        "loan item": item,
        "condition photo": left.photos.get(),
        "borrowing": borrowing,
        "sending": sending,
        "leave": leave,
    }
