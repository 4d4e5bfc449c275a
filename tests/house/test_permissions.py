"""Every address with every role, as one table.

Rows: URL name, method, what each answers. A new address without a row fails the first test.
Columns: nobody (signed out), stranger (a member whose find it is not), collector (whose find it is),
leader, curator, keeper. 302 for nobody means: to the sign-in page.
"""

import uuid
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.contrib.auth.tokens import default_token_generator
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from ledger.club.models import Club
from ledger.handing_on.actions import ask, note_agreed
from ledger.handing_on.choices import Choices
from ledger.handing_on.models import AgreedName
from ledger.people import actions as people_actions
from ledger.people.models import Member, Role
from ledger.phone.models import WaitingVersion
from ledger.phone.numbers import reserve_block
from ledger.spores.actions import keep_spores
from ledger.taking_in.actions import give
from ledger.taxa import club_names
from ledger.taxa.actions import mark_changed
from tests.factories import (
    DocumentedRangeFactory,
    FindFactory,
    FlagFactory,
    ForayFactory,
    MemberFactory,
    QuestionFactory,
    make_photo,
    name_find,
)
from tests.ledger.spores.making import spores
from tests.vouchers.loans.scene import make_scene
from tests.vouchers.permits.making import make_permit
from tests.vouchers.preparation.making import dry_kept, put_in
from vouchers.register.actions import accession
from vouchers.stocktake.actions import open_stocktake
from vouchers.store.models import StorePlace

COLUMNS = ("nobody", "stranger", "collector", "leader", "curator", "keeper")
ALL = (200,) * 6
MEMBERS = (302, 200, 200, 200, 200, 200)
LEADERS = (302, 403, 403, 200, 200, 200)
CURATORS = (302, 403, 403, 403, 200, 200)
KEEPERS = (302, 403, 403, 403, 403, 200)
# What a phone asks is answered in JSON: who is not let in is told so, and is not led to a page.
PHONE = (401, 200, 200, 200, 200, 200)
REFUSED = (401,) + (422,) * 5

