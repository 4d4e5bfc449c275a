from dataclasses import replace

import pytest

from ledger.traits.explain import dissent_text, names_text, source_name
from ledger.traits.ranges import Source
from tests.ledger.traits.making import outcome, reference, row, specimen, vocabulary


@pytest.mark.parametrize(
    ("source", "name"),
    [
        (Source("a", "Phillips, R., Mushrooms (printed book)", kind="handbook"), "Phillips"),
        (Source("b", "A school (pages): Bulgaria inquinans", kind="society page"), "A school"),
        (Source("memory", "General knowledge", kind="memory"), "a value from memory"),
        (Source("common-practice", "The trade", kind="common practice"), "common practice"),
        (Source("c", ""), "c"),
    ],
)
def test_a_source_is_named_in_a_few_words(source, name):
    assert source_name(source) == name


def test_many_sources_are_counted_after_the_first_two():
    known = reference(*(row("rot", states="white rot", source=f"book-{x}") for x in "abcd"))
    why = outcome(known, "rot", specimen(rot="white rot")).why
    assert (
        why
        == "white rot: within what is documented (white rot), by Invented book-a, Invented book-b and 2 more."
    )


def test_an_outside_names_the_number_the_range_and_the_source():
    why = outcome(reference(row("pores_per_mm", low=4, high=5)), "pores_per_mm", specimen(pores_per_mm=9)).why
    assert why == "9 ± 0.58 per mm: beyond what is documented (4–5 per mm) by Invented book-a."


def test_a_small_cap_is_said_to_be_young_perhaps():
    why = outcome(reference(row("cap_width", low=20, high=80)), "cap_width", specimen(cap_width=5)).why
    assert why == "5 mm ± 0.58: below 20 mm (Invented book-a), which a young one may be."


@pytest.mark.parametrize(
    ("trait", "read", "why"),
    [
        ("pore_surface_colour", "brown", "; white pores brown as they dry or age. "),
        ("flexibility", "stiff", "; thin caps stiffen as they dry. "),
        ("cap_colour", "brown", "; colours and textures change as they dry. "),
    ],
)
def test_what_drying_does_is_said_in_the_words_of_the_trait(trait, read, why):
    states = "|".join(sorted(vocabulary().traits[trait].state_codes - {read}))
    known = reference(row(trait, states=states, condition="fresh"))
    assert why in outcome(known, trait, specimen(state="air-dry", **{trait: read})).why


def test_states_beyond_the_documented_are_named():
    why = outcome(reference(row("host", states="hardwood")), "host", specimen(host="hardwood|conifer")).why
    assert "conifer is not documented, the rest is" in why


def test_the_bound_of_a_single_measurement_reads_as_a_number():
    found = outcome(reference(row("cap_width", high=80)), "cap_width", specimen(cap_width=[30, 45.5]))
    assert found.measured.text == "30–45.5 mm ± 0.58 (n = 2)"
    assert "up to 80 mm" in found.why


def test_within_gives_the_bounds_of_those_it_names():
    """Two books say up to 400 mm; the 150 mm of a third is not theirs."""
    known = reference(
        row("cap_width", high=400),
        row("cap_width", high=300, source="book-b"),
        row("cap_width", low=150, high=400, source="book-c"),
    )
    why = outcome(known, "cap_width", specimen(cap_width=120)).why
    assert why == (
        "120 mm ± 0.58: within what is documented (up to 400 mm), by Invented book-a and Invented book-b."
    )


def test_within_gives_the_states_of_those_it_names():
    known = reference(row("host", states="hardwood"), row("host", states="conifer", source="book-b"))
    why = outcome(known, "host", specimen(host="hardwood")).why
    assert why.startswith("hardwood: within what is documented (hardwood), by Invented book-a.")


def _pages(*citations):
    """A reference of one trait, each source a page with the citation given; the last one dissents."""
    sources = [Source(f"s{n}", citation, kind="encyclopaedia") for n, citation in enumerate(citations)]
    rows = [row("cap_width", low=20, high=80, source=one.id) for one in sources[:-1]]
    rows.append(row("cap_width", low=20, high=30, source=sources[-1].id))
    known = reference(*rows)
    return replace(known, sources={one.id: one for one in sources})


def test_one_name_never_stands_on_both_sides():
    known = _pages("Invented Pages (English): one", "Invented Pages (English): two")
    why = outcome(known, "cap_width", specimen(cap_width=70)).why
    assert why.endswith("by Invented Pages. Not so by other pages of Invented Pages.")


def test_those_who_dissent_are_named_two_at_most():
    known = reference()
    assert names_text(["a", "b", "c", "d"]) == "a, b and 2 more"
    assert dissent_text(known, [], []) == ""
