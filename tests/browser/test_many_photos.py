"""Two hundred photos of several finds sent in one go: how far it is stands there, and a cut in between loses nothing."""

import hashlib
import io
import re
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image
from playwright.sync_api import Page, expect

from ledger.finds.models import Find, Photo
from ledger.people.models import Member
from ledger.traits.reference import Reference
from tests.browser.on_phone import keep_all, numbered, opened, photo_digests_on, until

MANY = 200
CUT_AFTER = 60


def taken(folder: Path) -> list[Path]:
    """Small photos, no two alike."""
    paths = []
    for number in range(MANY):
        pixels = np.random.default_rng(number).integers(0, 255, (48, 64, 3), dtype=np.uint8)
        out = io.BytesIO()
        Image.fromarray(pixels).save(out, "JPEG", quality=60)
        paths.append(folder / f"photo-{number}.jpg")
        paths[-1].write_bytes(out.getvalue())
    return paths


def sent_on(page: Page) -> int:
    """The first figure of "63 of 200 photos sent", 0 where it does not stand there."""
    said = re.search(r"(\d+) of \d+ photos sent", page.locator("#outbox-sum").inner_text())
    return int(said[1]) if said else 0


def test_two_hundred_photos_go_in_one_session_with_a_cut_in_between(
    reference: Reference, collector: Member, open_page: Any, tmp_path: Path
) -> None:
    photos = taken(tmp_path)
    digests = sorted(hashlib.sha256(path.read_bytes()).hexdigest() for path in photos)
    page: Page = open_page(as_=collector)
    page.goto("/finds/log/")
    opened(page)
    numbered(page)
    page.context.set_offline(True)
    finds = keep_all(page, photos)
    assert photo_digests_on(page) == digests
    page.goto("about:blank")

    page.context.set_offline(False)
    page.goto("/phone/outbox/")
    expect(page.locator("#outbox-sum")).to_contain_text(f"of {MANY} photos sent")
    until(page, lambda: sent_on(page) >= CUT_AFTER, longest_s=60)
    page.context.set_offline(True)
    expect(page.locator("#send-why")).to_contain_text("No signal")
    there = set(Photo.objects.values_list("sha256", flat=True))
    assert CUT_AFTER <= len(there) < MANY
    assert set(photo_digests_on(page)) | there == set(digests)

    page.context.set_offline(False)  # goes on by itself
    left = MANY - len(there)
    expect(page.locator("#outbox-sum")).to_contain_text(re.compile(rf"of ({left}|{left + 1}) photos sent"))
    expect(page.locator("#outbox-sum")).to_contain_text("Nothing waits", timeout=300_000)
    assert Find.objects.count() == finds
    assert sorted(Photo.objects.values_list("sha256", flat=True)) == digests
    for photo in Photo.objects.select_related("find"):
        assert photo.find is not None
        with photo.original.open() as file:
            assert hashlib.sha256(file.read()).hexdigest() == photo.sha256
    assert photo_digests_on(page) == []
    open_page.errors.clear()  # the browser's own words about the lost network
