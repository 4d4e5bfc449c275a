"""The page of a find's spores and its twin for programs."""

import json
import re
from typing import Any

import pytest
from django.test import Client

from ledger.finds import actions as finds
from ledger.finds.models import Find
from ledger.people.models import Member
from ledger.spores.actions import keep_spores
from ledger.spores.models import SporeSet
from tests.ledger.finds.making import TWELVE, entry
from tests.ledger.spores.making import FORM, TEN, spores

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]


@pytest.fixture
def find(collector: Member) -> Find:
    return finds.log_find(entry(*TWELVE), by=collector)


@pytest.fixture
def browser(client: Client, collector: Member) -> Client:
    client.force_login(collector)
    return client


def text_of(answer: Any) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", "", answer.content.decode()))


def test_pasted_spores_are_kept_and_shown_in_the_trades_notation(browser: Client, find: Find) -> None:
    answer = browser.post(
        f"/finds/{find.pk}/spores/", {**FORM, "fruit_bodies": "2", "magnification": "1000"}, follow=True
    )
    told = text_of(answer)
    assert "10 spores are kept." in told
    assert (
        "[10/2/1] 5.5–7.0 × 2.0–2.5 µm, L = 6.20 µm, W = 2.25 µm, Q = 2.2–3.4" in told or "[10/2/1]" in told
    )
    assert "Hyndman &amp; Fan 1996, type 7" in told or "Hyndman & Fan 1996, type 7" in told
    assert "×1000" in told and "a spore print, 2 fruit bodies" in told


def test_every_raw_pair_stands_on_the_page_as_text(browser: Client, find: Find, collector: Member) -> None:
    keep_spores(find.pk, spores((9.5, 4.25), (10.0, 4.0)), by=collector)
    page = browser.get(f"/finds/{find.pk}/spores/").content.decode()
    assert "9.5 × 4.25" in page and "10 × 4" in page
    assert "<td>2.24</td>" in page  # and in the table, with its quotient


def test_the_plot_shows_every_spore_in_front_of_the_documented_ranges(
    browser: Client, find: Find, collector: Member
) -> None:
    keep_spores(find.pk, spores(), by=collector)
    page = browser.get(f"/finds/{find.pk}/spores/").content.decode()
    assert page.count('class="spore-plot__dot"') == len(set(TEN))
    drawn = page.count('class="spore-plot__book"')
    documented = page.partition("<tbody>")[2].count("<tr>") and re.search(
        r"Documented of <i>Trametes versicolor</i>", page
    )
    assert drawn >= 1 and documented
    assert "documents of Trametes versicolor" in page


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"typed": ""}, "No measurement was typed"),
        ({"typed": "9.5"}, "is one number"),
        ({"mount": ""}, "In what the spores lay was not said"),
        ({"material": "moon"}, "That material is none of the list"),
        ({"magnification": "a lot"}, "That is no magnification"),
        ({"magnification": "1e9"}, "That is no magnification"),
        ({"um_per_division": "0"}, "is no length of a division"),
        ({"measured_on": "2999-01-01"}, "is a day to come"),
        ({"mount": "other"}, "Name it in the note"),
        ({"fruit_bodies": "0"}, "That is no number of fruit bodies"),
    ],
)
def test_what_cannot_be_kept_is_said_and_what_was_typed_stays(
    browser: Client, find: Find, changed: dict[str, str], said: str
) -> None:
    answer = browser.post(f"/finds/{find.pk}/spores/", {**FORM, "note": "", **changed})
    assert answer.status_code == 422 and said in text_of(answer)
    assert (changed.get("typed", FORM["typed"])) in answer.content.decode()
    assert not SporeSet.objects.exists()


def test_the_form_is_filled_with_the_set_that_is_amended(
    browser: Client, find: Find, collector: Member
) -> None:
    row = keep_spores(find.pk, spores(typed="6 x 2,5\n7 x 3", magnification=400), by=collector)
    page = browser.get(f"/finds/{find.pk}/spores/?amend={row.pk}").content.decode()
    assert (
        "6 x 2,5\n7 x 3</textarea>" in page
        and 'value="400"' in page
        and f'name="amend" value="{row.pk}"' in page
    )


def test_amended_by_the_form_the_earlier_set_is_shown_below(
    browser: Client, find: Find, collector: Member
) -> None:
    row = keep_spores(find.pk, spores(), by=collector)
    answer = browser.post(
        f"/finds/{find.pk}/spores/", {**FORM, "typed": "6 x 2.5", "amend": str(row.pk)}, follow=True
    )
    told = text_of(answer)
    assert "1 spore in water" in told and f"Amended by {collector.full_name}" in told


def test_a_set_that_ended_meanwhile_loses_nothing_that_was_typed(
    browser: Client, find: Find, collector: Member
) -> None:
    row = keep_spores(find.pk, spores(), by=collector)
    keep_spores(find.pk, spores((6.0, 2.0)), by=collector, replaces=row.pk)
    answer = browser.post(f"/finds/{find.pk}/spores/", {**FORM, "typed": "6.5 x 2.5", "amend": str(row.pk)})
    assert answer.status_code == 422 and "amended or withdrawn" in text_of(answer)
    assert "6.5 x 2.5</textarea>" in answer.content.decode()


