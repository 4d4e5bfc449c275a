"""A block of numbers on paper to its sheet of slips. Printed again, it takes no new number."""

from collections.abc import Callable
from datetime import datetime

from ledger.club.models import Club
from ledger.collecting_numbers import CollectingNumber
from ledger.languages import page_language
from ledger.paper.slips import DataSlip, PrintedSlips, print_slips
from ledger.slips.queries import PaperBlock
from ledger.taxa.queries import vocabulary
from ledger.words import say


class NothingToPrint(ValueError):
    """No slip of the block can be printed; the text says why and what to do."""


def print_block(
    paper_block: PaperBlock, paper: str, *, club: Club, address_of: Callable[[str], str], now: datetime
) -> PrintedSlips:
    """Return the slips of the block as a PDF: those whose number no find has.

    `address_of`: the whole address of the entry of a number such as `AT-57`, which the code on the slip holds.
    """
    block = paper_block.block
    if block.returned_at:
        raise NothingToPrint(
            say(
                "{slips} was returned, and its unused numbers are void. Print new slips.",
                slips=paper_block.title,
            )
        )
    if not paper_block.open_serials:
        raise NothingToPrint(
            say("Every number of {slips} is typed up. Print new slips.", slips=paper_block.title)
        )
    code, finder = block.member.collector_code, block.member.full_name
    numbers = [CollectingNumber(code, serial) for serial in paper_block.open_serials]
    slips = [
        DataSlip(
            number=str(number),
            finder=finder,
            code=address_of(number.in_address),
            institution=club.heading,
        )
        for number in numbers
    ]
    return print_slips(slips, vocabulary(), paper, made_at=now, language=page_language())
