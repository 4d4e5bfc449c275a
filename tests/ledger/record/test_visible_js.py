"""What no eye can see is left out alike on the phone and on the ledger."""

import unicodedata
from collections.abc import Iterator

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.record.visible import visible
from tests.js_side import KNOWN, JsSide

ODD = "\u200b\u200c\u200d\u202e\ufeff\u00ad\u2028\x85\t\r\n\0\u3164\u0600\u094d\u0915\u0645\u0d4d\u0d15 aé😀\ue000\ufe0f"
texts = st.text(alphabet=st.sampled_from(ODD) | KNOWN, max_size=12)


@pytest.fixture(scope="module")
def js() -> Iterator[JsSide]:
    side = JsSide("run_typed.mjs")
    yield side
    side.close()


@settings(max_examples=600)
@given(texts)
def test_texts_are_left_as_they_are_seen_alike(js: JsSide, text: str) -> None:
    assert js.ask("visible", text) == visible(text)


def test_every_sign_is_seen_alike(js: JsSide) -> None:
    every = (chr(code) for code in range(0x20000))
    signs = [sign for sign in every if unicodedata.category(sign) not in ("Cn", "Cs")]
    here = [visible(sign) for sign in signs]
    there = js.ask("each", "visible", [[sign] for sign in signs])
    assert [hex(ord(sign)) for sign, one, other in zip(signs, here, there, strict=True) if one != other] == []