def test_a_member_who_may_not_amend_sees_them_and_changes_nothing(
    client: Client, find: Find, collector: Member, stranger: Member
) -> None:
    row = keep_spores(find.pk, spores(), by=collector)
    client.force_login(stranger)
    page = client.get(f"/finds/{find.pk}/spores/").content.decode()
    assert "5.5 × 2" in page and "<textarea" not in page
    posted = [
        client.post(f"/finds/{find.pk}/spores/", FORM),
        client.post(f"/finds/{find.pk}/spores.json", FORM, content_type="application/json"),
        client.post(f"/spores/{row.pk}/withdraw/"),
        client.post(f"/spores/{row.pk}/use/"),
    ]
    assert [answer.status_code for answer in posted] == [403] * 4
    assert SporeSet.objects.count() == 1


def test_a_note_goes_with_the_exact_place(
    client: Client, find: Find, collector: Member, stranger: Member
) -> None:
    keep_spores(
        find.pk, spores(note="from the oak behind the mill", typed="oak at the mill:\n6 x 2"), by=collector
    )
    Find.objects.filter(pk=find.pk).update(own_blur_step_deg=0.1)
    for member, sees in ((stranger, False), (collector, True)):
        client.force_login(member)
        for address in (f"/finds/{find.pk}/spores/", f"/finds/{find.pk}/spores.json"):
            assert ("mill" in client.get(address).content.decode()) is sees


def test_withdrawn_and_used_by_their_buttons(browser: Client, find: Find, collector: Member) -> None:
    first = keep_spores(find.pk, spores(), by=collector)
    second = keep_spores(find.pk, spores((6.0, 2.0)), by=collector)
    browser.post(f"/spores/{first.pk}/use/")
    first.refresh_from_db()
    assert first.is_reading
    browser.post(f"/spores/{second.pk}/withdraw/")
    second.refresh_from_db()
    assert second.ended_at is not None
    assert "amended or withdrawn" in text_of(browser.post(f"/spores/{second.pk}/use/", follow=True))


def send(browser: Client, find: Find, body: Any) -> Any:
    return browser.post(f"/finds/{find.pk}/spores.json", json.dumps(body), content_type="application/json")


def test_a_payload_of_pairs_is_kept_as_the_form_keeps_them(browser: Client, find: Find) -> None:
    body = {"pairs": [list(pair) for pair in TEN], "mount": "koh", "material": "print", "resolution_um": 0.5}
    answer = send(browser, find, body)
    told = answer.json()
    assert answer.status_code == 201
    one = told["sets"][0]
    assert (one["pairs"], one["unit"], one["n"], one["mount"]) == (body["pairs"], "um", 10, "koh")
    assert (one["length"]["mean"], one["resolution_um"], one["is_reading"]) == (6.2, 0.5, True)
    assert told["percentile_formula"].endswith("(Hyndman & Fan 1996, type 7)")


def test_a_payload_of_text_and_one_that_amends(browser: Client, find: Find) -> None:
    first = send(browser, find, FORM).json()["sets"][0]
    told = send(browser, find, {**FORM, "typed": "6,5 x 2,5; 7 x 3", "amends": first["id"]}).json()
    assert told["sets"][0]["pairs"] == [[6.5, 2.5], [7.0, 3.0]]
    assert (told["sets"][0]["replaces"], told["earlier"][0]["id"]) == (first["id"], first["id"])


def test_a_payload_sent_twice_is_kept_once(browser: Client, find: Find) -> None:
    body = {**FORM, "id": "5b0c7a52-0000-4000-8000-0123456789ab"}
    assert [send(browser, find, body).status_code for _ in range(2)] == [201, 201]
    assert SporeSet.objects.count() == 1


@pytest.mark.parametrize(
    "body",
    [
        [],
        "spores",
        {},
        {"pairs": [[6, "2"]], "mount": "water", "material": "print"},
        {"pairs": [[6]], "mount": "water", "material": "print"},
        {"pairs": [[6, True]], "mount": "water", "material": "print"},
        {"pairs": [[-6, 2]], "mount": "water", "material": "print"},
        {"pairs": {"length": 6}, "mount": "water", "material": "print"},
        {"pairs": [[6, 2]], "mount": ["water"], "material": "print"},
        {"pairs": [[6, 2]], "mount": "water", "material": "print", "measured_on": "yesterday"},
        {"typed": 5, "mount": "water", "material": "print"},
    ],
)
def test_a_payload_that_cannot_be_kept_is_answered_in_sentences(
    browser: Client, find: Find, body: Any
) -> None:
    answer = send(browser, find, body)
    assert (
        answer.status_code == 422
        and answer.json()["wrong"]
        and answer.json()["kept"] == "Nothing was changed."
    )


@pytest.mark.parametrize("body", [b"{'", b"[" * 100_000, b'{"note": "\\ud800"}', b'{"spores": NaN}', b"[]"])
def test_broken_json_is_no_server_error(browser: Client, find: Find, body: bytes) -> None:
    answer = browser.post(f"/finds/{find.pk}/spores.json", body, content_type="application/json")
    assert answer.status_code == 422


def test_few_spores_are_said_to_be_few(browser: Client, find: Find, collector: Member) -> None:
    keep_spores(find.pk, spores((6.0, 2.0), (2.0, 6.0)), by=collector)
    told = text_of(browser.get(f"/finds/{find.pk}/spores/"))
    assert "no percentiles" in told and "1 of 2 spores is wider than long" in told


def test_the_finds_page_leads_there_and_tells_many_values_by_their_ends(
    browser: Client, find: Find, collector: Member
) -> None:
    keep_spores(find.pk, spores(*TEN, *TEN), by=collector)
    page = text_of(browser.get(f"/finds/{find.pk}/"))
    assert "5.5–7 µm, mean 6.20 (n = 20)" in page
    assert f"/finds/{find.pk}/spores/" in browser.get(f"/finds/{find.pk}/").content.decode()
