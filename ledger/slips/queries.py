"""What the pages of paper slips ask for: a number and what became of it, and the blocks of numbers on paper."""

from dataclasses import dataclass
from functools import cached_property

from django.db.models import Q

from ledger.collecting_numbers import CollectingNumber
from ledger.finds.models import Find
from ledger.people.models import Member
from ledger.phone.models import Holder, NumberBlock, VoidNumber
from ledger.phone.numbers import next_number, serials_used
from ledger.words import Said, say


@dataclass(frozen=True, slots=True)
class SlipNumber:
    """One collecting number: whose it is, the block it stands on, the finds that have it, whether it is void."""

    number: CollectingNumber
    finder: Member | None
    block: NumberBlock | None
    finds: tuple[Find, ...]
    is_void: bool

    def __str__(self) -> str:
        return str(self.number)

    @property
    def in_address(self) -> str:
        return self.number.in_address

    @property
    def is_on_paper(self) -> bool:
        # A share is split off a find that is there; no slip has its number.
        return not self.number.share and self.block is not None and self.block.holder == Holder.PAPER


@dataclass(frozen=True)
class PaperBlock:
    """A block of numbers on paper, as its row tells it."""

    block: NumberBlock

    @cached_property
    def used(self) -> frozenset[int]:
        return frozenset(serials_used(self.block))

    @property
    def size(self) -> int:
        return self.block.last - self.block.first + 1

    @property
    def void_count(self) -> int:
        return len(self.block.void_numbers.all())

    @cached_property
    def open_serials(self) -> tuple[int, ...]:
        """Serials that no find has yet; none of a block that was returned."""
        if self.block.returned_at:
            return ()
        return tuple(n for n in range(self.block.first, self.block.last + 1) if n not in self.used)

    @property
    def title(self) -> Said:
        code = self.block.member.collector_code
        if self.size == 1:
            return Said(f"{code} {self.block.first}")
        return say("{code} {first} to {last}", code=code, first=self.block.first, last=self.block.last)


def slip_number(number: CollectingNumber) -> SlipNumber:
    """Return what the ledger knows of a collecting number; of the whole collection it tells the shares too."""
    code, serial, share = number
    finder = Member.objects.filter(collector_code=code).first()
    block = None
    is_void = False
    if finder is not None:
        block = NumberBlock.objects.filter(member=finder, first__lte=serial, last__gte=serial).first()
        is_void = VoidNumber.objects.filter(member=finder, serial=serial).exists()
    finds = Find.objects.filter(collecting_code=code, collecting_serial=serial).order_by("logged_at")
    if share:
        finds = finds.filter(collecting_suffix=share)
    return SlipNumber(number, finder, block, tuple(finds[:5]), is_void)


def number_to_type(member: Member) -> str:
    """Return a number of the member's own as an example: the next that waits on a slip of theirs, else their next one."""
    blocks = NumberBlock.objects.filter(member=member, holder=Holder.PAPER, returned_at=None).order_by(
        "first"
    )
    waiting = (block.open_serials[0] for block in map(PaperBlock, blocks) if block.open_serials)
    serial = next(waiting, None)
    return f"{member.collector_code} {serial}" if serial else next_number(member)


def paper_blocks(member: Member) -> list[PaperBlock]:
    """Return the blocks on paper that *member* holds or has reserved for others, the latest first."""
    blocks = (
        NumberBlock.objects.filter(Q(member=member) | Q(reserved_by=member), holder=Holder.PAPER)
        .select_related("member", "reserved_by")
        .prefetch_related("void_numbers")
    )
    return [PaperBlock(block) for block in blocks]
