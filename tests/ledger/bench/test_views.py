from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from ledger.finds.actions import answer_question
from ledger.finds.models import Find, Status
from ledger.people.models import Member
from ledger.taxa.models import Taxon
from tests.factories import FindFactory, FlagFactory, QuestionFactory, make_photo, picture
from tests.ledger.bench.making import amend_width, held_find, open_codes, post

REASON = "Measured again: it is as wide as that."


def _page(browser: Client, find: Find) -> str:
    return browser.get(reverse("bench-find", args=[find.pk])).content.decode()


def _flag_ids(find: Find) -> list[int]:
    return list(find.flags.filter(settled_at=None, withdrawn_at=None).values_list("pk", flat=True))


# --- who may ---


@pytest.mark.parametrize("who", ["collector", "leader", "stranger"])
@pytest.mark.parametrize("page", ["bench", "bench-find", "settle", "send-back", "redetermine"])
def test_members_and_leaders_have_no_bench(
    who: str,
    page: str,
    versicolor: Taxon,
    keeper: Member,
    browser_of: Callable[[Member], Client],
    request: pytest.FixtureRequest,
) -> None:
    find = held_find(versicolor, keeper)
    browser = browser_of(request.getfixturevalue(who))
    to = reverse(page, args=[] if page == "bench" else [find.pk])
    typed = {"version": find.version, "reason": REASON, "flags": _flag_ids(find), "question": "?"}
    answer = browser.get(to) if page in ("bench", "bench-find") else browser.post(to, typed)
    assert answer.status_code == 403
    assert open_codes(find) == ["trait_outside"]
    assert not find.questions.exists()


@pytest.mark.parametrize("who", ["curator", "keeper"])
def test_curators_and_keepers_have_one(
    who: str, versicolor: Taxon, collector: Member, browser_of: Callable[[Member], Client], request: Any
) -> None:
    find = held_find(versicolor, collector)
    browser = browser_of(request.getfixturevalue(who))
    assert browser.get(reverse("bench")).status_code == 200
    assert browser.get(reverse("bench-find", args=[find.pk])).status_code == 200


def test_the_signed_out_are_asked_to_sign_in(versicolor: Taxon, collector: Member, nobody: Client) -> None:
    find = held_find(versicolor, collector)
    for to in (reverse("bench"), reverse("bench-find", args=[find.pk])):
        assert nobody.get(to).url.startswith(reverse("sign-in"))


def test_an_act_needs_a_post(versicolor: Taxon, collector: Member, at_bench: Client) -> None:
    find = held_find(versicolor, collector)
    for act in ("settle", "send-back", "redetermine"):
        assert at_bench.get(reverse(act, args=[find.pk])).status_code == 405


def test_an_act_on_no_find_is_not_found(versicolor: Taxon, at_bench: Client) -> None:
    nowhere = FindFactory.build(finder=None, logged_by=None, collecting_code="XX")
    assert post(at_bench, "settle", nowhere, reason=REASON).status_code == 404


# --- the screens ---


def test_an_empty_bench_says_what_to_do_next(versicolor: Taxon, at_bench: Client) -> None:
    page = at_bench.get(reverse("bench")).content.decode()
    assert "Nothing is held" in page
    assert f"{reverse('finds')}?show=settled" in page


def test_the_list_tells_name_number_flag_age_and_count(
    versicolor: Taxon, collector: Member, at_bench: Client
) -> None:
    find = held_find(versicolor, collector)
    page = at_bench.get(reverse("bench")).content.decode()
    assert "1 held · oldest 0 days" in page
    for told in ("<i>Trametes versicolor</i>", find.collecting_number, "100 mm ± 0.58 is wholly outside"):
        assert told in page


def test_finds_sent_back_wait_on_the_list_with_their_question(
    versicolor: Taxon, collector: Member, curator: Member, at_bench: Client
) -> None:
    find = FindFactory(finder=collector, status=Status.SENT_BACK)
    QuestionFactory(find=find, asked_by=curator, text="Was it on oak?")
    page = at_bench.get(reverse("bench")).content.decode()
    assert "Sent back, waiting for an answer" in page
    assert "Was it on oak?" in page


def test_one_screen_holds_the_photos_cap_first_the_strip_the_flag_and_the_look_alike(
    versicolor: Taxon, collector: Member, at_bench: Client
) -> None:
    find = held_find(versicolor, collector)
    make_photo(find=find, by=collector, view="cut", data=picture(colour="tan", size=(64, 48)))
    page = _page(at_bench, find)
    views = [
        photo.view
        for photo in at_bench.get(reverse("bench-find", args=[find.pk])).context["page"].shown_photos
    ]
    assert views == ["cap", "underside", "cut"]
    assert 'class="strip"' in page
    assert "Bjerkandera adusta" in page
    assert "is wholly outside what is documented" in page
    assert f'value="{_flag_ids(find)[0]}"' in page


