"""What came from others carries its licence and its version."""

from pathlib import Path

import pytest

STATIC = Path(__file__).resolve().parents[2] / "static"
FAMILIES = sorted(
    {path.parent for ending in ("*.woff2", "*.ttf", "*.otf") for path in (STATIC / "fonts").rglob(ending)}
    | {path for path in (STATIC / "vendor").glob("*") if path.is_dir()}
)


def test_there_are_fonts_to_ask() -> None:
    assert FAMILIES


@pytest.mark.parametrize("folder", FAMILIES, ids=lambda folder: folder.name)
def test_a_vendored_folder_has_licence_and_version(folder: Path) -> None:
    assert len((folder / "LICENSE").read_text()) > 400
    version = (folder / "VERSION").read_text()
    assert any(character.isdigit() for character in version)


def test_no_page_loads_anything_from_elsewhere() -> None:
    root = STATIC.parent
    wrong = [
        str(path.relative_to(root))
        for folder, endings in ((root / "templates", (".html",)), (STATIC, (".css", ".js")))
        for path in folder.rglob("*")
        if path.suffix in endings
        and any(
            mark in path.read_text()
            for mark in ('src="http', "url(http", 'href="http', "url('http", "from 'http")
        )
    ]
    assert wrong == []
