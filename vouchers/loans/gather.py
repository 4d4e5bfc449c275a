"""From rows to the plain values of a loan's form. Where a find was made is not among them."""

from django.db.models import Prefetch

from ledger.bench.models import Determination
from ledger.club.models import Club
from ledger.days import day_text
from ledger.moments import day_of
from ledger.paper.text import Pieces
from ledger.templatetags.names import cited_name
from ledger.words import say
from vouchers.loans.form_pdf import FormItem, LoanForm
from vouchers.loans.models import Condition, Loan, LoanItem, Moment
from vouchers.permits.queries import permission_texts
from vouchers.preparation.frozen import not_frozen
from vouchers.sampling.models import Decision, SamplingLeave


def loan_form(loan: Loan, club: Club) -> LoanForm:
    """The form of a loan as it was made: all its items, those that came back too. A dozen queries however many items."""
    items = list(
        loan.items.with_part()
        .select_related("part__voucher__find__foray")
        .prefetch_related(
            Prefetch("conditions", Condition.objects.filter(moment=Moment.OUT), to_attr="as_it_left"),
            Prefetch(
                "part__sampling_leaves",
                SamplingLeave.objects.filter(decision=Decision.GRANTED, cut_on__isnull=True),
                to_attr="open_leaves",
            ),
        )
    )
    permissions = permission_texts([item.part.voucher for item in items])
    return LoanForm(
        number=str(loan),
        collection=club.heading,
        institution=loan.institution,
        person=loan.person,
        address=loan.address,
        used_by=loan.used_by,
        purpose=loan.purpose,
        terms=loan.terms,
        lent_on=loan.lent_on,
        due_on=loan.due_on,
        lent_by=loan.made_by.full_name,
        items=tuple(_item(item, permissions[item.part.voucher_id]) for item in items),
        not_frozen=tuple(part.number for part in not_frozen([item.part for item in items], loan.made_at)),
    )


def _item(item: LoanItem, permission: str) -> FormItem:
    find = item.part.voucher.find
    name, authority = name_of(find.current_determination)
    day = day_text(find.found_on) if find.found_on else ""
    return FormItem(
        number=item.part.number,
        kind=item.part.kind_word,
        name=name,
        authority=authority,
        gathering=", ".join(filter(None, (find.found_by_name, find.collecting_number, day))),
        condition="; ".join(one.words for one in item.as_it_left),
        permission=permission,
        leave="; ".join(_leave(leave) for leave in item.part.open_leaves),
    )


def name_of(determination: Determination | None) -> tuple[Pieces, str]:
    """A name in pieces and its authority, as they are printed."""
    if determination is None or not determination.name_typed:
        return ((say("not named"), False),), ""
    cited = cited_name(determination)
    return tuple((part.text, part.italic) for part in cited.parts), cited.authority


def _leave(leave: SamplingLeave) -> str:
    if leave.decided_at:
        granted = say(
            "{leave} of {day}, to {person}: {what}",
            leave=leave,
            day=day_of(leave.decided_at),
            person=leave.person,
            what=leave.what,
        )
    else:
        granted = say("{leave}, to {person}: {what}", leave=leave, person=leave.person, what=leave.what)
    return f"{granted}; {leave.decision_words}" if leave.decision_words else granted
