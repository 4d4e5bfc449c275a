"""The text of a label as PDFium, the reader of a widely used browser, gives it back from the file."""

import pytest

from ledger.paper.text import CAUTION
from tests.vouchers.labels.making import make_label, make_slip, print_one, text_of
from vouchers.labels.content import PacketLabel

LONG_NAME = (
    ("Pseudoinonotus dryadeus ", True),
    ("var. ", False),
    ("longissimoappendiculatus", True),
)


def test_everything_asked_for_is_on_the_label_in_order_and_nothing_else():
    assert text_of(print_one(make_label())) == (
        "Tarnside Fungus Group TFG 2026-0118 "
        "Bjerkandera adusta (Willd.) P. Karst. "
        "det. A. Thornley, 2 Nov 2026; pores, flesh line and spores "
        "TFG 2026-0118 "
        "Place England, Cumbria, Hollin Carr, north bank "
        "At 54.61230°, −2.87450° (WGS 84) ± 9 m; altitude 214 m "
        "On fallen trunk of Fagus sylvatica (bark and leaves); decay class 3 of 5 (USDA FIA) "
        "Near old beeches in wet carr "
        "Fresh cap 58 mm wide, 31 mm long; pores 6–7 per mm, grey, darkening when pressed; flexible "
        "Dry hard; pores blackish "
        "Coll. M. Rigg MR 118, 14 Oct 2026 "
        "Permission leave HC-2026-03 " + CAUTION
    )


def test_empty_fields_leave_no_trace():
    label = PacketLabel(accession_number="TFG 2026-0007", name=(("Stereum hirsutum", True),), dry=("stiff",))
    assert text_of(print_one(label)) == f"TFG 2026-0007 Stereum hirsutum TFG 2026-0007 Dry stiff {CAUTION}"


def test_a_slip_says_name_determiner_date_and_grounds():
    slip = make_slip(qualifier="cf.", name=(("Bjerkandera fumosa", True),), authority="(Pers.) P. Karst.")
    assert text_of(print_one(slip, "slips")) == (
        "Determination · Tarnside Fungus Group TFG 2026-0118 cf. Bjerkandera fumosa (Pers.) P. Karst. "
        "det. A. Thornley, 2 Nov 2026; pores, flesh line and spores Coll. M. Rigg MR 118, 14 Oct 2026"
    )


@pytest.mark.parametrize(
    "words",
    [
        "Россия, Тверская область, берег реки",
        "Ελλάδα, Θεσσαλία, δάσος οξιάς",
        "Český kras, údolí ďáblů; Łódź, Öland, Þingvellir",
        "from the stile → up the bank, ≤ 30 m, ♀ and ♂ beetles",
    ],
)
def test_other_scripts_and_signs_come_back_as_they_went_in(words):
    assert f"Place {words} At" in text_of(print_one(make_label(place=(words,))))


@pytest.mark.parametrize("qualifier", ["cf.", "aff.", "?"])
def test_a_qualifier_stands_before_the_name(qualifier):
    assert f"{qualifier} Bjerkandera adusta (Willd.)" in text_of(print_one(make_label(qualifier=qualifier)))


def test_a_name_without_authority_stands_alone():
    assert "Bjerkandera adusta det. A. Thornley" in text_of(print_one(make_label(authority="")))


def test_a_long_name_a_long_authority_and_a_long_host_are_printed_whole():
    authority = "(Bernicchia & Ryvarden) Bernicchia, Ryvarden, Niemelä & Gilbertson ex Parmasto"
    host = (
        ("Populus ", True),
        ("×", False),
        (" canadensis", True),
        (" 'Robusta', pollarded, in a row", False),
    )
    printed = print_one(make_label(name=LONG_NAME, authority=authority, host=host))
    text = text_of(printed)
    assert not printed.refused
    assert f"Pseudoinonotus dryadeus var. longissimoappendiculatus {authority} det." in text
    assert "fallen trunk of Populus × canadensis 'Robusta', pollarded, in a row (bark" in text


def test_control_characters_do_not_stop_the_label():
    assert "Near wet carr" in text_of(print_one(make_label(near="wet\x00 \x0bcarr\x9f")))


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_the_packet_sheet_tells_how_to_fold_it(paper):
    text = text_of(print_one(make_label(), "packet", paper))
    assert "Lay this side down, this end towards you." in text
    assert "1 Fold the pocket up and put the specimen in." in text
    assert "3 Fold both sides behind." in text


@pytest.mark.parametrize("sheet", ["packet", "labels-96x92", "labels-98x88", "slips"])
def test_who_determined_it_is_said_once(sheet):
    before = (("Trametes versicolor", True), (", L. Crabbe, 14 Nov 2026", False))
    label = make_slip() if sheet == "slips" else make_label(earlier=before)
    text = text_of(print_one(label, sheet))
    assert text.count("det.") == 1
    assert "det. A. Thornley, 2 Nov 2026" in text


@pytest.mark.parametrize("sheet", ["packet", "labels-96x92", "labels-98x88", "slips"])
def test_the_accepted_name_stands_under_an_old_one(sheet):
    # Fomes fomentarius (L.) Fr. with its synonym Elfvingia fomentaria (L.) Murrill: Index Fungorum, from memory
    old = {
        "name": (("Elfvingia fomentaria", True),),
        "authority": "(L.) Murrill",
        "accepted": (("Fomes fomentarius", True), (" (L.) Fr.", False)),
    }
    text = text_of(print_one(make_slip(**old) if sheet == "slips" else make_label(**old), sheet))
    assert "Elfvingia fomentaria (L.) Murrill = Fomes fomentarius (L.) Fr. det." in text