GET: dict[str, tuple[int, ...]] = {
    "front": ALL,
    "sign-in": (200, 302, 302, 302, 302, 302),
    "invitation-needed": ALL,
    "join": ALL,
    "new-password": ALL,
    "me": MEMBERS,
    "change-password": MEMBERS,
    "people": KEEPERS,
    "end-membership": KEEPERS,
    "club": KEEPERS,
    "backups": KEEPERS,
    "forays": MEMBERS,
    "new-foray": LEADERS,
    "foray": MEMBERS,
    "change-foray": (302, 403, 403, 200, 200, 200),
    "taxa": MEMBERS,
    "taxon": MEMBERS,
    "end-range": CURATORS,
    "finds": MEMBERS,
    "finds-csv": MEMBERS,
    "log-find": MEMBERS,
    "match-name": MEMBERS,
    "read-place": MEMBERS,
    "photo-file": MEMBERS,
    "clock-photo": (302, 404, 200, 404, 200, 200),
    "measure-photo": MEMBERS,
    "spores": MEMBERS,
    "spores-json": MEMBERS,
    "own-line": MEMBERS,
    "scale-card": MEMBERS,
    "find-page": MEMBERS,
    "find-json": MEMBERS,
    "amend-find": (302, 403, 200, 403, 200, 200),
    "change-finder": (302, 403, 200, 403, 200, 200),
    "bench": CURATORS,
    "bench-find": CURATORS,
    "vouchers": CURATORS,
    "voucher": LEADERS,
    "register-book": CURATORS,
    "deaccession": CURATORS,
    "make-part": CURATORS,
    "end-part": CURATORS,
    "split-find": CURATORS,
    "without-number": CURATORS,
    "labels": LEADERS,
    "place-labels": LEADERS,
    "loans": CURATORS,
    "new-loan": CURATORS,
    "loan": CURATORS,
    "loan-form": CURATORS,
    "loan-item": CURATORS,
    "lost-loan-item": CURATORS,
    "condition-photo": CURATORS,
    "return-loan": CURATORS,
    "prolong-loan": CURATORS,
    "remind-borrower": CURATORS,
    "new-borrowing": CURATORS,
    "borrowing": CURATORS,
    "exchange": CURATORS,
    "new-sending": CURATORS,
    "sending": CURATORS,
    "sampling": CURATORS,
    "ask-to-sample": CURATORS,
    "sampling-leave": CURATORS,
    "store": LEADERS,
    "store-place": LEADERS,
    "store-move": LEADERS,
    "store-read": LEADERS,
    "new-place": CURATORS,
    "change-place": CURATORS,
    "stocktakes": LEADERS,
    "stocktake": LEADERS,
    "stocktake-json": (401, 403, 403, 200, 200, 200),
    "stocktake-walk": ALL,
    "nearly-there": CURATORS,
    "permits": LEADERS,
    "new-permit": CURATORS,
    "permit": LEADERS,
    "change-permit": CURATORS,
    "preparation": LEADERS,
    "put-in-drier": LEADERS,
    "drying-run": LEADERS,
    "tray": LEADERS,
    "preparation-of-find": LEADERS,
    "data-slips": MEMBERS,
    "slip-sheet": (302, 404, 200, 404, 200, 200),
    "quick-entry": MEMBERS,
    "pocket-page": MEMBERS,
    "pocket-sheet": (302, 404, 404, 404, 404, 404),  # of no taxon
    "slip-number": (302, 200, 302, 200, 200, 200),
    "phone-worker": ALL,
    "phone-manifest": ALL,
    "phone-form": ALL,
    "phone-outbox": ALL,
    "phone-table": ALL,
    "phone-table-list": PHONE,
    "phone-no-signal": ALL,
    "phone-hello": ALL,
    "phone-reference": PHONE,
    "phone-own-finds": PHONE,
    "the-year": MEMBERS,
    "map": MEMBERS,
    "season": MEMBERS,
    "measured": MEMBERS,
    "measured-taxon": MEMBERS,
    "checklist": MEMBERS,
    "map-cells": (302,) + (422,) * 5,
    "reports": MEMBERS,
    "owner-report": LEADERS,
    "owner-report-pdf": LEADERS,
    "year-report": CURATORS,
    "year-report-pdf": CURATORS,
    "own-list": (302, 404, 200, 404, 200, 200),
    "own-list-pdf": (302, 404, 200, 404, 200, 200),
    "taking-in": CURATORS,
    "taken-file": CURATORS,
    "handing-on": CURATORS,
    "agreed-names": CURATORS,
    "handing": CURATORS,
    "handing-state": CURATORS,
    "handing-file": CURATORS,
    "phone-photo": (401,) + (400,) * 5,
}
# What an empty or harmless POST answers. 405 where only GET is served; 422 and 409 are refusals with a sentence.
POST: dict[str, tuple[int, ...]] = {
    "taken-columns": CURATORS[:4] + (422, 422),
    "taken-sheet": CURATORS[:4] + (302, 302),
    "accept-taken": CURATORS[:4] + (302, 302),
    "undo-taken": CURATORS[:4] + (302, 302),
    "forget-taken": CURATORS[:4] + (302, 404),  # gone for whoever asks after the first
    "sign-out": (302,) * 6,
    "choose-language": (302,) * 6,
    "check-find": MEMBERS,
    "measure-try": (302,) + (422,) * 5,
    "measure-keep": (302,) + (422,) * 5,
    "measure-line": (302, 403, 422, 403, 422, 422),
    "measure-card": (302, 403, 302, 403, 302, 302),
    "measure-together": (302, 403, 200, 403, 200, 200),
    "measure-reading": (302, 403, 302, 403, 302, 302),
    "withdraw-spores": (302, 403, 302, 403, 302, 302),
    "use-spores": (302, 403, 302, 403, 302, 302),
    "withdraw-measurement": (302, 404, 404, 404, 404, 404),
    "answer-question": (302, 403, 422, 403, 422, 422),
    "open-place": (302, 403, 403, 403, 302, 302),
    "let-version-go": (302, 403, 302, 403, 302, 302),
    "end-invitation": KEEPERS[:5] + (302,),
    "change-role": KEEPERS[:5] + (302,),
    "renew-membership": KEEPERS[:5] + (302,),
    "new-password-link": KEEPERS,
    "enter-range": CURATORS[:4] + (422, 422),
    "mark-sensitive": CURATORS[:4] + (302, 302),
    "adopt-range": CURATORS[:4] + (302, 302),
    "settle": CURATORS[:4] + (422, 422),
    "end-agreed-name": CURATORS[:4] + (302, 302),
    "send-back": CURATORS[:4] + (422, 422),
    "redetermine": CURATORS[:4] + (422, 422),
    "accession": CURATORS[:4] + (302, 302),
    "add-club-name": CURATORS[:4] + (422, 422),
    "end-club-name": CURATORS[:4] + (302, 302),
    "link-permit": CURATORS[:4] + (422, 422),
    "end-permit-use": CURATORS[:4] + (422, 422),
    "withdraw-step": LEADERS[:3] + (422, 422, 422),
    "move-place": LEADERS[:3] + (302,) * 3,
    "close-place": CURATORS[:4] + (302, 302),
    "type-sightings": LEADERS[:3] + (422,) * 3,
    "settle-difference": CURATORS[:4] + (302, 302),
    "sign-off-stocktake": CURATORS[:4] + (302, 302),
    "give-up-stocktake": CURATORS[:4] + (302, 302),
    "stocktake-sightings": (401, 403, 403) + (422,) * 3,
    "phone-finds": REFUSED,
    "phone-numbers": REFUSED,
    "phone-numbers-return": REFUSED,
    "return-slips": (302, 404, 302, 404, 302, 302),
    "give-back": CURATORS[:4] + (422, 422),
    "prolong-borrowing": CURATORS[:4] + (422, 422),
    "told-of-name": CURATORS[:4] + (422, 422),
    "decide-leave": CURATORS[:4] + (422, 422),
    "note-cut": CURATORS[:4] + (422, 422),
    "note-result": CURATORS[:4] + (422, 422),
}
# The forms: what an empty POST answers. Kept apart from GET, since one address answers both.
EMPTY_POST: dict[str, tuple[int, ...]] = {
    "spores": (302, 403, 422, 403, 422, 422),
    "spores-json": (302, 403, 422, 403, 422, 422),
    "people": KEEPERS,
    "end-membership": KEEPERS[:5] + (302,),
    "end-range": CURATORS[:4] + (422, 422),
    "club": KEEPERS,
    "handing-on": CURATORS[:4] + (422, 422),
    "taking-in": CURATORS[:4] + (422, 422),
    "agreed-names": CURATORS[:4] + (422, 422),
    "new-foray": LEADERS,
    "deaccession": CURATORS[:4] + (422, 422),
    "make-part": CURATORS[:4] + (422, 422),
    "end-part": CURATORS[:4] + (422, 422),
    "split-find": CURATORS[:4] + (422, 422),
    "without-number": CURATORS[:4] + (422, 422),
    "labels": (302, 403, 403, 422, 422, 422),
    "place-labels": (302, 403, 403, 422, 422, 422),
    "new-permit": CURATORS[:4] + (422, 422),
    "change-permit": CURATORS[:4] + (422, 422),
    "preparation": (302, 403, 403, 422, 422, 422),
    "put-in-drier": (302, 403, 403, 422, 422, 422),
    "preparation-of-find": (302, 403, 403, 422, 422, 422),
    "new-place": CURATORS[:4] + (422, 422),
    "change-place": CURATORS[:4] + (422, 422),
    "store-move": (302, 403, 403, 422, 422, 422),
    "stocktakes": (302, 403, 403, 403, 422, 422),
    "data-slips": (302,) + (422,) * 5,
    "new-loan": CURATORS[:4] + (422, 422),
    "loan-item": CURATORS[:4] + (422, 422),
    "lost-loan-item": CURATORS[:4] + (422, 422),
    "return-loan": CURATORS[:4] + (422, 422),
    "prolong-loan": CURATORS[:4] + (422, 422),
    "remind-borrower": CURATORS[:4] + (422, 422),
    "new-borrowing": CURATORS[:4] + (422, 422),
    "new-sending": CURATORS[:4] + (422, 422),
    "ask-to-sample": CURATORS[:4] + (422, 422),
}


