"""What a phone needs to put the ledger among its programs: manifest, icons, colours."""

import json
import re
from pathlib import Path

import pytest
from django.contrib.staticfiles import finders
from django.test import Client
from PIL import Image, ImageChops, ImageStat

from ledger.management.commands.draw_icons import ICONS, drawn
from ledger.phone.shell import PAPER

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def manifest(db: None) -> dict[str, object]:
    answer = Client().get("/ledger.webmanifest")
    assert answer["Content-Type"] == "application/manifest+json"
    found: dict[str, object] = json.loads(answer.content)
    return found


def test_the_manifest_opens_the_form_in_a_window_of_its_own(manifest: dict[str, object]) -> None:
    assert manifest["start_url"] == "/finds/log/"
    assert (manifest["scope"], manifest["display"]) == ("/", "standalone")
    assert manifest["name"] == "Bracket Ledger"


def test_each_icon_of_the_manifest_is_there_in_the_size_it_says(manifest: dict[str, object]) -> None:
    icons = manifest["icons"]
    assert isinstance(icons, list)
    assert {(icon["sizes"], icon["purpose"]) for icon in icons} >= {
        ("192x192", "any"), ("512x512", "any"), ("512x512", "maskable"),
    }  # fmt: skip
    for icon in icons:
        path = finders.find(icon["src"].removeprefix("/static/"))
        assert path, icon["src"]
        if icon["type"] == "image/png":
            with Image.open(path) as image:
                assert icon["sizes"] == f"{image.width}x{image.height}"


@pytest.mark.parametrize(("name", "side", "scale", "corner"), ICONS)
def test_the_icons_are_what_the_command_draws(name: str, side: int, scale: float, corner: float) -> None:
    with Image.open(ROOT / "static/img" / name) as kept:
        difference = ImageChops.difference(kept.convert("RGBA"), drawn(side, scale, corner).convert("RGBA"))
    # Another version of the library may round an edge another way.
    assert max(ImageStat.Stat(difference).mean) < 1


def test_the_maskable_icon_stands_inside_the_circle_that_no_phone_cuts() -> None:
    with Image.open(ROOT / "static/img/icon-maskable-512.png") as image:
        pixels = image.convert("RGB")
    ground = pixels.getpixel((0, 0))
    middle, safe = 256, 512 * 0.4
    outside = [
        (x, y)
        for x in range(0, 512, 4)
        for y in range(0, 512, 4)
        if (x - middle) ** 2 + (y - middle) ** 2 > safe**2 and pixels.getpixel((x, y)) != ground
    ]
    assert outside == []


def test_the_colours_of_the_window_are_those_of_the_paper_by_day_and_dusk(db: None) -> None:
    by_day, by_dusk, *_ = re.findall(r"--paper: (#\w+);", (ROOT / "static/css/variables.css").read_text())
    page = Client().get("/").content.decode()
    assert re.findall(r'name="theme-color" content="(#\w+)"', page) == [by_day, by_dusk]
    assert by_day == PAPER


def test_every_page_names_the_manifest_and_the_worker(db: None) -> None:
    page = Client().get("/").content.decode()
    assert '<link rel="manifest" href="/ledger.webmanifest">' in page
    assert 'data-worker="/worker.js"' in page
