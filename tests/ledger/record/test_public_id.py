"""Public identifiers as they are typed. ORCID's own example is 0000-0002-1825-0097; ROR's are of well-known bodies."""

import pytest

from ledger.record.public_id import PublicIdError, read_public_id


@pytest.mark.parametrize(
    "typed",
    [
        "0000-0002-1825-0097",
        "0000000218250097",
        " https://orcid.org/0000-0002-1825-0097 ",
        "orcid.org/0000-0002-1825-0097/",
    ],
)
def test_an_orcid_is_read_however_it_is_typed(typed: str):
    assert read_public_id(typed) == "https://orcid.org/0000-0002-1825-0097"


def test_an_orcid_may_end_in_a_letter():
    assert read_public_id("0000-0002-1694-233x") == "https://orcid.org/0000-0002-1694-233X"


@pytest.mark.parametrize("code", ["02y3ad647", "05gq02987", "00x6h5n95"])
def test_a_ror_identifier_is_read_with_and_without_its_address(code: str):
    assert read_public_id(code) == read_public_id(f"https://ror.org/{code}") == f"https://ror.org/{code}"


def test_another_address_is_taken_as_it_is_and_nothing_stays_nothing():
    assert read_public_id("https://example.org/people/7") == "https://example.org/people/7"
    assert read_public_id("  ") == ""


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("0000-0002-1825-0098", "no ORCID: its last sign"),
        ("02y3ad648", "no ROR identifier"),
        ("Ada Thorne", "no public identifier"),
        ("javascript:alert(1)", "no public identifier"),
        ("https://localhost", "no public identifier"),
        ("https://example.org/" + "a" * 200, "no public identifier"),
    ],
)
def test_what_is_none_is_refused_with_what_to_do(typed: str, said: str):
    with pytest.raises(PublicIdError, match=said):
        read_public_id(typed)