def _named(patterns: list[Any]) -> Iterator[URLPattern]:
    for pattern in patterns:
        if isinstance(pattern, URLResolver):
            yield from _named(pattern.url_patterns)
        else:
            yield pattern


NAMES = sorted(pattern.name or "?" for pattern in _named(get_resolver().url_patterns))


@pytest.fixture
def scene(
    collector: Member, stranger: Member, leader: Member, curator: Member, keeper: Member
) -> dict[str, Any]:
    """One of everything an address can name. The find is the collector's; the foray is the leader's."""
    Club.objects.create(name="Hollin Fungus Group", accession_prefix="HFG")
    mark_changed()
    foray = ForayFactory(leader=leader)
    find = FindFactory(finder=collector, foray=foray, status="held", worst_flag=2, open_flags=1)
    row = DocumentedRangeFactory(entered_by=curator)
    name_find(find, row.taxon)
    FlagFactory(find=find)
    question = QuestionFactory(find=find, asked_by=curator)
    slips = reserve_block(collector, holder="paper", by=collector, many=4)
    now = datetime.now(UTC)
    invitation, token = people_actions.invite(role=Role.MEMBER, now=now)
    member = MemberFactory()
    voucher = accession(FindFactory(finder=collector).pk, by=curator, now=now - timedelta(days=1))
    permit = make_permit(curator, forays=[foray])
    run = put_in([dry_kept(finder=collector)], leader, at=now)
    box = StorePlace.objects.create(kind="box", name="Box 1", number=1)
    walk = open_stocktake(box, by=curator, now=now)
    papers = make_scene(curator, now)
    return {
        "people": {
            "stranger": stranger, "collector": collector, "leader": leader, "curator": curator, "keeper": keeper,
        },
        "arguments": {
            "join": {"token": token},
            "new-password": {"member_id": member.pk, "token": default_token_generator.make_token(member)},
            "foray_id": foray.pk,
            "find_id": find.pk,
            "version_id": WaitingVersion.objects.create(find=find, by=collector, since=now).pk,
            "slug": row.taxon.slug,
            "range_id": row.pk,
            "taking_id": give(b"Date,Wood\n2026-10-03,beech\n", "old.csv", by=curator, now=now).pk,
            "handing_id": ask(Choices(kind="csv"), by=curator, now=now).pk,
            "key": note_agreed_by(curator, now),
            "invitation_id": invitation.pk,
            "member_id": member.pk,
            **{name: {"member_id": collector.pk} for name in ("own-list", "own-list-pdf")},
            "photo_id": make_photo(find=find, by=collector, taken_at=now).pk,
            "size": "thumb",
            "measurement_id": uuid.uuid4(),
            "name_id": club_names.add(
                row.taxon, name="Schmetterlingstramete", language="de", source="the club", by=curator, now=now
            ).pk,
            "set_id": keep_spores(find.pk, spores(), by=collector).pk,
            "kind": "small",
            "paper": "a4",
            "block_id": slips.pk,
            "run_id": run.pk,
            "permit_id": permit.pk,
            "use_id": permit.uses.get().pk,
            "tray_number": 5,
            "step_id": run.steps.get().pk,
            "stocktake_id": walk.pk,
            **{
                name: {"number": box.number}
                for name in ("store-place", "change-place", "move-place", "close-place")
            },
            "item_id": papers["loan item"].pk,
            "condition-photo": {"photo_id": papers["condition photo"].pk},
            **{
                name: {"number": str(papers["loan"])}
                for name in ("loan", "loan-form", "return-loan", "prolong-loan", "remind-borrower")
            },
            **{
                name: {"number": str(papers["borrowing"])}
                for name in ("borrowing", "give-back", "prolong-borrowing")
            },
            "sending": {"number": str(papers["sending"])},
            **{
                name: {"number": str(papers["leave"])}
                for name in ("sampling-leave", "decide-leave", "note-cut", "note-result")
            },
            "sha256": "ab" * 32,
            "number": f"{collector.collector_code}-{slips.first}",
            **{name: {"number": voucher.slug} for name in ("voucher", "deaccession", "make-part")},
            "part_id": voucher.parts.get().pk,
            "year": voucher.year,
        },
        "posted": {"answer-question": {"question": question.pk}, "let-version-go": {"reason": "It is lost."}},
        "version": find.version,
    }  # fmt: skip


