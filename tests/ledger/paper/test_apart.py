"""Typesetting in a process of its own: the same bytes, and a sentence where none come."""

import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest

from ledger.paper.apart import pdf_apart
from ledger.paper.text import PaperError
from ledger.paper.typesetting import Typeset

NOW = datetime(2026, 11, 2, 19, 30, tzinfo=UTC)
TEMPLATES = {
    "plain.typ": b"""#let run = json("run.json")
#set document(title: "A title", date: auto)
#set text(font: "Noto Serif", lang: "en")
#run.words"""
}
DATA = {"words": "Ελένη under the oak"}


def test_the_bytes_are_those_of_a_print_made_here() -> None:
    apart = pdf_apart(TEMPLATES, "plain.typ", DATA, NOW)
    assert apart == Typeset(TEMPLATES, "plain.typ", DATA).pdf(NOW)


@pytest.mark.parametrize("ends", ["#!/no/such/program\n", "#!/bin/sh\nkill -9 $$\n"])
def test_a_machine_without_room_for_it_says_so_and_what_to_do(
    ends: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    program = tmp_path / "python"
    program.write_text(ends)
    program.chmod(0o755)
    monkeypatch.setattr(sys, "executable", str(program))
    with pytest.raises(PaperError, match="no room or no time for it now"):
        pdf_apart(TEMPLATES, "plain.typ", DATA, NOW)


def test_a_template_that_is_wrong_is_no_trouble_of_the_paper() -> None:
    with pytest.raises(RuntimeError, match="unclosed"):
        pdf_apart({"plain.typ": b"#let x = ("}, "plain.typ", DATA, NOW)


def test_a_moment_without_zone_is_refused_before_anything_is_begun() -> None:
    with pytest.raises(PaperError, match="no time zone"):
        pdf_apart(TEMPLATES, "plain.typ", DATA, NOW.replace(tzinfo=None))
