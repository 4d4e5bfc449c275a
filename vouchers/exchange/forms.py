"""Boxes of the pages of exchange."""

from typing import Any

from ledger.words import later
from vouchers.loans.forms import PartyForm, codes_box, day_box, today, words_box


class SendingForm(PartyForm):
    codes = codes_box(later("Scan or type the code of each duplicate that goes: D1, D2 behind the number."))
    sent_on = day_box(later("Leaves on"))
    note = words_box(later("Note"), 300, required=False)
    field_order = ("codes", "institution", "person", "address", "sent_on", "note")

    def __init__(self, *args: Any, codes: str = "", **kwargs: Any) -> None:
        super().__init__(*args, initial={"sent_on": today(), "codes": codes}, **kwargs)
        self.fields["institution"].label = later("To the collection")
        self.fields["person"].label = later("Person there")