def note_agreed_by(curator: Member, now: datetime) -> int:
    note_agreed(["Gwen Guest"], by=curator, now=now)
    return AgreedName.objects.get().pk


def _address(name: str, scene: dict[str, Any]) -> str:
    pattern = next(pattern for pattern in _named(get_resolver().url_patterns) if pattern.name == name)
    given = scene["arguments"] | scene["arguments"].get(name, {})
    return reverse(name, kwargs={key: given[key] for key in pattern.pattern.converters})


def _answers(
    scene: dict[str, Any], browser_of: Callable[[Member], Client], ask: Callable[[Client], Any]
) -> tuple[int, ...]:
    browsers = {"nobody": Client()} | {who: browser_of(member) for who, member in scene["people"].items()}
    answers = []
    for who in COLUMNS:
        answer = ask(browsers[who])
        answers.append(answer.status_code)
        _let_go(answer)
    return tuple(answers)


def _let_go(answer: Any) -> None:
    """Close a photo's file; answer.close() would end the test's connection too."""
    for close in answer._resource_closers:
        close()


def test_every_address_has_a_row() -> None:
    assert set(NAMES) == GET.keys() | POST.keys()
    assert len(NAMES) == len(set(NAMES))


@pytest.mark.parametrize("name", GET)
def test_who_may_open_it(name: str, scene: dict[str, Any], browser_of: Callable[[Member], Client]) -> None:
    address = _address(name, scene)
    assert _answers(scene, browser_of, lambda browser: browser.get(address)) == GET[name]