def test_a_guest_is_told_as_the_finder_under_the_number_of_whoever_keyed_it(
    versicolor: Taxon, collector: Member, at_bench: Client
) -> None:
    find = held_find(versicolor, collector)
    Find.objects.filter(pk=find.pk).update(found_by="Old Mr Fane")
    shown = _page(at_bench, find)
    assert f"<dt>Finder</dt><dd>Old Mr Fane (guest), under {find.collecting_code}’s number</dd>" in shown


def test_a_find_with_neither_name_nor_reading_nor_photo_has_a_screen(
    versicolor: Taxon, collector: Member, at_bench: Client
) -> None:
    find = FindFactory(finder=collector, latitude=None, longitude=None, found_on=None)
    page = _page(at_bench, find)
    assert "not named" in page
    assert "No photo came with this find" in page
    assert "Nothing has been read yet" in page


def test_the_list_costs_the_same_however_many_are_held(
    versicolor: Taxon, collector: Member, curator: Member, at_bench: Client, django_assert_num_queries: Any
) -> None:
    for _ in range(2):
        for _ in range(3):
            held_find(versicolor, collector)
            waits = FindFactory(finder=collector, status=Status.SENT_BACK)
            QuestionFactory(find=waits, asked_by=curator)
        # session, member, late photos, held 3, sent back 2, club, held count in the ways
        with django_assert_num_queries(11):
            at_bench.get(reverse("bench"))


def test_one_find_costs_the_same_however_much_hangs_on_it(
    versicolor: Taxon, collector: Member, at_bench: Client, django_assert_num_queries: Any
) -> None:
    find = held_find(versicolor, collector, found_on=None)
    settled = find.flags.get(code="trait_outside").pk
    post(at_bench, "settle", find, reason=REASON, flags=[settled])
    at_bench.get(reverse("bench-find", args=[find.pk]))  # compiles the reference
    for number in range(2):
        # session, member, late photos, club twice; the find and its 10 lists; held 3 and their count in the ways;
        # mark of the reference; finds of the finder; voucher
        with django_assert_num_queries(23):
            at_bench.get(reverse("bench-find", args=[find.pk]))
        for more in range(4):
            held_find(versicolor, collector)
            colour = f"#{40 * more:02x}{90 * number:02x}60"
            make_photo(find=find, by=collector, view="cut", data=picture(colour=colour, size=(64, 48)))
            amend_width(find, 110.0 + 10 * number + more, by=collector)


# --- settle, send back, redetermine ---


def test_settling_goes_on_to_the_next_held_find(
    versicolor: Taxon, collector: Member, curator: Member, at_bench: Client
) -> None:
    first, second = held_find(versicolor, collector), held_find(versicolor, collector)
    answer = post(at_bench, "settle", first, reason=REASON, flags=_flag_ids(first))
    assert answer.url == reverse("bench-find", args=[second.pk])
    first.refresh_from_db()
    assert first.status == Status.SETTLED
    assert first.flags.get().settled_by == curator


def test_settling_the_last_one_goes_to_the_list(
    versicolor: Taxon, collector: Member, at_bench: Client
) -> None:
    find = held_find(versicolor, collector)
    answer = post(at_bench, "settle", find, reason=REASON, flags=_flag_ids(find))
    assert answer.url == reverse("bench")


def test_a_find_with_a_flag_left_stays_open_before_the_curator(
    versicolor: Taxon, collector: Member, at_bench: Client
) -> None:
    find = held_find(versicolor, collector, found_on=None)
    held_find(versicolor, collector)
    kept = find.flags.exclude(code="trait_outside").values_list("pk", flat=True)
    answer = post(
        at_bench, "settle", find, reason=REASON, flags=[pk for pk in _flag_ids(find) if pk not in kept]
    )
    assert answer.url == reverse("bench-find", args=[find.pk])
    told = [str(message) for message in at_bench.get(answer.url).context["messages"]]
    assert told == [f"What you chose of {find} is settled. 1 flag is still open, so it stays held."]


def test_settling_without_a_reason_comes_back_with_the_ticks_as_they_were(
    versicolor: Taxon, collector: Member, at_bench: Client
) -> None:
    find = held_find(versicolor, collector, found_on=None)
    ticked = find.flags.get(code="trait_outside").pk
    answer = post(at_bench, "settle", find, reason=" ", flags=[ticked])
    assert answer.status_code == 422
    assert "No reason was given" in answer.content.decode()
    assert [shown.flag.pk for shown, is_ticked in answer.context["page"].ticked_flags if is_ticked] == [
        ticked
    ]


