"""Numbers typed into plain boxes: the phone asks about one exactly where the ledger would refuse it."""

from collections.abc import Iterator

import pytest
from django import forms
from hypothesis import given
from hypothesis import strategies as st

from ledger.finds.fields import CountText, NumberText
from ledger.finds.forms import FindForm
from tests.js_side import KNOWN, JsSide

BOXES = {name: field for name, field in FindForm.base_fields.items() if isinstance(field, NumberText)}
TYPED = (
    *(
        "",
        " ",
        "12",
        "12,5",
        "12.5 m",
        "+3",
        "-3",
        ".5",
        "1,234",
        "12,345 m",
        "abc",
        "12 parsec",
        "twelve",
        "1e3",
        "0x1f",
    ),
    *(
        "± 20 m",
        "20 cm",
        "−5",
        "3–4",
        "1.5.2",
        "٣",
        "１２",
        "1\u200b2",
        "5 °",
        "2 fruit bodies",
        "400",
        "3000000000",
        "1/2",
    ),
)
boxes = st.sampled_from(sorted(BOXES))
drawn = st.text(st.sampled_from("0123456789.,-+ m°c±٣x"), max_size=8) | st.text(KNOWN, max_size=12)


@pytest.fixture(scope="module")
def js() -> Iterator[JsSide]:
    side = JsSide("run_place.mjs")
    yield side
    side.close()


def asked(js: JsSide, typed: str, name: str) -> str:
    box = BOXES[name]
    about = {"unit": box.unit, "least": box.least, "most": box.most, "isWhole": isinstance(box, CountText)}
    said: str = js.ask("numberProblem", typed, about)
    return said


def refused(typed: str, name: str) -> str:
    try:
        BOXES[name].clean(typed)
    except forms.ValidationError as problem:
        return str(problem.messages[0])
    return ""


@pytest.mark.parametrize("name", BOXES)
@pytest.mark.parametrize("typed", TYPED)
def test_what_people_type_is_asked_about_on_the_phone_as_on_the_ledger(
    js: JsSide, typed: str, name: str
) -> None:
    assert bool(asked(js, typed, name)) == bool(refused(typed, name))


@given(typed=drawn, name=boxes)
def test_whatever_is_typed_the_phone_asks_about_nothing_that_the_ledger_takes(
    js: JsSide, typed: str, name: str
) -> None:
    if said := asked(js, typed, name):
        assert refused(typed, name), said


def test_the_sentence_is_that_of_the_ledger(js: JsSide) -> None:
    assert asked(js, "abc", "height_m") == refused("abc", "height_m")
    assert asked(js, "1,234", "altitude_m") == refused("1,234", "altitude_m")
    assert asked(js, "400", "height_m") == refused("400", "height_m")


def test_every_number_box_tells_the_phone_between_which_bounds_it_lies() -> None:
    assert all(box.least is not None and box.most is not None for box in BOXES.values())