@pytest.mark.parametrize("name", POST)
def test_who_may_send_to_it(name: str, scene: dict[str, Any], browser_of: Callable[[Member], Client]) -> None:
    address = _address(name, scene)
    sent = {"find_id": str(uuid.uuid4()), "version": scene["version"]} | scene["posted"].get(name, {})
    assert _answers(scene, browser_of, lambda browser: browser.post(address, sent)) == POST[name]


@pytest.mark.parametrize("name", EMPTY_POST)
def test_who_may_send_an_empty_form(
    name: str, scene: dict[str, Any], browser_of: Callable[[Member], Client]
) -> None:
    address = _address(name, scene)
    assert _answers(scene, browser_of, lambda browser: browser.post(address, {})) == EMPTY_POST[name]


@pytest.mark.parametrize("name", [name for name in POST if name != "sign-out"])
def test_what_changes_something_is_never_done_by_a_get(
    name: str, scene: dict[str, Any], browser_of: Callable[[Member], Client]
) -> None:
    keeper = browser_of(scene["people"]["keeper"])
    assert keeper.get(_address(name, scene)).status_code == 405


def test_a_post_without_the_form_s_token_is_refused(collector: Member) -> None:
    strict = Client(enforce_csrf_checks=True)
    strict.force_login(collector, backend="django.contrib.auth.backends.ModelBackend")
    answer = strict.post(reverse("log-find"), {})
    assert answer.status_code == 403
    assert "<h1>" in answer.content.decode()


NO_PAGES = (
    "store-read",
    "stocktake-json",
    "match-name",
    "read-place",
    "photo-file",
    "find-json",
    "finds-csv",
    "spores-json",
    "slip-sheet",
    "scale-card",
    "register-book",
    "handing-state",
    "map-cells",
    "handing-file",
    "loan-form",
    "condition-photo",
    "phone-worker",
    "phone-manifest",
    "phone-hello",
    "phone-reference",
    "phone-own-finds",
    "phone-photo",
    "phone-table-list",
    "owner-report-pdf",
    "year-report-pdf",
    "own-list-pdf",
)


@pytest.mark.parametrize("name", [name for name in GET if name not in NO_PAGES])
def test_a_page_has_one_heading_and_the_caution(
    name: str, scene: dict[str, Any], browser_of: Callable[[Member], Client]
) -> None:
    browser = Client() if name == "sign-in" else browser_of(scene["people"]["keeper"])
    page = browser.get(_address(name, scene)).content.decode()
    assert page.count("<h1") == 1
    assert "No guide to eating" in page


# Says of itself how long it may be kept: public and without a word of anybody, or photos, which signing out clears away.
STAYS = (
    "condition-photo",
    "photo-file",
    "phone-worker",
    "phone-manifest",
    "phone-form",
    "phone-outbox",
    "phone-table",
    "phone-no-signal",
    "stocktake-walk",
)


@pytest.mark.parametrize("name", GET)
def test_a_browser_keeps_nothing_that_a_member_was_shown(
    name: str, scene: dict[str, Any], browser_of: Callable[[Member], Client]
) -> None:
    answer = browser_of(scene["people"]["keeper"]).get(_address(name, scene))
    _let_go(answer)
    kept_by = [word.strip() for word in answer["Cache-Control"].split(",")]
    assert ("no-store" in kept_by) == (name not in STAYS)
    assert "public" not in kept_by


@pytest.mark.parametrize("name", [name for name, roles in GET.items() if roles[0] == 200])
def test_what_nobody_has_to_sign_in_for_is_not_forbidden_to_keep(name: str, scene: dict[str, Any]) -> None:
    answer = Client().get(_address(name, scene))
    assert answer.get("Cache-Control") != "private, no-store"


def test_signing_out_clears_what_the_browser_kept_but_never_its_storage(
    collector: Member, browser_of: Callable[[Member], Client]
) -> None:
    answer = browser_of(collector).post(reverse("sign-out"))
    assert answer["Clear-Site-Data"] == '"cache"'


@pytest.mark.parametrize(
    "name", ["front", "sign-in", "invitation-needed", "phone-no-signal", "phone-table", "stocktake-walk"]
)
def test_what_is_public_shows_nothing_of_the_club_s_finds(name: str, scene: dict[str, Any]) -> None:
    page = Client().get(_address(name, scene)).content.decode()
    assert "Trametes" not in page
    assert "Hollin Wood" not in page


def test_pages_carry_a_content_security_policy_without_inline_script(
    collector: Member, nobody: Client
) -> None:
    policy = nobody.get("/").headers["Content-Security-Policy"]
    assert "unsafe-inline" not in policy
    assert "default-src 'none'" in policy
    assert "script-src 'self'" in policy
