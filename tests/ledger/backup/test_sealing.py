"""Sealed files: only the key opens them, and only as they were written."""

import io

import pytest

from ledger.backup import sealing
from ledger.backup.errors import BackupError, CutOff, Damaged, WrongKey
from ledger.backup.sealing import CHUNK_BYTES, TAG_BYTES, Costs, Key, Unsealer

# Sixteen thousand times cheaper than the real one, which is a test of its own.
CHEAP = Costs(n=8, r=1, p=1)
SALT = b"s" * 16
KEY = Key(b"beech, larch, alder", CHEAP)
SIZES = [0, 1, CHUNK_BYTES - 1, CHUNK_BYTES, CHUNK_BYTES + 1, 3 * CHUNK_BYTES]


def opened(data: bytes, key: Key | None = KEY) -> bytes:
    return Unsealer(io.BytesIO(data), key).read()


@pytest.mark.parametrize("size", SIZES)
def test_what_was_sealed_comes_out(size: int) -> None:
    data = bytes(range(251)) * (size // 251 + 1)
    assert opened(sealing.sealed(data[:size], KEY, SALT)) == data[:size]


@pytest.mark.parametrize("size", SIZES)
def test_the_size_is_known_beforehand(size: int) -> None:
    assert len(sealing.sealed(bytes(size), KEY, SALT)) == sealing.sealed_size(size, CHEAP)


def test_a_slow_source_gives_the_same() -> None:
    class Drops(io.BytesIO):
        def read(self, size: int | None = -1, /) -> bytes:
            return super().read(min(size or 1, 777) if size and size > 0 else size)

    data = bytes(2 * CHUNK_BYTES + 5)
    assert Unsealer(Drops(sealing.sealed(data, KEY, SALT)), KEY).read() == data


def test_nothing_of_the_text_is_seen_and_the_same_text_never_looks_the_same() -> None:
    one, other = (sealing.sealed(b"Hollin Wood" * 9, KEY, SALT) for _ in range(2))
    assert b"Hollin" not in one and one[-50:] != other[-50:]


def test_another_key_is_told_apart_from_damage() -> None:
    with pytest.raises(WrongKey, match="not the one this file was sealed with"):
        opened(sealing.sealed(b"x", KEY, SALT), Key(b"oak, ash and thorn", CHEAP))


def test_no_key_is_a_sentence_of_its_own() -> None:
    with pytest.raises(WrongKey, match="no key is set"):
        opened(sealing.sealed(b"x", KEY, SALT), None)


def test_a_short_key_is_refused() -> None:
    with pytest.raises(WrongKey, match="has 6 signs"):
        Key(b"secret")


def test_a_flipped_bit_anywhere_is_found() -> None:
    whole = sealing.sealed(bytes(400), KEY, SALT)
    for bit in range(0, len(whole) * 8, 13):
        bad = bytearray(whole)
        bad[bit // 8] ^= 1 << bit % 8
        with pytest.raises(BackupError):
            opened(bytes(bad))


def test_chunks_cannot_change_places_or_be_left_out() -> None:
    data = sealing.sealed(bytes(3 * CHUNK_BYTES), KEY, SALT)
    step = CHUNK_BYTES + TAG_BYTES
    head, chunks = data[: -3 * step], [data[-3 * step :][i * step : (i + 1) * step] for i in range(3)]
    with pytest.raises(Damaged, match=r"chunk 1 .* is damaged"):
        opened(head + chunks[1] + chunks[0] + chunks[2])
    with pytest.raises(Damaged, match=r"chunk 2 .* is"):
        opened(head + chunks[0] + chunks[2])


def test_a_file_cut_off_between_two_chunks_has_no_end() -> None:
    data = sealing.sealed(bytes(3 * CHUNK_BYTES), KEY, SALT)
    with pytest.raises(CutOff, match="ends after chunk 2, before its end"):
        opened(data[: -(CHUNK_BYTES + TAG_BYTES)])


def test_a_file_cut_off_within_a_chunk_is_refused() -> None:
    with pytest.raises(Damaged, match="cut off or damaged"):
        opened(sealing.sealed(bytes(CHUNK_BYTES), KEY, SALT)[:-5])


def test_nothing_may_follow_the_last_chunk() -> None:
    data = sealing.sealed(bytes(CHUNK_BYTES), KEY, SALT)
    with pytest.raises(Damaged):
        opened(data + b"more")


def test_a_damaged_head_cannot_ask_for_all_memory() -> None:
    whole = sealing.sealed(b"x", KEY, SALT)
    with pytest.raises(Damaged, match="first lines"):
        opened(whole.replace(b'"n":8', b'"n":1073741824'))


def test_originals_have_a_name_that_only_the_key_tells() -> None:
    digest = "ab" * 32
    assert KEY.name_of(SALT, digest) == KEY.name_of(SALT, digest)
    assert len({digest, KEY.name_of(SALT, digest), KEY.name_of(b"t" * 16, digest)}) == 3


def test_the_real_costs_make_a_guess_slow() -> None:
    assert Costs() == Costs(n=131072, r=8, p=1)
    assert (
        opened(sealing.sealed(b"x", Key(b"beech, larch, alder"), SALT), Key(b"beech, larch, alder")) == b"x"
    )
