import pytest

from tests.vouchers.labels.making import make_label, make_slip
from vouchers.labels.content import LabelError, PacketLabel, determination, heading, plain_text


def lines(**changed):
    return {line.word: plain_text(line.pieces) for line in make_label(**changed).lines()}


def test_the_lines_run_from_the_place_to_the_permit():
    assert list(lines()) == ["Place", "At", "On", "Near", "Fresh", "Dry", "Coll.", "Permission"]


def test_a_label_with_nothing_but_its_number_has_no_lines():
    label = PacketLabel(accession_number="TFG 2026-0001")
    assert (label.lines(), heading(label), determination(label)) == ((), (), ())


def test_a_label_without_its_number_is_refused_with_what_to_do():
    with pytest.raises(LabelError, match="Accession it first"):
        PacketLabel(accession_number=" \x00")


def test_wood_host_and_decay_class_make_one_line_with_the_host_in_italics():
    line = next(line for line in make_label().lines() if line.word == "On")
    assert line.pieces == (
        ("fallen trunk of ", False),
        ("Fagus sylvatica", True),
        (" (bark and leaves); decay class 3 of 5 (USDA FIA)", False),
    )


def test_a_host_without_its_wood_stands_alone():
    assert lines(substrate="", host_basis="", decay_class="")["On"] == "Fagus sylvatica"


def test_wood_of_an_unknown_host_says_nothing_of_a_host():
    assert lines(host=(), host_basis="", decay_class="")["On"] == "fallen trunk"


def test_the_side_of_the_wood_follows_the_host():
    said = lines(substrate="", host=(("Oak", False),), host_basis="", part="upper side", decay_class="")
    assert said["On"] == "Oak, upper side"


def test_readings_stand_by_the_state_of_the_specimen():
    said = lines(fresh=(), moist=("cap brown",), dry=("hard",), noted=("state not noted: zoned",))
    assert (said["Moist"], said["Dry"], said["Noted"]) == ("cap brown", "hard", "state not noted: zoned")
    assert "Fresh" not in said


def test_an_empty_part_takes_its_separator_with_it():
    assert lines(fresh=("", "flexible", " "), dry=())["Fresh"] == "flexible"
    assert "Dry" not in lines(dry=("", ""))


def test_the_words_of_a_coarsened_place_stand_where_the_coordinates_would():
    assert lines(position="within 10 km of Tarnside", altitude="")["At"] == "within 10 km of Tarnside"


def test_altitude_alone_keeps_its_line():
    assert lines(position="")["At"] == "altitude 214 m"


def test_the_collecting_number_follows_the_collector():
    assert lines()["Coll."] == "M. Rigg MR 118, 14 Oct 2026"


@pytest.mark.parametrize("qualifier", ["cf.", "aff.", "?"])
def test_a_qualifier_stands_upright_before_the_name(qualifier):
    assert heading(make_label(qualifier=qualifier)) == (
        (f"{qualifier} ", False),
        ("Bjerkandera adusta", True),
    )


def test_a_qualifier_inside_the_name_stays_where_it_is():
    pieces = (("Trametes ", True), ("cf. ", False), ("versicolor", True))
    assert plain_text(heading(make_label(name=pieces))) == "Trametes cf. versicolor"


@pytest.mark.parametrize(
    "pieces", [("Fagus", " ", "sp."), ("Fagus ", "sp."), ("Fagus", " sp."), ("Fagus ", "", " sp.")]
)
def test_the_space_between_two_pieces_stays_one_space(pieces):
    name = tuple((text, text.startswith("F")) for text in pieces)
    assert plain_text(heading(make_label(name=name))) == "Fagus sp."


def test_a_determination_without_a_date_or_basis_is_the_name_alone():
    assert plain_text(determination(make_slip(determined_on="", determined_basis=""))) == "A. Thornley"
