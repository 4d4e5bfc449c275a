"""The one file of a backup: what is wrong with it is found and named."""

import io
import random
import tarfile
from collections.abc import Callable
from hashlib import sha256

import pytest

from ledger.backup import container
from ledger.backup.container import Reader, Writer
from ledger.backup.errors import CutOff, Damaged

MEMBERS = {f"rows/{number:03d}.jsonl": bytes([number]) * (300 * number) for number in range(1, 9)}


def made(members: dict[str, bytes] = MEMBERS) -> bytes:
    out = io.BytesIO()
    writer = Writer(out, {"made": "2026-11-26"})
    for name, data in members.items():
        writer.add(name, data)
    writer.close({"finds": 3})
    return out.getvalue()


def read(data: bytes) -> dict[str, bytes]:
    return {member.name: member.data for member in Reader(io.BytesIO(data), "autumn.tar").members()}


def pieces(data: bytes) -> list[tuple[str, bytes]]:
    """The members of a file with their heads, as an ill-meant hand would cut it."""
    with tarfile.open(fileobj=io.BytesIO(data)) as tar:
        ends = [info.offset_data + -(-info.size // 512) * 512 for info in tar]
        names = tar.getnames()
    begins = [0, *ends[:-1]]
    return [(name, data[begin:end]) for name, begin, end in zip(names, begins, ends, strict=True)] + [
        ("end", data[ends[-1] :])
    ]


def put_together(parts: list[tuple[str, bytes]]) -> bytes:
    return b"".join(part for _, part in parts)


def at(parts: list[tuple[str, bytes]], name: str) -> int:
    return [known for known, _ in parts].index(name)


def test_what_was_put_in_comes_out() -> None:
    reader = Reader(io.BytesIO(made()), "autumn.tar")
    assert {m.name: m.data for m in reader.members() if m.name != "ABOUT.json"} == MEMBERS
    assert (reader.result.about["made"], reader.result.summary["finds"]) == ("2026-11-26", 3)


def test_any_tar_program_opens_it() -> None:
    with tarfile.open(fileobj=io.BytesIO(made())) as tar:
        inside = tar.extractfile("rows/004.jsonl")
        assert inside is not None and inside.read() == MEMBERS["rows/004.jsonl"]


def test_one_flipped_bit_is_found_wherever_it_is() -> None:
    whole = made()
    for bit in range(0, len(whole) * 8, 101):
        bad = bytearray(whole)
        bad[bit // 8] ^= 1 << bit % 8
        with pytest.raises(Damaged):
            read(bytes(bad))


@pytest.mark.parametrize("name", ["rows/001.jsonl", "rows/008.jsonl"])
def test_the_member_with_the_flipped_bit_is_named(name: str) -> None:
    parts = pieces(made())
    head_and_data = bytearray(parts[at(parts, name)][1])
    head_and_data[512 + 100] ^= 4
    parts[at(parts, name)] = (name, bytes(head_and_data))
    with pytest.raises(Damaged, match=f"autumn.tar is damaged: {name} is not as it was written"):
        read(put_together(parts))


def test_a_damaged_head_is_named_by_what_stands_before() -> None:
    parts = pieces(made())
    bad = bytearray(parts[at(parts, "rows/004.jsonl")][1])
    bad[3] ^= 1
    parts[at(parts, "rows/004.jsonl")] = ("", bytes(bad))
    with pytest.raises(Damaged, match=r"the head of the member after rows/003.jsonl is damaged"):
        read(put_together(parts))


def test_a_removed_member_is_named() -> None:
    parts = [part for part in pieces(made()) if part[0] != "rows/005.jsonl"]
    with pytest.raises(Damaged, match=r"rows/005.jsonl is missing"):
        read(put_together(parts))


def test_two_swapped_members_are_named() -> None:
    parts = pieces(made())
    one, other = at(parts, "rows/002.jsonl"), at(parts, "rows/006.jsonl")
    parts[one], parts[other] = parts[other], parts[one]
    with pytest.raises(Damaged, match=r"rows/006.jsonl stands where rows/002.jsonl should"):
        read(put_together(parts))


def test_a_member_of_another_backup_is_named() -> None:
    parts, others = pieces(made()), pieces(made({**MEMBERS, "rows/003.jsonl": b"other" * 180}))
    parts[at(parts, "rows/003.jsonl")] = others[at(others, "rows/003.jsonl")]
    with pytest.raises(Damaged, match=r"rows/003.jsonl is not as it was written"):
        read(put_together(parts))


def test_a_member_put_in_is_named() -> None:
    parts, others = pieces(made()), pieces(made({"rows/999.jsonl": b"more"}))
    parts.insert(4, others[at(others, "rows/999.jsonl")])
    with pytest.raises(Damaged, match=r"rows/999.jsonl does not belong to it"):
        read(put_together(parts))


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("manifest/000001.jsonl", "manifest/000001.jsonl is missing"),
        ("MANIFEST.json", "MANIFEST.json is missing|SEAL.txt"),
        ("SEAL.txt", "cut off: the members end after MANIFEST.json|SEAL.txt"),
        ("ABOUT.json", "ABOUT.json is missing"),
    ],
)
def test_what_proves_the_rest_is_missed_too(name: str, says: str) -> None:
    with pytest.raises(Damaged, match=says):
        read(put_together([part for part in pieces(made()) if part[0] != name]))


@pytest.mark.parametrize("name", ["manifest/000001.jsonl", "MANIFEST.json", "SEAL.txt"])
def test_a_damaged_manifest_is_named_and_no_member_blamed(name: str) -> None:
    parts = pieces(made())
    bad = bytearray(parts[at(parts, name)][1])
    bad[512 + 30] ^= 1
    parts[at(parts, name)] = (name, bytes(bad))
    with pytest.raises(Damaged, match=name):
        read(put_together(parts))


def test_a_file_cut_off_anywhere_is_refused() -> None:
    whole = made()
    for end in range(0, len(whole), 173):
        with pytest.raises(CutOff, match="cut off"):
            read(whole[:end])


def test_where_a_file_ends_too_early_is_told() -> None:
    parts = pieces(made())
    end = sum(len(part) for _, part in parts[: at(parts, "rows/006.jsonl")]) + 512 + 77
    with pytest.raises(
        CutOff, match=r"ends in rows/006.jsonl, after 77 of 1800 bytes; 6 members came before"
    ):
        read(made()[:end])


def test_nothing_may_follow_the_end() -> None:
    with pytest.raises(Damaged, match="something follows its end"):
        read(made() + b"\0")


def test_a_file_of_many_members_is_proved_a_thousand_at_a_time(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(container, "LINES_A_PART", 3)
    assert len(read(made())) == 9
    parts = [part for part in pieces(made()) if part[0] != "manifest/000002.jsonl"]
    with pytest.raises(Damaged, match=r"manifest/000002.jsonl is missing"):
        read(put_together(parts))
    names = [name for name, _ in pieces(made())]
    assert names.count("manifest/000003.jsonl") == 1


def test_a_random_file_is_no_backup_and_no_crash() -> None:
    drawn = random.Random(6)
    for size in (0, 1, 511, 512, 513, 5000):
        with pytest.raises(Damaged):
            read(drawn.randbytes(size))


def test_a_member_that_claims_too_much_costs_no_memory() -> None:
    head = tarfile.TarInfo("ABOUT.json")
    head.size, head.mode = 7 << 30, 0o600
    with pytest.raises(Damaged, match="more than any member has"):
        read(head.tobuf(tarfile.USTAR_FORMAT))


def test_the_seal_tells_one_backup_from_another() -> None:
    def seal(summary: int) -> str:
        writer = Writer(io.BytesIO(), {})
        return writer.close({"finds": summary})

    assert seal(1) != seal(2)
    assert len(seal(1)) == len(sha256(b"").hexdigest())


def test_verify_gives_each_member_once() -> None:
    seen: list[str] = []
    note: Callable[[container.Member], None] = lambda member: seen.append(member.name)  # noqa: E731
    container.verify(io.BytesIO(made()), "autumn.tar", note)
    assert seen == ["ABOUT.json", *MEMBERS]
