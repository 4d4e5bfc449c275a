"""A zip file written as a stream: pieces go out while rows come in, and several files in it grow at the same time. Pure.

The first file is packed straight into the stream. The others are packed beside it into temporary files and follow at
the end, so that all tables of an archive can be filled in one pass over the finds and memory stays the same however
many there are. Packing is done by a thread of its own while the next rows are made (zlib lets others run meanwhile); it
is one `live` behind at most, so that no more than that waits in memory. After PKWARE's APPNOTE 6.3.3: sizes behind the
data of the first file, Zip64 throughout where sizes are not known before.
"""

import struct
import tempfile
import zlib
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from typing import IO

_LEVEL = 6  # as zipfile packs
_MEMORY = 1 << 20  # of a temporary file, before it goes to the disk
_PIECE = 1 << 18
_STORED, _DEFLATED = 0, 8
_UTF_8, _SIZES_BEHIND = 0x800, 0x8
_VERSION = 45  # Zip64
_MOST = 0xFFFFFFFF


@dataclass(slots=True)
class _Entry:
    name: bytes
    way: int
    flags: int
    crc: int
    packed: int
    size: int
    at: int


class ZipPart:
    """One file of the zip while it grows. `write` bytes as they come; it counts them and hashes them."""

    def __init__(self, name: str, *, store: bool = False) -> None:
        self.name, self.size, self.crc = name, 0, 0
        self.is_stored = store
        self._digest = sha256()
        self._packer = None if store else zlib.compressobj(_LEVEL, zlib.DEFLATED, -15)

    def packed(self, data: bytes) -> bytes:
        self.size += len(data)
        self.crc = zlib.crc32(data, self.crc)
        self._digest.update(data)
        return data if self._packer is None else self._packer.compress(data)

    def rest(self) -> bytes:
        return b"" if self._packer is None else self._packer.flush()

    @property
    def sha256(self) -> str:
        return self._digest.hexdigest()


class _Beside:
    """A part that is packed into a temporary file until its turn comes."""

    def __init__(self, name: str) -> None:
        self.part = ZipPart(name)
        self.file: IO[bytes] = tempfile.SpooledTemporaryFile(_MEMORY)  # noqa: SIM115 closed by `taken`

    def add(self, data: bytes) -> bytes:
        """Nothing of it goes out yet."""
        self.file.write(self.part.packed(data))
        return b""


