"""The reference is kept on the phone only where every byte of it arrived."""

from collections.abc import Iterator
from typing import Any

import pytest

from ledger.taxa.queries import current_pack
from ledger.traits.phone_pack import pack_bytes
from tests.js_side import JsSide

PACK: dict[str, Any] = {
    "reference": "ab",
    "taxa": [["Fomes fomentarius", "(L.) Fr. – “æ” ✓"]],
    "numbers": [0.1, -3, None],
}


@pytest.fixture(scope="module")
def js() -> Iterator[JsSide]:
    side = JsSide("run_phone.mjs")
    yield side
    side.close()


def test_a_whole_pack_is_known_by_its_digest(js: JsSide) -> None:
    assert js.ask("isWhole", pack_bytes(PACK).decode()) is True


def test_the_packs_digest_is_the_one_the_ledger_gives(js: JsSide, reference: Any) -> None:
    pack, digest = current_pack()
    assert js.ask("isWhole", pack.decode()) is True
    assert f'"digest":"{digest}"' in pack.decode()[:90]


def test_a_pack_that_was_cut_off_or_changed_is_none(js: JsSide) -> None:
    text = pack_bytes(PACK).decode()
    assert js.ask("isWhole", text[:-1]) is False
    assert js.ask("isWhole", text.replace("-3", "-4")) is False
    assert js.ask("isWhole", text.replace('{"digest":"', '{"digest":"0', 1)) is False


def test_another_page_in_its_place_is_none(js: JsSide) -> None:
    assert js.ask("isWhole", "<!DOCTYPE html><title>Sign in</title>") is False
    assert js.ask("isWhole", '{"digest":""}') is False
