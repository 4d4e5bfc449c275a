import pytest

from tests.ledger.traits.making import calibrated, outcome, reference, row, specimen

WIDTH = row("cap_width", low=20, high=80)
SPORES = row("spore_length", low=5, high=7)


@pytest.mark.parametrize(
    ("trait", "typed", "factor", "corrected"),
    [
        ("cap_width", 450, 0.1, 45),
        ("cap_width", 1270, 1 / 25.4, 50),
        ("spore_length", 0.6, 10, 6),
        ("spore_length", 60, 0.1, 6),
        ("spore_length", 0.24, 25.4, 6.096),
        ("spore_length", 152.4, 1 / 25.4, 6),
    ],
)
def test_a_slip_of_ten_or_of_inches_is_told(trait, typed, factor, corrected):
    known = reference(WIDTH, SPORES)
    entry = {"values": [typed], "resolution": typed / 100}
    slip = outcome(known, trait, specimen(**{trait: entry})).slip
    assert slip.factor == pytest.approx(factor) and slip.corrected == pytest.approx(corrected)
    assert "left as it is" in slip.sentence


def test_the_value_itself_is_never_changed():
    found = outcome(reference(WIDTH), "cap_width", specimen(cap_width=450))
    assert (found.outcome, found.measured.low, found.measured.high) == ("outside", 450, 450)


def test_what_is_within_or_at_the_edge_is_no_slip():
    known = reference(WIDTH, calibration=calibrated(cap_width={"band95": 2.0}))
    assert outcome(known, "cap_width", specimen(cap_width=50)).slip is None
    assert outcome(known, "cap_width", specimen(cap_width=120)).slip is None


def test_what_no_factor_explains_is_no_slip():
    assert outcome(reference(WIDTH), "cap_width", specimen(cap_width=100_000)).slip is None


def test_all_replicates_must_fit_after_the_slip():
    known = reference(WIDTH)
    assert outcome(known, "cap_width", specimen(cap_width=[450, 500])).slip is not None
    assert outcome(known, "cap_width", specimen(cap_width=[45, 450])).slip is None
