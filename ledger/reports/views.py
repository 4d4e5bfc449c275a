"""Reports: what there is, and each as a page and as a PDF."""

from dataclasses import replace
from urllib.parse import urlencode

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.template.loader import render_to_string
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from ledger.forays.models import Foray
from ledger.handing_on.named import person_leaving
from ledger.languages import of_the_club, page_language
from ledger.paper.papers import A4, PAPERS
from ledger.paper.text import PaperError
from ledger.people.models import Member, Role
from ledger.reports import asked, own, owner, yearly
from ledger.reports.report_pdf import print_report
from ledger.reports.sheet import Report, for_page, part_of, parts_of
from ledger.roles import at_least
from ledger.taxa.models import Taxon
from ledger.year import queries

FORAYS_SHOWN = 50


@require_safe
def reports(request: HttpRequest) -> HttpResponse:
    """What this member may make."""
    forays = Foray.objects.order_by("-held_on", "name")
    if not request.user.is_curator:
        forays = forays.filter(leader=request.user) if request.user.is_leader else forays.none()
    listed = list(forays[: FORAYS_SHOWN + 1])
    context = {
        "forays": listed[:FORAYS_SHOWN],
        "earlier": len(listed) > FORAYS_SHOWN,
        "years": _years() if request.user.is_curator else {},
        "members": _members() if request.user.is_curator else [],
    }
    return render(request, "reports/reports.html", context)


# --- for the owner of the land ---


@never_cache
@require_safe
def owner_report(request: HttpRequest, foray_id: int) -> HttpResponse:
    foray = _foray(request, foray_id)
    choices = asked.owner_choices(request.GET)
    # It goes to somebody outside: in the club's language, as its PDF is, whoever makes it.
    with of_the_club():
        report = for_page(whole := _owner_report(request, foray))
        shown = render_to_string("reports/_report.html", {"report": report})
        language = page_language()
    context = {
        "report": report,
        "shown": shown,
        "shown_language": "" if language == page_language() else language,
        "prints": _prints(request, parts_of(whole)),
        "foray": foray,
        "choices": choices,
        "left_out": owner.left_out_of(foray),
        "other_days": (other_days := owner.of_other_days(foray)),
        "some_other_days": ", ".join(other_days[:6]) + (" …" if len(other_days) > 6 else ""),
    }
    return render(request, "reports/owner.html", context)


@never_cache
@require_safe
def owner_report_pdf(request: HttpRequest, foray_id: int) -> HttpResponse:
    foray = _foray(request, foray_id)
    with of_the_club():
        report = _owner_report(request, foray)
        part = asked.part_asked(request.GET, parts_of(report))
        return _printed(request, part_of(report, part), "owner-report", foray_id)


def _owner_report(request: HttpRequest, foray: Foray) -> Report:
    report = owner.owner_report(foray, asked.owner_choices(request.GET), now=timezone.now())
    return replace(report, made_by=person_leaving(request.user).name)


def _foray(request: HttpRequest, foray_id: int) -> Foray:
    foray = get_object_or_404(Foray.objects.select_related("leader"), pk=foray_id)
    if not owner.may_make(request.user, foray):
        raise PermissionDenied
    return foray


# --- of the year ---


@at_least(Role.CURATOR)
@never_cache
@require_safe
def year_report(request: HttpRequest) -> HttpResponse:
    chosen = asked.year_asked(request.GET, timezone.localdate())
    report = _year_report(request, chosen)
    context = {
        "report": for_page(report),
        "prints": _prints(request, parts_of(report)),
        "asked": chosen,
        "years": sorted({*_years(), chosen.year, chosen.beside}, reverse=True),
    }
    return render(request, "reports/year.html", context)


@at_least(Role.CURATOR)
@never_cache
@require_safe
def year_report_pdf(request: HttpRequest) -> HttpResponse:
    chosen = asked.year_asked(request.GET, timezone.localdate())
    report = _year_report(request, chosen)
    part = asked.part_asked(request.GET, parts_of(report))
    return _printed(request, part_of(report, part), "year-report")


def _year_report(request: HttpRequest, chosen: asked.YearAsked) -> Report:
    report = yearly.year_report(chosen.year, chosen.beside, now=timezone.now())
    return replace(report, made_by=person_leaving(request.user).name)


# --- of one member ---


@never_cache
@require_safe
def own_list(request: HttpRequest, member_id: int) -> HttpResponse:
    of = _member(request, member_id)
    choices, troubles = asked.own_choices(request.GET)
    page = own.page_shown(
        of, choices, after=request.GET.get("after", ""), before=request.GET.get("before", "")
    )
    report = own.own_page(of, request.user, choices, page, now=timezone.now())
    context = {
        "report": report,
        "prints": _prints(request, report.parts),
        "of": of,
        "choices": choices,
        "orders": [(code, word) for code, (word, _) in own.ORDERS.items()],
        "taxa": Taxon.objects.only("name", "slug"),
        "years": _years(),
        "troubles": troubles,
        "page": page,
        "query": _query(request, "after", "before"),
        "members": _members() if request.user.is_curator else [],
    }
    return render(request, "reports/own.html", context)


@never_cache
@require_safe
def own_list_pdf(request: HttpRequest, member_id: int) -> HttpResponse:
    of = _member(request, member_id)
    choices, _ = asked.own_choices(request.GET)
    part = asked.part_asked(request.GET, own.parts_in_all(of, choices))
    report = own.own_part(of, request.user, choices, part, now=timezone.now())
    return _printed(request, report, "own-list", member_id)


def _member(request: HttpRequest, member_id: int) -> Member:
    of = Member.objects.filter(pk=member_id).first()
    if of is None or not own.may_make(request.user, of):
        raise Http404
    return of


def _years() -> dict[int, int]:
    """Years with their finds. A day that was mistyped is flagged, and makes no year of the club's."""
    possible = range(asked.FIRST_YEAR, timezone.localdate().year + 1)
    return {year: n for year, n in queries.years().items() if year in possible}


def _members() -> "list[Member]":
    return list(Member.objects.only("full_name", "collector_code").order_by("full_name"))


# --- what they share ---


def _prints(request: HttpRequest, parts: int) -> list[tuple[str, list[tuple[int, str]]]]:
    """The ways to the PDFs: a paper's title, with the parts and their addresses behind the page's own."""
    kept = _query(request, "after", "before", "paper", "part")
    found = []
    for paper in PAPERS.values():
        ways = []
        for part in range(1, parts + 1):
            more = urlencode({"paper": paper.code} | ({"part": part} if parts > 1 else {}))
            ways.append((part, f"{request.path}print.pdf?{'&'.join(filter(None, [kept, more]))}"))
        found.append((paper.title, ways))
    return found


def _query(request: HttpRequest, *without: str) -> str:
    """What was asked for, as the end of an address, without some of it."""
    return urlencode([(name, value) for name, value in request.GET.items() if name not in without])


def _printed(request: HttpRequest, report: Report, page: str, *given: int) -> HttpResponse:
    paper = request.GET.get("paper", "")
    try:
        pdf = print_report(
            report,
            paper if paper in PAPERS else A4.code,
            made_at=timezone.localtime(),
            language=page_language(),
        )
    except PaperError as trouble:
        messages.error(request, str(trouble))
        return redirect(page, *given)
    name = f"{report.filed_as}-{report.part}.pdf" if report.parts > 1 else f"{report.filed_as}.pdf"
    answer = HttpResponse(pdf, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{name}"'
    return answer
