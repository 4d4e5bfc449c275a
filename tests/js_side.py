"""The rules in JavaScript, run by Node in one long-lived process that a test can ask."""

import json
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest
from hypothesis import strategies as st

from ledger.traits.phone_pack import pack, pack_bytes
from ledger.traits.reference import Reference

# Characters that the Unicode of Python and that of a browser both know; halves of pairs are no text.
KNOWN = st.characters(exclude_categories=["Cn", "Cs"])
ROOT = Path(__file__).resolve().parents[1]


class SaidError(Exception):
    """What JavaScript refused with a sentence; `readings` are the ways it could be read, if it said any."""

    def __init__(self, message: str, readings: tuple[str, ...]) -> None:
        super().__init__(message)
        self.readings = readings


class Node:
    """One Node process that answers a line of JSON with a line of JSON.

    Lines are ASCII, so that no newline of Unicode parts them. With a `language` it has the words of that one, as a page has.
    """

    def __init__(self, script: str, *, language: str = "") -> None:
        node = shutil.which("node")
        if node is None:
            pytest.fail(
                "Node is not installed, and the rules of the phone are tested in it. Run: apt-get install nodejs "
                "(or `make node`)."
            )
        self.process = subprocess.Popen(
            [node, *_words(language), ROOT / "tests" / "js" / script],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            encoding="utf-8",
        )

    def send(self, message: Any) -> None:
        assert self.process.stdin is not None
        self.process.stdin.write(json.dumps(message) + "\n")
        self.process.stdin.flush()

    def receive(self) -> Any:
        assert self.process.stdout is not None
        line = self.process.stdout.readline()
        assert line, "Node ended before it answered"
        return json.loads(line)

    def close(self) -> None:
        assert self.process.stdin is not None and self.process.stdout is not None
        self.process.stdin.close()
        self.process.wait(timeout=10)
        self.process.stdout.close()


def _words(language: str) -> list[str]:
    return ["--require", str(ROOT / "static" / "words" / f"{language}.js")] if language else []


class JsSide(Node):
    """Single functions, by name."""

    def ask(self, call: str, *args: Any) -> Any:
        """The answer as JSON gives it; SaidError where it was refused, AssertionError where the code broke."""
        self.send({"call": call, "args": args})
        answer = self.receive()
        assert "crash" not in answer, f"{call}{args!r}: {answer['crash']}"
        if "error" in answer:
            raise SaidError(answer["error"], tuple(answer["readings"]))
        return answer["said"]


class CheckSide(Node):
    """The whole check: `load` a reference, then `send` lists of specimens and `receive` lists of results."""

    def __init__(self, *, language: str = "") -> None:
        super().__init__("run_check.mjs", language=language)

    def load(self, reference: Reference, *, ready: bool = False) -> str:
        """Hand the reference over as the phone gets it, its tables made ready or not; the digest it was read under."""
        self.send({"pack": json.loads(pack_bytes(pack(reference))), "ready": ready})
        return str(self.receive())
