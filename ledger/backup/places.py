"""Where backups lie: a folder, or a bucket of a store that speaks S3. What lies there under a name lies there whole."""

import io
import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Any, Protocol

import boto3
from botocore.config import Config
from botocore.exceptions import BotoCoreError, ClientError

from ledger.backup.errors import Unusable
from ledger.starting import photo_store_from

# What was being written when the power went: no backup, whatever it holds.
HALF = ".part"


class Place(Protocol):
    """Names have `/` between folders. `words` is how people are told of it: without key and secret."""

    words: str

    def sizes(self, under: str) -> Iterator[tuple[str, int]]:
        """Names and bytes of all that lies under a folder; of "" only what lies in no folder."""
        ...

    def open(self, name: str) -> IO[bytes]:
        """FileNotFoundError where nothing lies under that name."""
        ...

    def put(self, name: str, data: bytes) -> None: ...

    def write(self, name: str, fill: Callable[[IO[bytes]], None], prove: Callable[[IO[bytes]], None]) -> None:
        """Have a file filled, read back and proved; only then it lies there under its name."""
        ...

    def remove(self, name: str) -> None: ...


@contextmanager
def told(words: str, doing: str) -> Iterator[None]:
    """What the system says of a disk or a store, as a sentence."""
    try:
        yield
    except FileNotFoundError:
        raise
    except Unusable:
        raise
    except OSError as problem:
        raise Unusable(
            f"{words} could not be {doing}: {problem.strerror or problem}. What was begun there was taken away again; "
            "earlier backups are as they were. Make room, or name another place."
        ) from problem
    except (BotoCoreError, ClientError) as problem:
        raise Unusable(
            f"{words} could not be {doing}: {problem}. Earlier backups are as they were. "
            "Look whether the store answers and whether key, secret and bucket are right."
        ) from problem


class Folder:
    def __init__(self, path: Path) -> None:
        self.path, self.words = path, str(path)

    def sizes(self, under: str) -> Iterator[tuple[str, int]]:
        folder = self.path / under
        if not folder.exists():
            return
        with told(self.words, "read"):
            for file in sorted(folder.glob("*") if not under else folder.rglob("*")):
                if file.is_file() and not file.name.endswith(HALF):
                    yield file.relative_to(self.path).as_posix(), file.stat().st_size

    def open(self, name: str) -> IO[bytes]:
        with told(self.words, "read"):
            return (self.path / name).open("rb")

    def put(self, name: str, data: bytes) -> None:
        self.write(name, lambda file: _write(file, data), lambda file: None)

    def write(self, name: str, fill: Callable[[IO[bytes]], None], prove: Callable[[IO[bytes]], None]) -> None:
        path = self.path / name
        half = path.with_name(f".{path.name}{HALF}")
        with told(self.words, "written"):
            path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            try:
                with open_new(half) as file:
                    fill(file)
                    file.flush()
                    os.fsync(file.fileno())
                with half.open("rb") as file:
                    prove(file)
                half.replace(path)
            except BaseException:
                half.unlink(missing_ok=True)
                raise
            sync_folder(path.parent)

    def remove(self, name: str) -> None:
        with told(self.words, "tidied"):
            (self.path / name).unlink(missing_ok=True)

    def sweep(self) -> int:
        """Take away what earlier runs that were killed left half written. Only while no other run goes on."""
        halves = list(self.path.rglob(f".*{HALF}"))
        with told(self.words, "tidied"):
            for half in halves:
                half.unlink(missing_ok=True)
        return len(halves)


class Bucket:
    """`entry` is what `photo_store_from` makes of an address; files are made in `scratch` first, and proved there."""

    def __init__(self, entry: dict[str, Any], scratch: Path) -> None:
        asked = entry["OPTIONS"]
        self._bucket = boto3.resource(
            "s3",
            endpoint_url=asked["endpoint_url"],
            aws_access_key_id=asked["access_key"],
            aws_secret_access_key=asked["secret_key"],
            region_name=asked["region_name"],
            config=Config(retries={"mode": "standard", "total_max_attempts": 5}),
        ).Bucket(asked["bucket_name"])
        self._front = f"{asked['location'].strip('/')}/" if asked["location"] else ""
        self._scratch = Folder(scratch)
        self.words = f"{asked['endpoint_url']}/{asked['bucket_name']}/{self._front}".rstrip("/")

    def sizes(self, under: str) -> Iterator[tuple[str, int]]:
        front = f"{self._front}{under}/" if under else self._front
        with told(self.words, "read"):
            pages = self._bucket.meta.client.get_paginator("list_objects_v2").paginate(
                Bucket=self._bucket.name, Prefix=front, **({} if under else {"Delimiter": "/"})
            )
            for page in pages:
                for there in page.get("Contents", []):
                    yield there["Key"].removeprefix(self._front), there["Size"]

    def open(self, name: str) -> IO[bytes]:
        with told(self.words, "read"):
            try:
                body: IO[bytes] = self._bucket.Object(self._front + name).get()["Body"]
            except ClientError as problem:
                if problem.response.get("Error", {}).get("Code") in ("NoSuchKey", "404"):
                    raise FileNotFoundError(f"{self.words}/{name} is not there") from None
                raise
            return body

    def put(self, name: str, data: bytes) -> None:
        with told(self.words, "written"):
            self._bucket.put_object(Key=self._front + name, Body=data)

    def write(self, name: str, fill: Callable[[IO[bytes]], None], prove: Callable[[IO[bytes]], None]) -> None:
        self._scratch.write(name, fill, prove)
        here = self._scratch.path / name
        try:
            with told(self.words, "written"):
                # A store shows an object when it has all of it, and not before.
                self._bucket.upload_file(str(here), self._front + name)
            try:
                with self.open(name) as there:
                    prove(there)
            except BaseException:
                self.remove(name)
                raise
        finally:
            here.unlink(missing_ok=True)

    def remove(self, name: str) -> None:
        with told(self.words, "tidied"):
            self._bucket.Object(self._front + name).delete()

    def sweep(self) -> int:
        swept = self._scratch.sweep()
        for name, _ in list(self._scratch.sizes("")):
            self._scratch.remove(name)
            swept += 1
        return swept


def place_from(text: str, scratch: Path, named: str = "LEDGER_BACKUPS") -> Folder | Bucket:
    """The place that `text` names: a folder, or `s3://KEY:SECRET@HOST/BUCKET/FOLDER`. BadSetting for a bad address."""
    entry = photo_store_from(text, named)
    return Bucket(entry, scratch) if entry else Folder(Path(text).expanduser().resolve())


def open_new(path: Path) -> IO[bytes]:
    """A new file for its owner's eyes only; a half of that name is begun anew."""
    return io.BufferedWriter(
        io.FileIO(
            os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC | os.O_NOFOLLOW, 0o600), "w", closefd=True
        ),
        buffer_size=1 << 18,
    )


def sync_folder(path: Path) -> None:
    """A name survives a power cut once its folder is on the disk."""
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _write(file: IO[bytes], data: bytes) -> None:
    file.write(data)
