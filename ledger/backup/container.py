"""The one file of a backup: a plain tar that proves itself. Pure.

Any tar program opens it. Members stand in this order: `ABOUT.json`, what was put in, after each thousand of them a
`manifest/NNNNNN.jsonl`, and at the end `MANIFEST.json` and `SEAL.txt`. A line of a manifest is a member's name, its
bytes, its SHA-256 (FIPS 180-4) and the chain: SHA-256 over the chain before and these three. So a member that is
altered, taken out, put in, or that stands in another's place is found and named, and a file that was cut off has no end.
Nothing is held whole but one member.

Headers are those of POSIX ustar (IEEE Std 1003.1-1988), each field as this writer writes it and no other way: a bit
that is turned in one of them is seen as well. Against somebody who writes a whole file anew stands sealing alone.
"""

import json
import tarfile
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from hashlib import sha256
from typing import Any

from ledger.backup.errors import BackupError, CutOff, Damaged
from ledger.backup.sealing import Sink, Source

FORMAT = "bracket-ledger backup 1"
BEGINNING = "0" * 64
LINES_A_PART = 1000
LARGEST_MEMBER = 1 << 30
_BLOCK = 512
ABOUT, LAST, SEAL = "ABOUT.json", "MANIFEST.json", "SEAL.txt"


@dataclass(frozen=True, slots=True)
class Line:
    """What a manifest says of a member."""

    name: str
    size: int
    digest: str

    def chained(self, before: str) -> str:
        return sha256(f"{before}\n{self.name}\n{self.size}\n{self.digest}".encode()).hexdigest()


def _json(value: Mapping[str, Any]) -> bytes:
    return json.dumps(value, sort_keys=True, ensure_ascii=False).encode() + b"\n"


def _header(name: str, size: int) -> bytes:
    info = tarfile.TarInfo(name)
    info.size, info.mode = size, 0o600
    return info.tobuf(tarfile.USTAR_FORMAT, "utf-8", "strict")


class Writer:
    """`add` members, then `close` with what stands in the last manifest. Without that the file is none."""

    def __init__(self, out: Sink, about: Mapping[str, Any]) -> None:
        self._out, self._lines, self._chain = out, list[Line](), BEGINNING
        self._members, self._parts = 0, 0
        self.add(ABOUT, _json({"format": FORMAT, **about}))

    def add(self, name: str, data: bytes) -> None:
        self._put(name, data)
        self._note(name, data)
        if len(self._lines) >= LINES_A_PART:
            self._part()

    def close(self, summary: Mapping[str, Any]) -> str:
        """End the file; return the digest of all of it, by which it can be told from any other."""
        if self._lines:
            self._part()
        last = _json({**summary, "members": self._members, "parts": self._parts, "chain": self._chain})
        self._put(LAST, last)
        seal = sha256(last).hexdigest()
        self._put(SEAL, f"{seal}\n".encode())
        self._out.write(bytes(2 * _BLOCK))
        return seal

    def _put(self, name: str, data: bytes) -> None:
        self._out.write(_header(name, len(data)))
        self._out.write(data)
        self._out.write(bytes(-len(data) % _BLOCK))

    def _note(self, name: str, data: bytes) -> None:
        self._lines.append(Line(name, len(data), sha256(data).hexdigest()))
        self._members += 1

    def _part(self) -> None:
        self._parts += 1
        told = []
        for line in self._lines:
            self._chain = line.chained(self._chain)
            told.append(
                _json({"name": line.name, "bytes": line.size, "sha256": line.digest, "chain": self._chain})
            )
        text = b"".join(told)
        self._put(_part_name(self._parts), text + _json({"this": sha256(text).hexdigest()}))
        self._lines = []


def _part_name(number: int) -> str:
    return f"manifest/{number:06d}.jsonl"


@dataclass(frozen=True, slots=True)
class Member:
    name: str
    data: bytes


@dataclass(slots=True)
class Read:
    """What is known once a file was read to its end and proved."""

    about: dict[str, Any] = field(default_factory=dict)
    summary: dict[str, Any] = field(default_factory=dict)
    seal: str = ""


