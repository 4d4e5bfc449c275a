"""The rules in JavaScript, run by Node in one long-lived process that a test can ask."""

import json
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest
from hypothesis import strategies as st

# Characters that the Unicode of Python and that of a browser both know; halves of pairs are no text.
KNOWN = st.characters(exclude_categories=["Cn", "Cs"])
ROOT = Path(__file__).resolve().parents[1]


class SaidError(Exception):
    """What JavaScript refused with a sentence; `readings` are the ways it could be read, if it said any."""

    def __init__(self, message: str, readings: tuple[str, ...]) -> None:
        super().__init__(message)
        self.readings = readings


class JsSide:
    """One Node process. Lines are ASCII, so that no newline of Unicode parts them."""

    def __init__(self, script: str) -> None:
        node = shutil.which("node")
        if node is None:
            pytest.skip("Node is not installed; the rules of the phone cannot be run here")
        self.process = subprocess.Popen(
            [node, ROOT / "tests" / "js" / script],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            encoding="utf-8",
        )

    def ask(self, call: str, *args: Any) -> Any:
        """The answer as JSON gives it; SaidError where it was refused, AssertionError where the code broke."""
        assert self.process.stdin is not None and self.process.stdout is not None
        self.process.stdin.write(json.dumps({"call": call, "args": args}) + "\n")
        self.process.stdin.flush()
        line = self.process.stdout.readline()
        assert line, f"Node ended while {call} was asked"
        answer = json.loads(line)
        assert "crash" not in answer, f"{call}{args!r}: {answer['crash']}"
        if "error" in answer:
            raise SaidError(answer["error"], tuple(answer["readings"]))
        return answer["said"]

    def close(self) -> None:
        assert self.process.stdin is not None and self.process.stdout is not None
        self.process.stdin.close()
        self.process.wait(timeout=10)
        self.process.stdout.close()
