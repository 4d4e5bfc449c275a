"""Loan forms to be printed: plain values."""

from dataclasses import replace
from datetime import date

from vouchers.loans.form_pdf import FormItem, LoanForm
from vouchers.loans.terms import usual_terms

SHORT = LoanForm(
    number="L2026-003",
    collection="Hollin Fungarium",
    institution="Herbarium of Fenwick",
    person="Prof. Ines Dahl",
    address="4 Mill Lane\nFenwick",
    used_by="Tom Weir",
    purpose="Revision of Trametes",
    terms=usual_terms(),
    lent_on=date(2026, 11, 2),
    due_on=date(2027, 5, 2),
    lent_by="Carys Bowen",
    items=(
        FormItem(
            number="HFG 2026-0118",
            kind="packet",
            name=(("Trametes versicolor", True),),
            authority="(L.) Lloyd",
            gathering="Ada Thorne, AT 118, 3 October 2026",
            condition="two caps, margin chipped",
            permission="no permit on record",
        ),
        FormItem(
            number="HFG 2026-0118 S1",
            kind="slide",
            name=(("Trametes ", True), ("cf.", False), (" versicolor", True)),
            leave="C2026-001 of 2 November 2026, to Dr Kofi Lind: 5 mm² of the flesh",
        ),
    ),
    not_frozen=(),
)


def long_form(count: int) -> LoanForm:
    """As many specimens as asked for, some with words as long as their boxes allow, in several scripts."""
    items = tuple(
        FormItem(
            number=f"HFG 2026-{serial:04d}" + (" W12" if serial % 3 == 0 else ""),
            kind="wood piece" if serial % 3 == 0 else "packet",
            name=(("Hymenochaetopsis tabacina", True),),
            authority="(Sowerby) S.H. He & Jiao Yang",
            gathering=f"Włodzimierz Żółć-Πέτρος, ВЗ {serial}, 3 October 2026",
            condition="beetle holes in the margin, the third piece broken, all pieces kept in a bag of their own; "
            * 3
            if serial % 4 == 0
            else "whole",
            permission="Forestry Commission, FC/2026/114" if serial % 2 else "no permit or leave on record",
        )
        for serial in range(1, count + 1)
    )
    return replace(
        SHORT,
        institution="Ботанический институт имени В. Л. Комарова, отдел систематики и географии растений, Гербарий "
        * 1,
        purpose="Revision of the corticioid fungi of the county, " * 6,
        items=items,
    )
