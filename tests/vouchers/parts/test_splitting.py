"""A mixed collection becomes A and B, each with a number of its own and a link to what it came from."""

from datetime import UTC, datetime

import pytest
from django.test import Client
from django.urls import reverse

from ledger.bench.actions import NewName, redetermine
from ledger.bench.models import Flag
from ledger.finds.access import place_for
from ledger.finds.entries import NameGiven
from ledger.finds.models import Find, Status
from ledger.finds.sensitive import follow_taxa
from ledger.finds.split import SHARED_FIELDS
from ledger.people.models import Member
from ledger.taxa.models import Taxon
from ledger.traits.reference import Reference
from tests.factories import FindFactory, ReadingFactory, name_find
from vouchers.parts.splitting import Share, SplitRefused, split
from vouchers.register.actions import accession, deaccession
from vouchers.register.models import RegisterEntry, RegisterYear, Voucher
from vouchers.register.queries import for_list, page_for
from vouchers.register.verification import verify_register

NOW = datetime(2026, 11, 2, 19, 30, tzinfo=UTC)
TWO = (Share(note="thin caps"), Share(note="the crust below"))


@pytest.fixture
def mixed(reference: Reference, collector: Member) -> Find:
    find = FindFactory(
        finder=collector, collecting_serial=118, host="Fagus sylvatica", smell="anise", fruit_bodies=7
    )
    ReadingFactory(find=find)
    return find


def named(name: str) -> Share:
    return Share(NameGiven(typed=name, taxon=Taxon.objects.get(name=name)))


def test_each_share_is_a_find_with_a_letter_and_an_accession_number(mixed: Find, curator: Member) -> None:
    accession(mixed.pk, by=curator, now=NOW)
    made = split(mixed.pk, TWO, by=curator, now=NOW)
    assert [(str(one), one.find.collecting_number) for one in made] == [
        ("BL 2026-0002", "AT 118A"),
        ("BL 2026-0003", "AT 118B"),
    ]
    assert {one.find.split_from for one in made} == {mixed}
    assert verify_register().trouble is None


def test_the_gathering_s_facts_go_with_each_share_and_what_was_seen_on_the_mixture_does_not(
    mixed: Find, curator: Member
) -> None:
    share = split(mixed.pk, TWO, by=curator, now=NOW)[0].find
    assert all(getattr(share, name) == getattr(mixed, name) for name in SHARED_FIELDS)
    assert (share.host, share.latitude, share.finder) == ("Fagus sylvatica", mixed.latitude, mixed.finder)
    assert (share.smell, share.fruit_bodies, share.readings.count()) == ("", None, 0)
    assert (share.note, mixed.readings.count()) == ("thin caps", 1)


def test_the_mixture_s_packet_ends_and_its_other_parts_stay(mixed: Find, curator: Member) -> None:
    from vouchers.parts.actions import make_part

    voucher = accession(mixed.pk, by=curator, now=NOW)
    slide = make_part(voucher.pk, "slide", by=curator, now=NOW)
    split(mixed.pk, TWO, by=curator, now=NOW)
    packet = voucher.parts.get(kind="packet")
    assert packet.ended_why == "Split into BL 2026-0002, BL 2026-0003"
    assert list(voucher.parts.there()) == [slide]
    assert RegisterEntry.objects.last().kind == "split"
    voucher.refresh_from_db()
    assert voucher.deaccessioned_at is None


def test_a_mixture_without_a_number_gets_none_and_its_shares_do(mixed: Find, curator: Member) -> None:
    made = split(mixed.pk, TWO, by=curator, now=NOW)
    assert [one.serial for one in made] == [1, 2]
    assert not Voucher.objects.filter(find=mixed).exists()
    assert '"split from":"AT 118"' in RegisterEntry.objects.first().body
    assert verify_register().trouble is None


def test_a_mixture_that_was_settled_under_one_name_is_settled_no_longer(mixed: Find, curator: Member) -> None:
    Find.objects.filter(pk=mixed.pk).update(status=Status.SETTLED)
    split(mixed.pk, TWO, by=curator, now=NOW)
    mixed.refresh_from_db()
    assert mixed.status == Status.LOGGED


def test_a_share_that_is_mixed_too_gets_the_next_letters(mixed: Find, curator: Member) -> None:
    share = split(mixed.pk, TWO, by=curator, now=NOW)[0].find
    again = split(share.pk, TWO, by=curator, now=NOW)
    assert [one.find.collecting_number for one in again] == ["AT 118C", "AT 118D"]


def test_the_shared_number_is_no_repeat(mixed: Find, curator: Member) -> None:
    split(mixed.pk, (named("Trametes versicolor"), named("Stereum hirsutum")), by=curator, now=NOW)
    assert not Flag.objects.filter(code="number_repeated").exists()


def test_a_share_s_name_is_on_record_as_the_curator_s(mixed: Find, curator: Member) -> None:
    share = split(mixed.pk, (named("Stereum hirsutum"), Share(note="the other")), by=curator, now=NOW)[0].find
    opinion = share.current_determination
    assert opinion is not None and opinion.find == share
    assert (opinion.name_typed, opinion.determiner) == ("Stereum hirsutum", curator)


