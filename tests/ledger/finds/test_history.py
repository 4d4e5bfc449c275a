"""A line of the history: its row holds English, the page the reader's language."""

import pytest
from django.utils import translation

from ledger.finds.history import value_shown

pytestmark = pytest.mark.django_db
TOLD = {
    ("flags settled", "2: Trait outside: cap surface; A book dissents"): (
        "2: Merkmal außerhalb: Hutoberfläche; Ein Buch widerspricht"
    ),
    ("flag settled", "A book dissents"): "Ein Buch widerspricht",
    ("reading cap_surface", "crusted, fresh"): "krustig, frisch",
    ("reading pores_per_mm", "4–5 per mm (n = 3), fresh"): "4–5 je mm (n = 3), frisch",
    ("reading cap_width", "58, 61 mm, from photos"): "58, 61 mm, von Fotos",
    ("reading spore_length", "9–11 µm, mean 10.10 (n = 20)"): "9–11 µm, Mittel 10.10 (n = 20)",
    ("logged", "AT 7, by phone, kept 3 October 2026, 14:12, sent 17:40"): (
        "AT 7, mit dem Telefon, gespeichert 3. Oktober 2026, 14:12, gesendet 17:40"
    ),
    ("logged", "AT 7"): "AT 7",
    ("kept", "yes"): "ja",
    ("photos", "2 added"): "2 dazu",
    ("host", "fresh"): "fresh",
    ("note", ""): "",
}


@pytest.mark.parametrize(("field", "text"), TOLD)
def test_a_value_of_the_history_is_told_in_the_readers_language(field: str, text: str) -> None:
    with translation.override("de"):
        assert value_shown(field, text) == TOLD[field, text]
    with translation.override("en-gb"):
        assert value_shown(field, text) == text
