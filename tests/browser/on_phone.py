"""What lies on the phone, as a browser test reads it."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from ledger.photos.intake import MOST_PER_FIND

_READ = """async (name) => {
  const { openStore } = await import("/static/js/phone/store.js");
  const store = await openStore();
  return new Promise((resolve, reject) => {
    const request = store.transaction(name).objectStore(name).getAll();
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}"""
_DIGESTS = """async () => {
  const { openStore } = await import("/static/js/phone/store.js");
  const { sha256 } = await import("/static/js/phone/digest.js");
  const store = await openStore();
  const photos = await new Promise((resolve, reject) => {
    const request = store.transaction("photos").objectStore("photos").getAll();
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
  return Promise.all(photos.map(async ({ blob }) => sha256(await blob.arrayBuffer())));
}"""


def finds_on(page: Page) -> list[dict[str, Any]]:
    """Every find in the store of this browser."""
    found: list[dict[str, Any]] = page.evaluate(_READ, "finds")
    return found


def photo_digests_on(page: Page) -> list[str]:
    """The SHA-256 of the bytes of every photo in the store, computed anew from the bytes."""
    found: list[str] = page.evaluate(_DIGESTS)
    return sorted(found)


def field(find: dict[str, Any], name: str) -> str:
    return next((value for key, value in find["fields"] if key == name), "")


def opened(page: Page) -> None:
    """The form has read what lies on the phone."""
    page.wait_for_selector("#log-form[data-ready]", state="attached")


_KEPT = """async (name) => {
  const { getKept } = await import("/static/js/phone/store.js");
  return (await getKept(name)) ?? null;
}"""


def kept_on(page: Page, name: str) -> Any:
    """What this browser keeps under that name, or None."""
    return page.evaluate(_KEPT, name)


def until(page: Page, what: Callable[[], Any], *, longest_s: float = 20) -> None:
    """Wait until `what()` is true. A promise that a page is waited for with counts as true at once, so it is asked anew."""
    for _ in range(round(longest_s * 20)):
        if what():
            return
        page.wait_for_timeout(50)
    pytest.fail(f"not within {longest_s} seconds: {what.__name__}")


def numbered(page: Page) -> None:
    """The phone has a block of numbers. The form is ready before: it waits for nobody."""

    def has_numbers() -> bool:
        return bool(kept_on(page, "blocks"))

    until(page, has_numbers)


def keep_all(page: Page, photos: list[Path]) -> int:
    """Keep photos by the form, as many with each find as one takes; how many finds that were."""
    finds = range(0, len(photos), MOST_PER_FIND)
    for number, first in enumerate(finds, 1):
        some = photos[first : first + MOST_PER_FIND]
        page.locator('input[name="locality"]').fill(f"Stand {number}")
        page.locator('input[name="photo-"]').set_input_files(some)
        expect(page.locator("[data-phone-photo]")).to_have_count(len(some), timeout=120_000)
        page.get_by_role("button", name="Keep this find").click()
        page.get_by_role("button", name="Next find").click()
    return len(finds)
