"""A zip that is written while it is sent, and packed in a thread of its own."""

import io
import random
import threading
import zipfile
from contextlib import closing
from datetime import UTC, datetime
from hashlib import sha256

import pytest

from ledger.exchange.zip_stream import ZipStream

NOW = datetime(2026, 10, 4, 18, 30, 15, tzinfo=UTC)
ROUNDS = 20


def lines(number: int) -> bytes:
    draw = random.Random(number)
    return "".join(f"{draw.random()},{number}\r\n" for _ in range(2000)).encode()


def test_every_file_comes_back_however_its_pieces_were_mixed() -> None:
    out = io.BytesIO()
    with closing(ZipStream(NOW)) as zipped:
        out.write(zipped.whole("first.txt", b"first"))
        out.write(zipped.begin("live.csv"))
        for number in range(ROUNDS):
            zipped.beside("one.csv", lines(number))
            zipped.beside("other.csv", lines(-number))
            out.write(zipped.live(lines(1000 + number)))
        zipped.beside("one.csv", b"the last\r\n")
        out.write(zipped.close_live())
        for piece in zipped.follow():
            out.write(piece)
        out.write(zipped.end())
        sums = zipped.sums
    want = {
        "first.txt": b"first",
        "live.csv": b"".join(lines(1000 + number) for number in range(ROUNDS)),
        "one.csv": b"".join(lines(number) for number in range(ROUNDS)) + b"the last\r\n",
        "other.csv": b"".join(lines(-number) for number in range(ROUNDS)),
    }
    with zipfile.ZipFile(out) as files:
        assert {name: files.read(name) for name in files.namelist()} == want
    assert sums == {name: sha256(data).hexdigest() for name, data in want.items()}


def test_it_is_one_piece_behind_at_most() -> None:
    with closing(ZipStream(NOW)) as zipped:
        zipped.begin("live.csv")
        noise = random.Random(1).randbytes(1 << 20)
        zipped.live(noise)
        # zlib keeps some of it back, never as much as this.
        assert len(zipped.live(noise)) > len(noise) // 2


def test_a_disk_that_is_full_is_told_and_not_passed_over(monkeypatch: pytest.MonkeyPatch) -> None:
    class Full(io.BytesIO):
        def write(self, data: object) -> int:
            raise OSError("No space left on device")

    monkeypatch.setattr("tempfile.SpooledTemporaryFile", lambda _: Full())
    with closing(ZipStream(NOW)) as zipped:
        zipped.begin("live.csv")
        zipped.beside("one.csv", b"x")
        zipped.live(b"y")
        with pytest.raises(OSError, match="No space"):
            zipped.close_live()


def test_nothing_runs_on_when_it_is_broken_off() -> None:
    before = threading.active_count()
    with closing(ZipStream(NOW)) as zipped:
        zipped.begin("live.csv")
        zipped.live(lines(1))
        assert threading.active_count() == before + 1
    assert threading.active_count() == before