class Reader:
    """Go through `members()` to the end: only then, without Damaged, every member was as it was written.

    `named` is how messages call the file. `result` is filled on the way: `about` after the first member.
    """

    def __init__(self, source: Source, named: str) -> None:
        self._source, self._named = source, named
        self._lines, self._chain = list[Line](), BEGINNING
        self._members, self._parts, self._before = 0, 0, ""
        self.result = Read()

    def members(self) -> Iterator[Member]:
        """Each member as it was read. It is proved only when the thousand it stands in has been."""
        while True:
            name, data = self._next()
            if name.startswith("manifest/"):
                self._hold_against(name, data)
            elif name == LAST:
                self._end(data)
                return
            else:
                if not self._members:
                    self.result.about = self._about(name, data)
                self._lines.append(Line(name, len(data), sha256(data).hexdigest()))
                self._members += 1
                if len(self._lines) > LINES_A_PART:
                    raise self._damaged(f"{_part_name(self._parts + 1)} is missing")
                yield Member(name, data)

    def about(self) -> dict[str, Any]:
        """Read no more than the first member. Not proved, unless the file is sealed."""
        name, data = self._next()
        return self._about(name, data)

    def _about(self, name: str, data: bytes) -> dict[str, Any]:
        if name != ABOUT:
            raise self._damaged(f"{ABOUT} is missing: {name} stands in its place")
        try:
            about: dict[str, Any] = json.loads(data)
        except ValueError:
            raise self._damaged(f"{ABOUT} is damaged") from None
        if not isinstance(about, dict) or about.get("format") != FORMAT:
            raise self._damaged(f"{ABOUT} is damaged, or of a format this program does not know")
        return about

    def _next(self) -> tuple[str, bytes]:
        head = self._exactly(_BLOCK, f"the head of the member {self._after()}")
        if not any(head):
            raise CutOff(self._sentence(f"the members end {self._after()}; {LAST} is missing"))
        name, size = self._head(head)
        self._before, before = name, self._before
        try:
            data = self._exactly(size, name)
            padding = self._exactly(-size % _BLOCK, f"the padding of {name}")
        except Damaged:
            self._before = before
            raise
        if any(padding):
            raise self._damaged(f"the padding of {name} is damaged")
        return name, data

    def _head(self, head: bytes) -> tuple[str, int]:
        try:
            info = tarfile.TarInfo.frombuf(head, "utf-8", "strict")
            same = head == _header(info.name, info.size)
        except (tarfile.HeaderError, ValueError, UnicodeError):
            same = False
        if not same:
            raise self._damaged(f"the head of the member {self._after()} is damaged")
        if info.size > LARGEST_MEMBER:
            raise self._damaged(f"{info.name} claims {info.size} bytes, more than any member has")
        return info.name, info.size

    def _exactly(self, wanted: int, what: str) -> bytes:
        parts, have = [], 0
        try:
            while have < wanted and (part := self._source.read(wanted - have)):
                parts.append(part)
                have += len(part)
        except CutOff as problem:
            raise CutOff(self._sentence(f"{what} cannot be read: {problem}")) from None
        except Damaged as problem:
            raise self._damaged(f"{what} cannot be read: {problem}") from None
        if have < wanted:
            raise CutOff(
                self._sentence(
                    f"it ends in {what}, after {have} of {wanted} bytes; {self._members} members came before"
                )
            )
        return b"".join(parts)

    def _hold_against(self, name: str, data: bytes) -> None:
        self._parts += 1
        if name != _part_name(self._parts):
            raise self._damaged(f"{_part_name(self._parts)} is missing: {name} stands in its place")
        lines = self._told(name, data)
        if trouble := _difference(lines, self._lines):
            raise self._damaged(trouble)
        self._lines = []

    def _told(self, name: str, data: bytes) -> list[Line]:
        text, _, own = data.removesuffix(b"\n").rpartition(b"\n")
        lines = []
        try:
            if json.loads(own) != {"this": sha256(text + b"\n").hexdigest()}:
                raise ValueError
            for row in map(json.loads, text.split(b"\n")):
                line = Line(row["name"], row["bytes"], row["sha256"])
                self._chain = line.chained(self._chain)
                if row["chain"] != self._chain:
                    raise self._damaged(f"the chain breaks at {line.name}: {name} is not of this file")
                lines.append(line)
        except BackupError:
            raise
        except (ValueError, KeyError, TypeError):
            raise self._damaged(f"{name} is damaged") from None
        return lines

    def _end(self, data: bytes) -> None:
        seal_name, seal = self._next()
        digest = sha256(data).hexdigest()
        if seal_name != SEAL:
            raise self._damaged(f"{SEAL} is missing: {seal_name} stands in its place")
        if seal != f"{digest}\n".encode():
            raise self._damaged(f"{LAST} or {SEAL} is damaged: they do not fit each other")
        summary: dict[str, Any] = json.loads(data)
        if self._lines:
            raise self._damaged(f"{_part_name(self._parts + 1)} is missing")
        if (
            summary["parts"] != self._parts
            or summary["members"] != self._members
            or summary["chain"] != self._chain
        ):
            raise self._damaged(
                f"the chain breaks at {LAST}: it tells of {summary['members']} members, and {self._members} are there"
            )
        if any(self._exactly(2 * _BLOCK, "its end")) or self._source.read(1):
            raise self._damaged("something follows its end")
        self.result.summary, self.result.seal = summary, digest

    def _after(self) -> str:
        return f"after {self._before}" if self._before else "at its beginning"

    def _sentence(self, trouble: str) -> str:
        return f"{self._named} is cut off: {trouble}. It cannot be restored; take another backup."

    def _damaged(self, trouble: str) -> Damaged:
        return Damaged(f"{self._named} is damaged: {trouble}. It cannot be restored; take another backup.")


def _difference(told: list[Line], read: list[Line]) -> str:
    """The first member that is not as the manifest has it, in a sentence without its end; empty where all are."""
    names_read, names_told = {line.name for line in read}, {line.name for line in told}
    for place, line in enumerate(told):
        there = read[place] if place < len(read) else None
        if there == line:
            continue
        if line.name not in names_read:
            return f"{line.name} is missing"
        if there is None or there.name == line.name:
            return f"{line.name} is not as it was written"
        if there.name not in names_told:
            return f"{there.name} does not belong to it"
        return f"{there.name} stands where {line.name} should"
    return f"{read[len(told)].name} does not belong to it" if len(read) > len(told) else ""


def verify(source: Source, named: str, each: Callable[[Member], None] | None = None) -> Read:
    """Read a file to its end and prove it."""
    reader = Reader(source, named)
    for member in reader.members():
        if each is not None:
            each(member)
    return reader.result
