"""The documents tell of files, commands and addresses that are there."""

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
DOCUMENTS = ("README.md", "DEVELOPERS.md", "CHANGELOG.md")


@pytest.mark.parametrize("name", DOCUMENTS)
def test_every_link_and_picture_leads_somewhere(name: str) -> None:
    text = (ROOT / name).read_text()
    lost = [
        target
        for target in re.findall(r"\]\(([^)#]+)\)", text)
        if not target.startswith("http") and not (ROOT / target).exists()
    ]
    assert lost == []


def test_the_readme_shows_pictures_and_says_what_the_ledger_is_not() -> None:
    text = (ROOT / "README.md").read_text()
    assert len(re.findall(r"!\[[^\]]+\]\(", text)) >= 3
    assert "no guide to eating" in text
    assert "PICTURES" not in text


def test_every_file_a_recipe_names_is_there() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text()
    named = set(re.findall(r"`((?:ledger|vouchers|fixtures|tests|static|templates|\.ci)/[\w./-]+)`", text))
    assert named
    assert [name for name in sorted(named) if not (ROOT / name).exists()] == []


def test_every_make_target_the_documents_name_is_there() -> None:
    targets = set(re.findall(r"^([a-z-]+):", (ROOT / "Makefile").read_text(), re.MULTILINE))
    named = {
        name
        for document in DOCUMENTS
        for name in re.findall(r"\bmake ([a-z-]+)", (ROOT / document).read_text())
    }
    known_words = {"run", "demo", "test", "check", "setup", "bench", "browser", "format", "test-postgres"}
    assert named & known_words <= targets
    assert known_words <= targets


def test_every_command_the_documents_name_is_there() -> None:
    folders = [ROOT / app / "management" / "commands" for app in ("ledger", "vouchers")]
    there = {path.stem for folder in folders if folder.exists() for path in folder.glob("*.py")} | {
        "makemigrations"
    }
    named = {
        name
        for document in DOCUMENTS
        for name in re.findall(r"manage\.py (\w+)", (ROOT / document).read_text())
    }
    assert named <= there