def test_with_no_flag_ticked_nothing_is_settled_and_the_reason_stays(
    versicolor: Taxon, collector: Member, at_bench: Client
) -> None:
    find = held_find(versicolor, collector)
    answer = post(at_bench, "settle", find, reason=REASON)
    assert answer.status_code == 422
    assert "No flag was chosen" in answer.content.decode()
    assert REASON in answer.content.decode()
    assert open_codes(find) == ["trait_outside"]


def test_a_stop_is_never_ticked_beforehand_and_the_others_are(
    versicolor: Taxon, collector: Member, at_bench: Client
) -> None:
    find = held_find(versicolor, collector)
    stop = FlagFactory(find=find, severity="stop", code="place_zero", subject="")
    shown = at_bench.get(reverse("bench-find", args=[find.pk])).context["page"]
    ticked = {one.flag.code: is_ticked for one, is_ticked in shown.ticked_flags}
    assert ticked == {"place_zero": False, "trait_outside": True}
    assert (stop.pk, "Position 0, 0") in shown.flag_names


def test_a_reason_of_a_word_is_refused_and_kept(
    versicolor: Taxon, collector: Member, at_bench: Client
) -> None:
    find = held_find(versicolor, collector)
    answer = post(at_bench, "settle", find, reason="fine", flags=_flag_ids(find))
    assert answer.status_code == 422
    assert "“fine” says too little" in answer.content.decode()
    assert open_codes(find) == ["trait_outside"]


def test_the_headline_counts_flags_and_readings_apart(
    versicolor: Taxon, adusta: Taxon, collector: Member, at_bench: Client
) -> None:
    quiet = held_find(adusta, collector, found_on=None)
    FlagFactory(find=quiet, severity="stop", code="place_zero", subject="")
    assert "1 stop, 1 doubt on the record; no reading speaks against the name." in _page(at_bench, quiet)
    loud = held_find(versicolor, collector)
    assert "1 doubt on the record; 1 reading speaks against the name." in _page(at_bench, loud)


def test_a_question_goes_out_and_its_answer_is_shown_at_the_bench(
    versicolor: Taxon, collector: Member, at_bench: Client
) -> None:
    find = held_find(versicolor, collector)
    post(at_bench, "send-back", find, question="One cap or two?")
    assert "One cap or two?" in at_bench.get(reverse("bench")).content.decode()
    answer_question(find.questions.get(), "Two, grown together.", by=collector)
    assert "answered" in at_bench.get(reverse("bench")).content.decode()
    assert "Two, grown together." in _page(at_bench, find)


@pytest.mark.parametrize(
    ("step", "who"), [(None, "Every member can read"), (0.1, "those who see the exact place")]
)
def test_whoever_asks_is_told_first_who_will_read_it(
    versicolor: Taxon, collector: Member, at_bench: Client, step: float | None, who: str
) -> None:
    find = held_find(versicolor, collector, own_blur_step_deg=step)
    assert who in _page(at_bench, find)


def test_an_empty_question_is_not_sent(versicolor: Taxon, collector: Member, at_bench: Client) -> None:
    find = held_find(versicolor, collector)
    answer = post(at_bench, "send-back", find, question="  ")
    assert answer.status_code == 422
    assert "No question was typed" in answer.content.decode()
    assert not find.questions.exists()


def _name(**typed: Any) -> dict[str, Any]:
    given = {"name": "Bjerkandera adusta", "determined_on": "2026-10-09", "basis": "spores measured"}
    return given | typed


def test_the_message_tells_the_name_and_who_gave_it(
    versicolor: Taxon, adusta: Taxon, collector: Member, at_bench: Client
) -> None:
    find = held_find(versicolor, collector)
    answer = at_bench.post(
        reverse("redetermine", args=[find.pk]), _name(version=find.version), follow=True
    ).content.decode()
    assert "is named Bjerkandera adusta by Carys Bowen." in answer
    assert "is now" not in answer


def test_another_genus_without_grounds_is_refused_beside_the_field(
    versicolor: Taxon, adusta: Taxon, collector: Member, at_bench: Client
) -> None:
    find = held_find(versicolor, collector)
    answer = post(at_bench, "redetermine", find, **_name(basis=""))
    assert answer.status_code == 422
    assert "another genus than Trametes" in answer.context["page"].redetermine_form.errors["basis"][0]
    assert find.determinations.count() == 1


