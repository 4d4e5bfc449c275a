"""The demo club's loans: one overdue, one that came back in part, one borrowed, duplicates sent, leave asked for."""

from datetime import datetime, timedelta

from django.utils import timezone

from ledger.people.models import Member
from vouchers.exchange.actions import SendingTerms, send
from vouchers.loans.actions import LoanTerms, lend, note_condition, return_items
from vouchers.loans.borrowing import BorrowingTerms, ItemIn, borrow
from vouchers.loans.due import add_months
from vouchers.loans.terms import usual_terms
from vouchers.parts.models import Part
from vouchers.sampling.actions import LeaveAsked, ask, decide

_FENWICK = {
    "institution": "Herbarium of Fenwick",
    "person": "Prof. Ines Dahl",
    "address": "4 Mill Lane\nFenwick",
}
_LUDDOCK = {"institution": "Museum of Luddock", "person": "Dr Jo Hale", "address": "Castle Street\nLuddock"}


def lend_and_send(*, by: Member, now: datetime) -> None:
    """Lend and send what the earliest numbers have; nothing where a small demo has too little of it."""
    parts = list(Part.objects.there().order_by("voucher__year", "voucher__serial", "id"))
    packets = [part for part in parts if part.kind == "packet"]
    duplicates = [part for part in parts if part.kind == "duplicate"]
    if len(packets) < 8 or not duplicates:
        return
    today = timezone.localtime(now).date()
    for party, lent, months_ago in ((_FENWICK, packets[:3], 7), (_LUDDOCK, packets[3:5], 2)):
        lent_on = add_months(today, -months_ago)
        loan = lend(
            LoanTerms(
                **party,
                used_by="",
                purpose="Revision of the polypores of the county",
                terms=usual_terms(),
                lent_on=lent_on,
                due_on=add_months(lent_on, 6),
            ),
            [part.pk for part in lent],
            by=by,
            now=now,
        )
        for item in loan.items.all():
            note_condition(item.pk, "out", "whole, margin sound", by=by, now=now)
        if party is _FENWICK:
            return_items(
                loan.pk, {lent[0].pk: "as it left, with a slip"}, by=by, now=now + timedelta(hours=1)
            )
    borrow(
        BorrowingTerms(
            **_LUDDOCK,
            their_number="ML 26/4",
            purpose="to compare with our own",
            terms="Not to be cut.",
            received_on=add_months(today, -1),
            due_on=add_months(today, 5),
        ),
        [
            ItemIn("LUD 1931.14", "Ganoderma applanatum", "margin broken"),
            ItemIn("LUD 1931.15", "Ganoderma sp."),
        ],
        by=by,
        now=now,
    )
    send(SendingTerms(**_FENWICK, sent_on=today, note="by post"), [duplicates[0].pk], by=by, now=now)
    asked = {
        "purpose": "dna",
        "purpose_words": "ITS of the county",
        "what": "5 mm² of the flesh",
        "asked_on": today,
    }
    leave = ask(LeaveAsked(**_FENWICK, **asked), packets[5].pk, by=by, now=now)  # type: ignore[arg-type]
    decide(leave.pk, "granted", words="One piece, none of the pores", by=by, now=now)
    ask(LeaveAsked(**_LUDDOCK, **asked), packets[6].pk, by=by, now=now)  # type: ignore[arg-type]
