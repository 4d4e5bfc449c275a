"""What differs between two prints of a label."""

from vouchers.printing.compare import KEPT_BACK, Difference, differences, digest

WAS = (("Name", "Stereum"), ("Place", "Split Oak Dingle"), ("Earlier", "earlier: Fomes"))
NOW = (("Name", "Stereum hirsutum"), ("Place", "Split Oak Dingle"), ("Dry", "stiff"))


def test_lines_that_differ_are_told_with_what_stood_there() -> None:
    assert differences(WAS, NOW) == (
        Difference("Name", "Stereum", "Stereum hirsutum"),
        Difference("Dry", "", "stiff"),
        Difference("Earlier", "earlier: Fomes", ""),
    )


def test_the_same_lines_differ_in_nothing() -> None:
    assert differences(WAS, WAS) == ()


def test_the_printed_place_is_kept_back_from_whoever_may_not_know_it() -> None:
    (place,) = differences((("Place", "Split Oak Dingle"),), (("Place", "England"),), exact=False)
    assert place == Difference("Place", KEPT_BACK, "England")


def test_a_digest_tells_kinds_and_lines_apart() -> None:
    digests = {digest("packet", WAS), digest("box", WAS), digest("packet", NOW), digest("packet", WAS[:1])}
    assert len(digests) == 4
    assert digest("packet", [list(line) for line in WAS]) in digests
