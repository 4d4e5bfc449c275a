"""What a printed label says of a find, and what it keeps back."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from ledger.club.models import Club
from ledger.finds.models import Find
from ledger.people.models import Member
from tests.factories import DeterminationFactory, FindFactory, ReadingFactory, TaxonFactory, name_find
from vouchers.labels.content import PacketLabel, plain_text
from vouchers.printing.gather import determination_slip, packet_label
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


def test_an_old_name_is_printed_without_the_author_of_the_accepted_one(
    collector: Member, curator: Member
) -> None:
    find = FindFactory(finder=collector)
    name_find(
        find, TaxonFactory(name="Fomes fomentarius", authority="(L.) Fr."), name_typed="Elfvingia fomentaria"
    )
    label = _label(find, collector, curator)
    assert (plain_text(label.name), label.authority) == ("Elfvingia fomentaria", "")
    assert plain_text(label.accepted) == "Fomes fomentarius (L.) Fr."


def test_an_author_as_typed_stands_alone(collector: Member, curator: Member) -> None:
    find = FindFactory(finder=collector)
    name_find(find, TaxonFactory(), name_typed="Trametes versicolor (L.) Pilát")
    label = _label(find, collector, curator)
    assert (label.authority, label.accepted) == ("(L.) Pilát", ())


def test_a_genus_alone_is_printed_with_sp(collector: Member, curator: Member) -> None:
    find = FindFactory(finder=collector)
    name_find(find, None, name_typed="Stereum")
    assert plain_text(_label(find, collector, curator).name) == "Stereum sp."


@pytest.mark.parametrize(
    ("states", "position", "said"),
    [
        ([], "upper", "Oak, upper side"),
        (["root"], "root", "root of Oak"),
        ([], "root", "Oak, on a root"),
        (["stump"], "cut end", "stump of Oak, cut end"),
    ],
)
def test_the_wood_is_told_in_whole_words(
    states: list[str], position: str, said: str, collector: Member, curator: Member
) -> None:
    find = FindFactory(finder=collector, host="Oak", wood_position=position)
    if states:
        ReadingFactory(find=find, trait="substrate_state", values=[], unit="", states=states)
    assert f"On {said} |" in _text(_label(find, collector, curator))


@pytest.mark.parametrize(
    ("wood", "printed"),
    [
        ({"decay_scale": "usda-fia-log", "decay_class": "3"}, True),
        ({"decay_scale": "usda-fia-log", "decay_class": "9"}, False),
        ({"decay_scale": "", "decay_class": "3"}, False),
    ],
)
def test_a_decay_class_without_its_scale_is_left_off(
    wood: dict[str, Any], printed: bool, collector: Member, curator: Member
) -> None:
    label = _label(FindFactory(finder=collector, **wood), collector, curator)
    assert (label.decay_class == "decay class 3 (USDA FIA, down logs)") is printed
    assert printed or label.decay_class == ""


def test_trees_around_are_near_and_the_smell_is_of_its_state(collector: Member, curator: Member) -> None:
    find = FindFactory(finder=collector, trees_nearby="alder", smell="sweet", specimen_state="moist")
    text = _text(_label(find, collector, curator))
    assert "Near alder" in text and "Moist smell: sweet" in text and "Fresh" not in text


def _named_twice(find: Find, first: str, then: str, **given: Any) -> None:
    DeterminationFactory(
        find=find, taxon=None, name_typed=first, determiner_name="L. Crabbe", made_at=NOW - timedelta(days=9),
        determined_on=date(2026, 10, 24),
    )  # fmt: skip
    name_find(find, None, name_typed=then, made_at=NOW, determined_on=date(2026, 11, 2), **given)


def test_a_label_after_a_redetermination_shows_the_earlier_name(collector: Member, curator: Member) -> None:
    find = FindFactory(finder=collector)
    _named_twice(find, "Trametes versicolor (L.) Lloyd", "Trametes gibbosa")
    earlier = _label(find, collector, curator).earlier
    assert plain_text(earlier) == "Trametes versicolor, L. Crabbe, 24 Oct 2026"
    assert earlier[0] == ("Trametes versicolor", True)


def test_a_name_that_was_confirmed_is_no_earlier_name(collector: Member, curator: Member) -> None:
    find = FindFactory(finder=collector)
    _named_twice(find, "Trametes gibbosa", "Trametes gibbosa (Pers.) Fr.")
    assert _label(find, collector, curator).earlier == ()


def test_a_slip_carries_the_later_name_and_the_collecting_number(collector: Member, curator: Member) -> None:
    find = FindFactory(finder=collector, collecting_serial=118)
    _named_twice(find, "Trametes versicolor", "Trametes gibbosa", determiner_name="A. Thornley")
    voucher = accession(find.pk, by=curator, now=NOW)
    printed = for_labels([voucher.pk])[0]
    slip = determination_slip(
        printed, Club(name="Hollin Fungus Group"), printed.find.current_determination, collector
    )
    assert (plain_text(slip.name), slip.determined_by) == ("Trametes gibbosa", "A. Thornley")
    assert slip.collecting_number == "AT 118"
