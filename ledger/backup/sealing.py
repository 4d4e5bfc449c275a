"""Sealing: a stream encrypted and authenticated in chunks, so that nothing is held whole and nothing goes unseen. Pure.

The key of a place is made from what the keeper keeps (a passphrase, or the bytes of a key file) by scrypt (RFC 7914);
each file has a key of its own from that by HKDF-SHA-256 (RFC 5869) over 32 random bytes. A file is a line that says
which format it is, a line of JSON with what is needed beside the secret, and chunks under AES-256-GCM. A chunk's nonce
is its number and a mark that says whether it is the last (the STREAM construction: Hoang, Reyhanitabar, Rogaway, Vizar,
"Online Authenticated-Encryption and its Nonce-Reuse Misuse-Resistance", 2015): a chunk that is altered, moved, left
out or cut off does not open. The head is bound to every chunk.

Without the secret nothing of a sealed file can ever be read, by anybody.
"""

import hmac
import json
import secrets
from collections.abc import Callable
from dataclasses import dataclass
from hashlib import sha256
from typing import Any, Protocol

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.ciphers.aead import AESGCM
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.kdf.hkdf import HKDF
from cryptography.hazmat.primitives.kdf.scrypt import Scrypt

from ledger.backup.errors import CutOff, Damaged, WrongKey

MAGIC = b"bracket-ledger sealed 1\n"
CHUNK_BYTES = 1 << 18
TAG_BYTES = 16
SALT_BYTES = 16
# 128 MB and some half a second for each try: what makes a short passphrase expensive to guess.
SCRYPT_N, SCRYPT_R, SCRYPT_P = 1 << 17, 8, 1
SHORTEST_SECRET = 12
_LONGEST_HEAD = 1000


class Source(Protocol):
    def read(self, size: int = -1, /) -> bytes: ...


class Sink(Protocol):
    def write(self, data: bytes, /) -> Any: ...


@dataclass(frozen=True, slots=True)
class Costs:
    """What scrypt takes: n, r, p as in RFC 7914."""

    n: int = SCRYPT_N
    r: int = SCRYPT_R
    p: int = SCRYPT_P

    @property
    def bearable(self) -> bool:
        """Whether a file may ask for this: a damaged head must not cost all memory."""
        return 1 < self.n <= 1 << 20 and self.n & (self.n - 1) == 0 and 0 < self.r <= 16 and 0 < self.p <= 4


class Key:
    """The keeper's secret. What is made of it is kept, since making it is slow on purpose."""

    def __init__(self, secret: bytes, costs: Costs | None = None) -> None:
        if len(secret) < SHORTEST_SECRET:
            raise WrongKey(
                f"The key of the backups has {len(secret)} signs; whoever finds a backup could guess it. "
                f"Choose one of at least {SHORTEST_SECRET}; five or more words are good. Nothing was written."
            )
        self._secret, self.costs = secret, costs or Costs()
        self._masters: dict[tuple[bytes, Costs], bytes] = {}

    def master(self, salt: bytes, costs: Costs) -> bytes:
        known = (salt, costs)
        if known not in self._masters:
            made = Scrypt(salt=salt, length=32, n=costs.n, r=costs.r, p=costs.p)
            self._masters[known] = made.derive(self._secret)
        return self._masters[known]

    def check(self, salt: bytes, costs: Costs) -> str:
        """What tells a wrong key from a damaged file; it costs as much to guess from as the file itself."""
        return _derived(self.master(salt, costs), b"bracket-ledger check")[:16].hex()

    def file_key(self, salt: bytes, costs: Costs, file_salt: bytes) -> bytes:
        return _derived(self.master(salt, costs), b"bracket-ledger file", file_salt)

    def name_of(self, salt: bytes, digest: str) -> str:
        """Under which name an original lies sealed: its digest alone would tell whoever has the same photo."""
        named_by = _derived(self.master(salt, self.costs), b"bracket-ledger names")
        return hmac.new(named_by, digest.encode(), sha256).hexdigest()


def _derived(master: bytes, purpose: bytes, salt: bytes | None = None) -> bytes:
    return HKDF(algorithm=SHA256(), length=32, salt=salt, info=purpose).derive(master)


def _head(key: Key, salt: bytes, file_salt: bytes) -> bytes:
    said = {
        "check": key.check(salt, key.costs),
        "chunk": CHUNK_BYTES,
        "file_salt": file_salt.hex(),
        "n": key.costs.n,
        "p": key.costs.p,
        "r": key.costs.r,
        "salt": salt.hex(),
    }
    return MAGIC + json.dumps(said, sort_keys=True, separators=(",", ":")).encode() + b"\n"


