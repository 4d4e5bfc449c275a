import pytest

from ledger.paper.text import clean


@pytest.mark.parametrize(
    ("typed", "printed"),
    [
        ("a\x00b\x1bc", "abc"),
        ("two\nlines\tand  more ", "two lines and more"),
        ("soft\u00adhyphen", "softhyphen"),
        ("turned\u202eround", "turnedround"),
        ("Lyofyllum e\u0301tale", "Lyofyllum étale"),
    ],
)
def test_controls_and_hidden_signs_do_not_reach_the_paper(typed, printed):
    assert clean(typed) == printed
