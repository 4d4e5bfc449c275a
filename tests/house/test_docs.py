"""The documents tell of files, commands and addresses that are there."""

import re
from pathlib import Path

import pytest
from django.urls import URLPattern

from ledger.phone import urls, urls_shell
from ledger.traits import vocabulary

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


def test_every_room_of_django_stands_in_the_list_of_rooms() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text()
    rooms = text[text.index("## Rooms") : text.index("## Walls")]
    no_rooms = {"management", "migrations", "templatetags"}
    there = {
        path.parent.name
        for app in ("ledger", "vouchers")
        for path in (ROOT / app).glob("*/__init__.py")
        if path.parent.name not in no_rooms
    }
    named = set(re.findall(r"`(?:ledger/|vouchers/)?(\w+)/?`", rooms))
    assert {"slips", "labels"} <= there
    assert sorted(there - named) == []


def _address(text: str) -> str:
    """An address as a document or a table of them writes it, without method and without what its parts are called."""
    return re.sub(r"<[^>]*>", "<>", re.sub(r"^(GET|POST) ", "", text))


def test_every_message_of_the_phone_stands_in_the_table_and_no_other() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text()
    part = text[text.index("## What the phone says") : text.index("## Recipes")]
    cells = [line.split(" | ")[0] for line in part.splitlines() if line.startswith("| `")]
    words = [word for cell in cells for word in re.findall(r"`([^`]+)`", cell)]
    told = {_address(word.replace("…", "/phone/numbers")) for word in words} - {"GET", "POST"}
    pages = {one.name for one in urls_shell.urlpatterns}
    there = {
        _address(f"/{one.pattern}")
        for one in urls.urlpatterns
        if isinstance(one, URLPattern) and one.name not in pages
    }
    assert "/phone/table/<>.json" in there
    assert told == there


def test_the_recipe_of_a_trait_lists_the_words_the_vocabulary_takes() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text()
    recipe = text[text.index("**Add a trait.**") : text.index("**Add a flag.**")]
    listed = set(re.findall(r"`([^`]+)`", recipe))
    words = {*vocabulary.GROUPS, *vocabulary.EFFORTS, *vocabulary.UNITS} - {"month"}
    keys = (vocabulary.TRAIT_KEYS | vocabulary.ALSO_OF_A_TRAIT) - {"states"}
    assert sorted((words | keys) - listed) == []