def test_a_search_for_the_number_finds_all_shares_and_with_the_letter_one(
    mixed: Find, curator: Member
) -> None:
    split(mixed.pk, TWO, by=curator, now=NOW)
    asked = [page_for(for_list(), typed, None, per_page=9)[0] for typed in ("AT 118", "at118b")]
    assert [[str(one) for one in page] for page in asked] == [
        ["BL 2026-0002", "BL 2026-0001"],
        ["BL 2026-0002"],
    ]


@pytest.mark.parametrize("shares", [(), TWO[:1], (Share(note="one more"),) * 27])
def test_too_few_or_too_many_shares_are_refused(
    shares: tuple[Share, ...], mixed: Find, curator: Member
) -> None:
    with pytest.raises(SplitRefused, match="Nothing was changed"):
        split(mixed.pk, shares, by=curator, now=NOW)
    assert Find.objects.count() == 1 and not RegisterEntry.objects.exists()
    assert RegisterYear.objects.get().last_serial == 0


@pytest.mark.parametrize(
    ("shares", "which"),
    [
        ((Share(), Share()), "the shares A and B have"),
        ((Share(note="thin caps"), Share(note="  ")), "share B has"),
    ],
)
def test_a_share_without_a_name_or_a_word_to_know_it_by_is_refused_and_takes_no_number(
    shares: tuple[Share, ...], which: str, mixed: Find, curator: Member
) -> None:
    with pytest.raises(SplitRefused, match=f"{which} neither a name nor a word"):
        split(mixed.pk, shares, by=curator, now=NOW)
    assert Find.objects.count() == 1 and RegisterYear.objects.get().last_serial == 0


def test_an_empty_form_of_a_split_gives_no_number_away(mixed: Find, curator: Member, client: Client) -> None:
    client.force_login(curator)
    answer = client.post(reverse("split-find", args=[mixed.pk]), {"name_0": "", "note_0": "thin caps"})
    assert answer.status_code == 422
    assert "share B has neither a name nor a word" in answer.content.decode()
    assert "thin caps" in answer.content.decode() and not Voucher.objects.exists()


def test_a_find_is_split_once(mixed: Find, curator: Member) -> None:
    split(mixed.pk, TWO, by=curator, now=NOW)
    with pytest.raises(SplitRefused, match="split that share"):
        split(mixed.pk, TWO, by=curator, now=NOW)


def test_what_was_only_seen_or_is_gone_is_not_split(mixed: Find, curator: Member) -> None:
    with pytest.raises(SplitRefused, match="seen only"):
        split(FindFactory(kept=False).pk, TWO, by=curator, now=NOW)
    voucher = accession(mixed.pk, by=curator, now=NOW)
    deaccession(voucher.pk, reason="lost", words="Not on its shelf.", by=curator, now=NOW)
    with pytest.raises(SplitRefused, match="was deaccessioned"):
        split(mixed.pk, TWO, by=curator, now=NOW)


class TestAPlaceThatIsKeptBack:
    """All shares are of one place: it leaks by none of them."""

    @pytest.fixture
    def secret(self, reference: Reference) -> Taxon:
        taxon = Taxon.objects.get(name="Ganoderma lucidum")
        taxon.blur_step_deg = 0.1
        taxon.save(update_fields=["blur_step_deg"])
        return taxon

    def test_a_mixture_s_own_name_keeps_back_every_share(
        self, mixed: Find, secret: Taxon, curator: Member, stranger: Member
    ) -> None:
        name_find(mixed, secret)
        follow_taxa()
        mixed.refresh_from_db()
        made = split(mixed.pk, (named("Stereum hirsutum"), Share(note="the other")), by=curator, now=NOW)
        follow_taxa()
        for one in made:
            assert not place_for(Find.objects.get(pk=one.find_id), stranger).exact

    def test_the_name_of_one_share_keeps_back_the_others_and_the_mixture(
        self, mixed: Find, secret: Taxon, curator: Member, stranger: Member
    ) -> None:
        first, second = split(
            mixed.pk, (Share(note="lacquered"), named("Stereum hirsutum")), by=curator, now=NOW
        )
        assert place_for(second.find, stranger).exact
        name = NewName(
            name_typed=secret.name,
            taxon=secret,
            qualifier="",
            basis="lacquered crust",
            note="compared with herbarium material",
            determiner_name="",
            determined_on=NOW.date(),
        )
        redetermine(first.find_id, version=first.find.version, name=name, by=curator, now=NOW)
        follow_taxa()
        for pk in (mixed.pk, first.find_id, second.find_id):
            assert not place_for(Find.objects.get(pk=pk), stranger).exact

    def test_a_taxon_marked_later_keeps_back_every_share(
        self, mixed: Find, curator: Member, stranger: Member
    ) -> None:
        made = split(mixed.pk, (named("Ganoderma lucidum"), named("Stereum hirsutum")), by=curator, now=NOW)
        Taxon.objects.filter(name="Ganoderma lucidum").update(blur_step_deg=0.1)
        assert follow_taxa() == 3
        assert not place_for(Find.objects.get(pk=made[1].find_id), stranger).exact