def sealed_size(plain_bytes: int, costs: Costs) -> int:
    """How many bytes a sealed file of so many plain ones has."""
    signs = 2 * (16 + SALT_BYTES + 32)
    said = {
        "check": "",
        "chunk": CHUNK_BYTES,
        "file_salt": "",
        "n": costs.n,
        "p": costs.p,
        "r": costs.r,
        "salt": "",
    }
    head = len(MAGIC) + len(json.dumps(said, separators=(",", ":"))) + 1 + signs
    return head + plain_bytes + TAG_BYTES * max(1, -(-plain_bytes // CHUNK_BYTES))


def _nonce(number: int, last: bool) -> bytes:
    return number.to_bytes(11, "big") + (b"\x01" if last else b"\x00")


class Sealer:
    """Write into it, then `close()`: only then the file has an end."""

    def __init__(
        self, out: Sink, key: Key, salt: bytes, random: Callable[[int], bytes] = secrets.token_bytes
    ) -> None:
        file_salt = random(32)
        head = _head(key, salt, file_salt)
        self._out, self._bound = out, sha256(head).digest()
        self._box = AESGCM(key.file_key(salt, key.costs, file_salt))
        self._number, self._waiting = 0, bytearray()
        out.write(head)

    def write(self, data: bytes) -> int:
        self._waiting += data
        while len(self._waiting) > CHUNK_BYTES:  # a full one waits: it may be the last
            self._send(bytes(self._waiting[:CHUNK_BYTES]), last=False)
            del self._waiting[:CHUNK_BYTES]
        return len(data)

    def close(self) -> None:
        self._send(bytes(self._waiting), last=True)

    def _send(self, chunk: bytes, *, last: bool) -> None:
        self._out.write(self._box.encrypt(_nonce(self._number, last), chunk, self._bound))
        self._number += 1


class Unsealer:
    """Reads what a Sealer wrote. WrongKey, Damaged or CutOff as soon as that shows; never a byte that is not proved."""

    def __init__(self, source: Source, key: Key | None) -> None:
        self._source = source
        if _line(source) != MAGIC:
            raise Damaged("its first line is damaged, or of a format this program does not know")
        head = MAGIC + _line(source)
        salt, costs, file_salt, check, self._chunk = _read_head(head[len(MAGIC) :])
        if key is None:
            raise WrongKey(
                "The file is sealed and no key is set. Set the key it was sealed with "
                "(LEDGER_BACKUP_KEY_FILE or LEDGER_BACKUP_PASSPHRASE); without it nothing of the file can be read."
            )
        if not hmac.compare_digest(key.check(salt, costs), check):
            raise WrongKey(
                "The key that is set is not the one this file was sealed with, or the file's first line is damaged. "
                "Set the key of that time; without it nothing of the file can be read."
            )
        self._bound = sha256(head).digest()
        self._box = AESGCM(key.file_key(salt, costs, file_salt))
        self._number, self._ready, self._ended = 0, b"", False
        self._ahead = source.read(self._chunk + TAG_BYTES)

    def read(self, size: int = -1) -> bytes:
        parts, wanted = [], size
        while wanted != 0 and (self._ready or self._next()):
            part = self._ready if wanted < 0 else self._ready[:wanted]
            self._ready = self._ready[len(part) :]
            parts.append(part)
            wanted = wanted if wanted < 0 else wanted - len(part)
        return b"".join(parts)

    def _next(self) -> bool:
        if self._ended:
            return False
        chunk = _fill(self._source, self._ahead, self._chunk + TAG_BYTES)
        self._ahead = self._source.read(1) if len(chunk) == self._chunk + TAG_BYTES else b""
        last = not self._ahead
        self._ready = self._opened(chunk, last)
        self._number += 1
        self._ended = last
        return bool(self._ready)

    def _opened(self, chunk: bytes, last: bool) -> bytes:
        try:
            return self._box.decrypt(_nonce(self._number, last), chunk, self._bound)
        except InvalidTag:
            pass
        try:
            self._box.decrypt(_nonce(self._number, not last), chunk, self._bound)
        except InvalidTag:
            where = f"chunk {self._number + 1} (bytes {self._number * (self._chunk + TAG_BYTES)} on, after its head)"
            if last and len(chunk) < self._chunk + TAG_BYTES:
                raise Damaged(f"{where} is cut off or damaged") from None
            raise Damaged(f"{where} is damaged") from None
        if last:
            raise CutOff(f"it ends after chunk {self._number + 1}, before its end")
        raise Damaged(f"something follows its last chunk ({self._number + 1})")


def _fill(source: Source, begun: bytes, wanted: int) -> bytes:
    """A socket gives less than was asked for; a chunk is read until it is whole or nothing follows."""
    parts, have = [begun], len(begun)
    while have < wanted and (more := source.read(wanted - have)):
        parts.append(more)
        have += len(more)
    return b"".join(parts)


def _line(source: Source) -> bytes:
    line = bytearray()
    while not line.endswith(b"\n"):
        sign = source.read(1)
        if not sign:
            raise CutOff("its first lines are cut off")
        line += sign
        if len(line) > _LONGEST_HEAD:
            raise Damaged("its first lines are damaged")
    return bytes(line)


def _read_head(line: bytes) -> tuple[bytes, Costs, bytes, str, int]:
    try:
        said = json.loads(line)
        costs = Costs(int(said["n"]), int(said["r"]), int(said["p"]))
        salt, file_salt = bytes.fromhex(said["salt"]), bytes.fromhex(said["file_salt"])
        check, chunk = str(said["check"]), int(said["chunk"])
    except (ValueError, KeyError, TypeError):
        raise Damaged("its first lines are damaged") from None
    if not costs.bearable or chunk != CHUNK_BYTES or not check.isascii():
        raise Damaged("its first lines are damaged, or of a format this program does not know")
    return salt, costs, file_salt, check, chunk


def sealed(data: bytes, key: Key, salt: bytes) -> bytes:
    """A small file sealed at once."""
    out = bytearray()

    class Into:
        def write(self, part: bytes) -> None:
            out.extend(part)

    sealer = Sealer(Into(), key, salt)
    sealer.write(data)
    sealer.close()
    return bytes(out)
