"""Whatever is done to one entry, that entry is named."""

from dataclasses import replace
from hashlib import sha256

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from vouchers.register.chain import BEGINNING, Head, Row, canonical, digest_of, next_row, verify

NOTES = ("", "Trametes versicolor", "Ganoderma, Höhe 3 m", "Стереум \u0000 \ud800")


def chain_of(count: int) -> tuple[list[Row], Head]:
    rows, head = [], Head(0, BEGINNING)
    for n in range(1, count + 1):
        facts = {"at": f"2026-11-{n % 28 + 1:02}", "by": "Carys Bowen", "name": NOTES[n % len(NOTES)]}
        row = next_row(head, kind="accession", accession_number=f"TFG 2026-{n:04}", facts=facts)
        rows.append(row)
        head = Head(n, row.digest)
    return rows, head


chains = st.integers(2, 12).map(chain_of)


def test_an_entry_s_digest_is_sha_256_over_the_one_before_and_the_body() -> None:
    (row,), _ = chain_of(1)
    assert row.digest == sha256(("0" * 64 + row.body).encode()).hexdigest()


def test_the_canonical_text_is_sorted_bare_and_ascii() -> None:
    assert canonical({"b": 1, "a": "ö", "c": [None, True]}) == '{"a":"\\u00f6","b":1,"c":[null,true]}'


def test_a_number_that_json_cannot_hold_is_refused() -> None:
    with pytest.raises(ValueError, match="JSON"):
        canonical({"hours": float("nan")})


def test_facts_cannot_pretend_to_be_another_entry() -> None:
    with pytest.raises(ValueError, match="entry"):
        next_row(Head(0, BEGINNING), kind="accession", accession_number="TFG 2026-0001", facts={"entry": 7})


@given(st.integers(0, 12).map(chain_of))
def test_an_untouched_register_is_whole(chain: tuple[list[Row], Head]) -> None:
    assert verify(*chain) is None


@given(chains, st.data())
def test_one_altered_byte_names_its_entry(chain: tuple[list[Row], Head], data: st.DataObject) -> None:
    rows, head = chain
    at = data.draw(st.integers(0, len(rows) - 1))
    column = data.draw(st.sampled_from(["body", "before", "digest", "kind", "accession_number"]))
    text = getattr(rows[at], column)
    place = data.draw(st.integers(0, len(text) - 1))
    sign = data.draw(st.characters(min_codepoint=32, max_codepoint=126))
    assume(sign != text[place])
    rows[at] = replace(rows[at], **{column: text[:place] + sign + text[place + 1 :]})
    trouble = verify(rows, head)
    assert trouble is not None and trouble.number == at + 1


@given(chains, st.data())
def test_a_removed_row_is_named(chain: tuple[list[Row], Head], data: st.DataObject) -> None:
    rows, head = chain
    gone = rows.pop(data.draw(st.integers(0, len(rows) - 1)))
    trouble = verify(rows, head)
    assert trouble is not None and trouble.number == gone.number
    assert "missing" in trouble.why


@given(chains, st.data())
def test_of_two_rows_swapped_the_first_is_named(chain: tuple[list[Row], Head], data: st.DataObject) -> None:
    rows, head = chain
    first, second = sorted(data.draw(st.sets(st.integers(0, len(rows) - 1), min_size=2, max_size=2)))
    rows[first], rows[second] = (
        replace(rows[second], number=first + 1),
        replace(rows[first], number=second + 1),
    )
    trouble = verify(rows, head)
    assert trouble is not None and (trouble.number, trouble.why) == (
        first + 1,
        f"It holds what was written as entry {second + 1}.",
    )


@given(chains, st.data())
def test_swapped_texts_alone_are_named_too(chain: tuple[list[Row], Head], data: st.DataObject) -> None:
    rows, head = chain
    first, second = sorted(data.draw(st.sets(st.integers(0, len(rows) - 1), min_size=2, max_size=2)))
    rows[first], rows[second] = (
        replace(rows[first], body=rows[second].body),
        replace(rows[second], body=rows[first].body),
    )
    trouble = verify(rows, head)
    assert trouble is not None and trouble.number == first + 1


@given(chains, st.data())
def test_an_entry_made_anew_with_a_digest_that_fits_is_betrayed_by_the_next(
    chain: tuple[list[Row], Head], data: st.DataObject
) -> None:
    rows, head = chain
    at = data.draw(st.integers(0, len(rows) - 2))
    before = Head(at, rows[at].before)
    facts = {"at": "2026-11-02", "by": "Somebody else"}
    rows[at] = next_row(before, kind="accession", accession_number="TFG 2026-9999", facts=facts)
    trouble = verify(rows, head)
    assert trouble is not None and trouble.number == at + 2


def test_a_last_entry_made_anew_is_betrayed_by_the_head() -> None:
    rows, head = chain_of(3)
    rows[2] = next_row(Head(2, rows[1].digest), kind="accession", accession_number="TFG 2026-0009", facts={})
    trouble = verify(rows, head)
    assert trouble is not None and trouble.number == 3


def test_an_entry_beyond_the_head_is_named() -> None:
    rows, _ = chain_of(3)
    trouble = verify(rows, Head(2, rows[1].digest))
    assert trouble is not None and trouble.number == 3


def test_a_body_that_is_no_json_any_more_is_named() -> None:
    rows, head = chain_of(3)
    rows[1] = replace(rows[1], body="[1]")
    trouble = verify(rows, head)
    assert trouble is not None and trouble.number == 2


@pytest.mark.parametrize("entry", [{}, {"entry": "2"}, {"entry": None}])
def test_a_body_that_names_no_entry_is_told_as_such(entry: dict[str, object]) -> None:
    rows, head = chain_of(1)
    body = canonical({"kind": "accession", "accession number": "TFG 2026-0002", **entry})
    made = Row(2, "accession", "TFG 2026-0002", body, head.digest, digest_of(head.digest, body))
    trouble = verify([*rows, made], Head(2, made.digest))
    assert trouble is not None
    assert (trouble.number, trouble.why) == (2, "Its text does not say which entry it is.")