class ZipStream:
    """Use: `begin` the live file, `beside` bytes of others, `live` its bytes, `close_live`, `follow`, `end`; each gives
    pieces to be sent. `close` it in any case.

    Whole files (`whole`) can go in before and after. Names are paths with slashes; none may come twice.
    """

    def __init__(self, made_at: datetime) -> None:
        day = ((max(made_at.year, 1980) - 1980) << 9) | (made_at.month << 5) | made_at.day
        self._stamp = struct.pack(
            "<HH", (made_at.hour << 11) | (made_at.minute << 5) | made_at.second // 2, day
        )
        self._entries: list[_Entry] = []
        self._at = 0
        self._part: ZipPart | None = None
        self._began_at = 0
        self._packed = 0
        self._beside: dict[str, _Beside] = {}
        self._thread = ThreadPoolExecutor(1)
        self._given: list[Future[bytes]] = []  # since the last `live`
        self._waiting: list[Future[bytes]] = []  # of that one and before
        self.sums: dict[str, str] = {}

    @property
    def bytes_out(self) -> int:
        return self._at

    def whole(self, name: str, data: bytes, *, store: bool = False) -> bytes:
        """A file that is all there; `store` for what is packed already, such as a JPEG."""
        part = ZipPart(name, store=store)
        packed = part.packed(data) + part.rest()
        return self._out(self._head_of(part, len(packed)) + packed)

    def begin(self, name: str) -> bytes:
        self._part, self._began_at, self._packed = ZipPart(name), self._at, 0
        head = struct.pack("<4sHHH", b"PK\x03\x04", _VERSION, _UTF_8 | _SIZES_BEHIND, _DEFLATED) + self._stamp
        extra = struct.pack("<HHQQ", 1, 16, 0, 0)
        coded = name.encode()
        head += struct.pack("<LLLHH", 0, _MOST, _MOST, len(coded), len(extra)) + coded + extra
        return self._out(head)

    def live(self, data: bytes) -> bytes:
        """More of the live file; gives what has been packed of it before."""
        assert self._part is not None
        before = self._packed_so_far()
        self._pack(self._part.packed, data)
        self._given, self._waiting = [], self._given
        return self._live(before)

    def _pack(self, how: Callable[[bytes], bytes], data: bytes) -> None:
        self._given.append(self._thread.submit(how, data))

    def _packed_so_far(self) -> bytes:
        """Waits for the thread; what went wrong in it is raised here."""
        return b"".join([one.result() for one in self._waiting])

    def _live(self, packed: bytes) -> bytes:
        self._packed += len(packed)
        return self._out(packed)

    def close_live(self) -> bytes:
        part = self._part
        assert part is not None
        self._waiting += self._given
        last = self._live(self._packed_so_far() + part.rest())
        self._given, self._waiting = [], []
        self._noted(part, _UTF_8 | _SIZES_BEHIND, self._packed, self._began_at)
        self._part = None
        return last + self._out(struct.pack("<4sLQQ", b"PK\x07\x08", part.crc, self._packed, part.size))

    def beside(self, name: str, data: bytes) -> None:
        """Bytes of a file that will follow the live one."""
        if name not in self._beside:
            self._beside[name] = _Beside(name)
        self._pack(self._beside[name].add, data)

    def follow(self) -> Iterator[bytes]:
        """The files that grew beside, in the order of their first bytes."""
        for growing in self._beside.values():
            growing.file.write(growing.part.rest())
            length = growing.file.tell()
            yield self._out(self._head_of(growing.part, length))
            growing.file.seek(0)
            while piece := growing.file.read(_PIECE):
                yield self._out(piece)
            growing.file.close()
        self._beside = {}

    def close(self) -> None:
        """Let go of the thread, and of the temporary files where nobody waits for the rest."""
        self._thread.shutdown(cancel_futures=True)
        for growing in self._beside.values():
            growing.file.close()
        self._beside = {}

    def end(self) -> bytes:
        """The list of contents."""
        start = self._at
        listed = b"".join(self._listed(entry) for entry in self._entries)
        count = len(self._entries)
        end64 = struct.pack(
            "<4sQHHLLQQQQ", b"PK\x06\x06", 44, _VERSION, _VERSION, 0, 0, count, count, len(listed), start
        )
        where = struct.pack("<4sLQL", b"PK\x06\x07", 0, start + len(listed), 1)
        few = min(count, 0xFFFF)
        end = struct.pack(
            "<4sHHHHLLH", b"PK\x05\x06", 0, 0, few, few, min(len(listed), _MOST), min(start, _MOST), 0
        )
        needs_64 = count >= 0xFFFF or start >= _MOST or len(listed) >= _MOST
        return self._out(listed + (end64 + where if needs_64 else b"") + end)

    def _head_of(self, part: ZipPart, packed: int) -> bytes:
        """The head of a file whose sizes are known."""
        way = _STORED if part.is_stored else _DEFLATED
        coded = part.name.encode()
        is_large = max(part.size, packed) >= _MOST
        extra = struct.pack("<HHQQ", 1, 16, part.size, packed) if is_large else b""
        sizes = (_MOST, _MOST) if is_large else (packed, part.size)
        self._noted(part, _UTF_8, packed, self._at)
        head = struct.pack("<4sHHH", b"PK\x03\x04", _VERSION if is_large else 20, _UTF_8, way) + self._stamp
        return head + struct.pack("<LLLHH", part.crc, *sizes, len(coded), len(extra)) + coded + extra

    def _noted(self, part: ZipPart, flags: int, packed: int, at: int) -> None:
        way = _STORED if part.is_stored else _DEFLATED
        self._entries.append(_Entry(part.name.encode(), way, flags, part.crc, packed, part.size, at))
        self.sums[part.name] = part.sha256

    def _listed(self, entry: _Entry) -> bytes:
        large = [value for value in (entry.size, entry.packed, entry.at) if value >= _MOST]
        extra = struct.pack(f"<HH{len(large)}Q", 1, 8 * len(large), *large) if large else b""
        head = struct.pack("<4sHHHH", b"PK\x01\x02", _VERSION, _VERSION, entry.flags, entry.way) + self._stamp
        sizes = [min(value, _MOST) for value in (entry.packed, entry.size)]
        head += struct.pack(
            "<LLLHHHHHLL", entry.crc, *sizes, len(entry.name), len(extra), 0, 0, 0, 0, min(entry.at, _MOST)
        )
        return head + entry.name + extra

    def _out(self, data: bytes) -> bytes:
        self._at += len(data)
        return data
