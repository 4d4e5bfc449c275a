"""Paper data slips: sheets with reserved numbers, and the entry that starts from a slip's number."""

import uuid

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from ledger.club.queries import the_club
from ledger.collecting_numbers import read_collecting_number
from ledger.paper.papers import PAPERS
from ledger.paper.slips import SLIPS_A_SHEET
from ledger.paper.text import PaperError
from ledger.people.models import Member
from ledger.phone.models import Holder, NumberBlock
from ledger.phone.numbers import NumbersRefused, reserve_block, return_block
from ledger.slips.forms import SheetsForm, paper_of
from ledger.slips.printing import NothingToPrint, print_block
from ledger.slips.queries import PaperBlock, SlipNumber, number_to_type, paper_blocks, slip_number
from ledger.words import say


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def data_slips(request: HttpRequest) -> HttpResponse:
    """Reserve numbers for new sheets; below, the sheets there are."""
    form = SheetsForm(request.POST if request.method == "POST" else None, member=request.user)
    if form.is_bound and form.is_valid():
        try:
            block = reserve_block(
                form.cleaned_data["finder"],
                holder=Holder.PAPER,
                by=request.user,
                many=form.cleaned_data["sheets"] * SLIPS_A_SHEET,
                request_id=form.cleaned_data["request"],
                label=form.cleaned_data["label"],
            )
        except NumbersRefused as refusal:
            form.add_error(None, str(refusal))
        else:
            title = PaperBlock(block).title
            messages.success(
                request,
                say(
                    "{slips} is reserved for {finder}. Print the slips below.",
                    slips=title,
                    finder=block.member.full_name,
                ),
            )
            return redirect(f"{reverse('data-slips')}#block-{block.pk}")
    return _slips_page(request, form)


def _slips_page(request: HttpRequest, form: SheetsForm, trouble: str = "") -> HttpResponse:
    context = {
        "form": form,
        "blocks": paper_blocks(request.user),
        "papers": PAPERS.values(),
        "trouble": trouble,
        "example": number_to_type(request.user),
    }
    return render(request, "paper/slips.html", context, status=422 if form.errors or trouble else 200)


@never_cache
@require_safe
def slip_sheet(request: HttpRequest, block_id: uuid.UUID) -> HttpResponse:
    """The slips of a block as a PDF, on the paper asked for."""
    paper_block = PaperBlock(_block(request.user, block_id))
    paper = paper_of(request.GET.get("paper"))
    try:
        printed = print_block(
            paper_block,
            paper,
            club=the_club(),
            address_of=lambda number: request.build_absolute_uri(reverse("slip-number", args=[number])),
            now=paper_block.block.reserved_at,
        )
    except (NothingToPrint, PaperError) as trouble:
        return _slips_page(request, SheetsForm(None, member=request.user), str(trouble))
    if printed.pdf is None or printed.refused:
        sentence = " ".join(dict.fromkeys(refusal.sentence for refusal in printed.refused[:1]))
        return _slips_page(request, SheetsForm(None, member=request.user), sentence)
    answer = HttpResponse(printed.pdf, content_type="application/pdf")
    name = paper_block.title.english.replace(" ", "-")
    answer["Content-Disposition"] = f'inline; filename="slips-{name}.pdf"'
    return answer


@require_POST
def return_slips(request: HttpRequest, block_id: uuid.UUID) -> HttpResponse:
    """Take a block back: its unused numbers are void for good."""
    block = _block(request.user, block_id)
    try:
        returned = PaperBlock(return_block(block, by=request.user))
    except NumbersRefused as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(
            request,
            say(
                "{slips} is returned: {used} used, {void} void. Tear up what is left of the slips.",
                slips=returned.title,
                used=len(returned.used),
                void=returned.void_count,
            ),
        )
    return redirect("data-slips")


@never_cache
@require_safe
def quick_entry(request: HttpRequest) -> HttpResponse:
    """Type the number of a slip; the form opens with it, or the page says why not."""
    typed = request.GET.get("number", "").strip()[:40]
    if not typed:
        return _number_asked(request, "")
    read = read_collecting_number(typed, request.user.collector_code)
    if read is None:
        trouble = say(
            "This is not read as a collecting number. It was kept as typed; type it as on the slip, such as {example}.",
            example=number_to_type(request.user),
        )
        return _number_asked(request, typed, trouble, status=422)
    return _entry_of(request, slip_number(read), typed)


@never_cache
@require_safe
def quick_number(request: HttpRequest, number: str) -> HttpResponse:
    """The address that the code on a slip holds."""
    read = read_collecting_number(number[:40])
    if read is None:
        trouble = say("The code is none of a slip of this ledger. Type the number instead.")
        return _number_asked(request, number[:40], trouble, status=404)
    return _entry_of(request, slip_number(read), str(number))


def _number_asked(request: HttpRequest, typed: str, trouble: str = "", *, status: int = 200) -> HttpResponse:
    context = {"typed": typed, "trouble": trouble, "example": number_to_type(request.user)}
    return render(request, "paper/quick_entry.html", context, status=status)


def _entry_of(request: HttpRequest, number: SlipNumber, typed: str) -> HttpResponse:
    member: Member = request.user
    is_own = number.finder == member
    may_log = number.finder is not None and (is_own or member.is_leader)
    is_free = not number.finds and not number.is_void and number.is_on_paper
    if is_free and is_own:
        return redirect(f"{reverse('log-find')}?slip={number.in_address}")
    context = {
        "typed": typed,
        "number": number,
        "is_own": is_own,
        "may_log": may_log,
        "is_free": is_free,
        "example": number_to_type(member),
    }
    return render(request, "paper/quick_entry.html", context)


def _block(member: Member, block_id: uuid.UUID) -> NumberBlock:
    """The block on paper, if it is theirs to print or return; curators may with any."""
    blocks = NumberBlock.objects.filter(holder=Holder.PAPER).select_related("member", "reserved_by")
    block = get_object_or_404(blocks.prefetch_related("void_numbers"), pk=block_id)
    if member.pk not in (block.member_id, block.reserved_by_id) and not member.is_curator:
        # Whose numbers are out on paper is nobody else's business.
        block = get_object_or_404(blocks.none(), pk=block_id)
    return block
