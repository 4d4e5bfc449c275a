"""What a printed label says of a find, and what it keeps back."""

from datetime import UTC, date, datetime

from ledger.club.models import Club
from ledger.finds.models import Find
from ledger.people.models import Member
from tests.factories import FindFactory, ReadingFactory, TaxonFactory, name_find
from vouchers.labels.content import PacketLabel, plain_text
from vouchers.printing.gather import packet_label
from vouchers.register.actions import accession
from vouchers.register.queries import for_labels

NOW = datetime(2026, 11, 2, 19, 30, tzinfo=UTC)


def _label(find: Find, member: Member, curator: Member) -> PacketLabel:
    voucher = accession(find.pk, by=curator, now=NOW)
    return packet_label(for_labels([voucher.pk])[0], Club(name="Hollin Fungus Group"), member)


def _text(label: PacketLabel) -> str:
    return " | ".join(f"{line.word} {plain_text(line.pieces)}" for line in label.lines())


def test_a_label_says_place_wood_readings_and_collector(collector: Member, curator: Member) -> None:
    find = FindFactory(
        finder=collector, host="Fagus sylvatica", host_known_by="bark", altitude_m=214, collecting_serial=118,
        found_on=date(2026, 10, 14),
    )  # fmt: skip
    ReadingFactory(find=find, trait="cap_width", values=[58.0, 31.0])
    ReadingFactory(find=find, trait="substrate_state", values=[], unit="", states=["fallen log"])
    name_find(find, TaxonFactory())
    label = _label(find, collector, curator)
    text = _text(label)
    assert "Hollin Wood, below the quarry" in text
    assert "fallen log of Fagus sylvatica (by bark)" in text
    assert "cap 31–58 mm wide (n = 2)" in text
    assert "Ada Thorne AT 118, 14 Oct 2026" in text
    assert label.name == (("Trametes versicolor", True),)
    assert label.authority == "(L.) Lloyd"


def test_a_qualified_name_keeps_its_qualifier_upright(collector: Member, curator: Member) -> None:
    find = FindFactory(finder=collector)
    name_find(find, TaxonFactory(), name_typed="Trametes cf. versicolor")
    assert ("cf. ", False) in [
        (text.lstrip(), italic) for text, italic in _label(find, collector, curator).name
    ]


def test_an_unnamed_find_says_so(collector: Member, curator: Member) -> None:
    assert plain_text(_label(FindFactory(finder=collector), collector, curator).name) == "not named"


def test_a_sensitive_place_is_printed_for_those_entitled(collector: Member, curator: Member) -> None:
    find = FindFactory(finder=collector, own_blur_step_deg=0.1)
    assert "Hollin Wood" in _text(_label(find, curator, curator))


def test_a_sensitive_place_is_kept_back_from_a_leader_of_another_foray(
    leader: Member, curator: Member
) -> None:
    find = FindFactory(
        own_blur_step_deg=0.1, altitude_m=214, trees_nearby="the split oak", permission="Mr Hollin"
    )
    text = _text(_label(find, leader, curator))
    for told in ("Hollin", "51.23", "2.345", "214", "split oak"):
        assert told not in text
    assert "cell of 0.1°" in text