def test_a_name_older_than_its_find_is_refused_with_both_days(
    versicolor: Taxon, adusta: Taxon, collector: Member, at_bench: Client
) -> None:
    find = held_find(versicolor, collector)
    answer = post(at_bench, "redetermine", find, **_name(determined_on="1999-01-02"))
    assert answer.status_code == 422
    told = answer.context["page"].redetermine_form.errors["determined_on"][0]
    assert "2 January 1999" in told and f"{find.found_on:%-d %B %Y}" in told
    assert "own date is wrong" not in answer.content.decode()


def test_a_flagged_date_brings_the_tick_that_it_is_wrong(
    versicolor: Taxon, adusta: Taxon, collector: Member, at_bench: Client
) -> None:
    find = held_find(versicolor, collector, found_on=date(2126, 10, 1))
    assert "The find’s own date is wrong" in _page(at_bench, find)
    assert post(at_bench, "redetermine", find, **_name()).status_code == 422
    assert post(at_bench, "redetermine", find, **_name(find_date_wrong="on")).status_code == 302


def test_a_new_name_is_written_with_grounds_note_and_the_one_who_gave_it(
    versicolor: Taxon, adusta: Taxon, collector: Member, curator: Member, at_bench: Client
) -> None:
    find = held_find(versicolor, collector)
    typed = _name(basis="spores measured", note="4.8 µm long", determiner_name="Prof. Ilse Varga")
    assert post(at_bench, "redetermine", find, **typed).status_code == 302
    find.refresh_from_db()
    made = find.current_determination
    assert made is not None
    assert (made.taxon, made.name_typed, made.determiner) == (adusta, "Bjerkandera adusta", curator)
    assert (made.basis, made.note, made.determiner_name) == (
        "spores measured",
        "4.8 µm long",
        "Prof. Ilse Varga",
    )
    page = _page(at_bench, find)
    assert "Prof. Ilse Varga, entered by Carys Bowen" in page
    assert "<i>Trametes versicolor</i>" in page


def test_a_refused_act_says_what_others_changed_and_keeps_what_was_typed(
    versicolor: Taxon, adusta: Taxon, collector: Member, at_bench: Client
) -> None:
    find = held_find(versicolor, collector)
    seen, seen_at = find.version, find.changed_at.isoformat()
    amend_width(find, 105.0, by=collector)
    typed = _name(note="looks grey below", version=seen, seen_at=seen_at)
    answer = at_bench.post(reverse("redetermine", args=[find.pk]), typed)
    page = answer.content.decode()
    assert answer.status_code == 409
    assert "was changed by somebody else after this page was opened" in page
    assert "looks grey below" in page
    assert [change.what for change in answer.context["page"].meanwhile] == ["Cap width, along the wood"]
    find.refresh_from_db()
    assert find.current_determination.name_typed == versicolor.name  # type: ignore[union-attr]
    assert f'name="version" value="{find.version}"' in page


@pytest.mark.parametrize(
    ("act", "typed"), [("settle", {"reason": REASON}), ("send-back", {"question": REASON})]
)
def test_every_act_is_refused_where_the_find_moved_on(
    versicolor: Taxon, collector: Member, at_bench: Client, act: str, typed: dict[str, str]
) -> None:
    find = held_find(versicolor, collector)
    flags, seen = _flag_ids(find), find.version
    amend_width(find, 105.0, by=collector)
    answer = at_bench.post(reverse(act, args=[find.pk]), {"version": seen, "flags": flags, **typed})
    assert answer.status_code == 409
    assert REASON in answer.content.decode()
    assert open_codes(find) == ["trait_outside"]


@pytest.mark.parametrize("version", ["", "two", None])
def test_a_form_without_a_version_writes_nothing(
    versicolor: Taxon, collector: Member, at_bench: Client, version: str | None
) -> None:
    find = held_find(versicolor, collector)
    typed = {"reason": REASON, "flags": _flag_ids(find)} | ({} if version is None else {"version": version})
    answer = at_bench.post(reverse("settle", args=[find.pk]), typed)
    assert answer.status_code == 422
    assert "did not say which state of the find you saw" in answer.content.decode()
    assert open_codes(find) == ["trait_outside"]


def test_what_is_typed_is_shown_as_text_and_never_run(
    versicolor: Taxon, collector: Member, at_bench: Client
) -> None:
    find = held_find(versicolor, collector)
    page = post(at_bench, "settle", find, reason="<script>alert(1)</script>").content.decode()
    assert "<script>alert(1)" not in page
    assert "&lt;script&gt;alert(1)" in page
