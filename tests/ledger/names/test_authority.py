"""The author behind a name is that of the name, or none. Authors of the reference: Index Fungorum, from memory."""

import pytest

from ledger.names.authority import CitedName, cite

FOMES = {"accepted": "Fomes fomentarius", "accepted_authority": "(L.) Fr."}


def text(parts: object) -> str:
    return "".join(part.text for part in parts)  # type: ignore[attr-defined]


def cited(typed: str) -> CitedName:
    return cite(typed, **FOMES)


def test_the_accepted_name_as_typed_takes_its_author() -> None:
    one = cited("Fomes fomentarius")
    assert (text(one.parts), one.authority, one.accepted) == ("Fomes fomentarius", "(L.) Fr.", ())


def test_an_old_name_never_takes_the_author_of_the_accepted_one() -> None:
    one = cited("Elfvingia fomentaria")
    assert (text(one.whole), one.authority) == ("Elfvingia fomentaria", "")
    assert text(one.accepted) == "Fomes fomentarius (L.) Fr."


def test_an_old_name_keeps_the_author_that_was_typed() -> None:
    one = cited("Elfvingia fomentaria (L.) Murrill")
    assert (one.authority, text(one.accepted)) == ("(L.) Murrill", "Fomes fomentarius (L.) Fr.")


@pytest.mark.parametrize("author", ["(L.) J.J. Kickx", "Fr.", "L."])
def test_where_an_author_was_typed_no_other_is_added(author: str) -> None:
    assert text(cited(f"Fomes fomentarius {author}").whole) == f"Fomes fomentarius {author}"


def test_the_author_of_an_autonym_stands_once() -> None:
    one = cite(
        "Fomes fomentarius (L.) Fr. var. fomentarius",
        accepted="Fomes fomentarius var. fomentarius",
        accepted_authority="X",
    )
    assert text(one.whole) == "Fomes fomentarius (L.) Fr. var. fomentarius"


def test_the_author_stands_before_the_mark_of_an_aggregate() -> None:
    assert text(cited("Fomes fomentarius agg.").whole) == "Fomes fomentarius (L.) Fr. agg."


@pytest.mark.parametrize("typed", ["Elfvingia cf. fomentaria", "Elfvingia fomentaria agg.", "Elfvingia"])
def test_a_doubted_or_wider_name_is_not_called_equal_to_a_species(typed: str) -> None:
    assert cited(typed).accepted == ()


def test_a_genus_in_full_stands_behind_a_shortened_one() -> None:
    one = cite("T. versicolor", accepted="Trametes versicolor", accepted_authority="(L.) Lloyd")
    assert (text(one.whole), text(one.accepted)) == ("T. versicolor", "Trametes versicolor (L.) Lloyd")


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("Stereum", "Stereum sp."),
        ("Stereum sp.", "Stereum sp."),
        ("Stereum sp. 1", "Stereum sp. 1"),
        ("Stereum spp.", "Stereum spp."),
        ("Stereum Hill ex Pers.", "Stereum Hill ex Pers."),
        ("Polyporaceae", "Polyporaceae"),
    ],
)
def test_a_genus_alone_is_an_unnamed_species_of_it(typed: str, shown: str) -> None:
    assert text(cite(typed).whole) == shown


def test_what_cannot_be_read_stands_as_typed_without_an_author() -> None:
    one = cited("some bracket on birch")
    assert (text(one.whole), one.authority, one.accepted) == ("some bracket on birch", "", ())


def test_the_accepted_name_is_in_italics_and_its_author_upright() -> None:
    assert [(part.text, part.italic) for part in cited("Elfvingia fomentaria").accepted] == [
        ("Fomes fomentarius", True),
        (" (L.) Fr.", False),
    ]
