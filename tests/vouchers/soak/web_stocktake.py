"""Stocktake of one box by the pages: opened, walked with a phone or typed, its differences settled, signed off."""

from tests.vouchers.soak.carrying import Refused
from tests.vouchers.soak.pages import has
from tests.vouchers.soak.web_hands import SETTLED_BY, WebHands


def take_stock_of(box: int, hands: WebHands) -> bool:
    """Go on where it stands. False: the box is empty now. Whatever was seen before a kill is not seen a second time."""
    name = next(name for name, number in hands.boxes.items() if number == box)
    walk, state = _walk_of(name, hands)
    if state == "signed off":
        return True
    if not walk:
        if not hands.browser.open(f"/store/{box}/").tree.xpath("//section[@aria-labelledby='lies']//li"):
            return False
        hands.browser.open("/stocktake/")
        hands.press({"place": f"PLACE {box}"}, "Stocktake of", action="")
        walk = hands.browser.shown.path
    if "Nothing was seen yet" in hands.browser.open(walk).tree.text_content():
        lie = hands.browser.open(walk.rstrip("/") + ".json").json()["parts"]
        if not (codes := [number for number, place, _ in lie if place == box]):
            return False  # what lay in it when the walk was opened has left it since
        hands.browser.walk(walk, box, codes)
    _settle(walk, hands)
    hands.press({"words": "soak"}, "is signed off", action="/sign-off/")
    return True


def _walk_of(name: str, hands: WebHands) -> tuple[str, str]:
    """Address and state of the stocktake of that box which was not given up; empty where there is none."""
    for row in hands.browser.open("/stocktake/").tree.xpath(f"//ul[{has('rows')}]/li"):
        link = row.xpath(f".//a[{has('row__link')}]")
        state = " ".join(row.xpath("string(.//div[@class='row__side'])").split())
        if link and link[0].text_content().strip().endswith(name) and state != "given up":
            return link[0].get("href"), state
    return "", ""


def _settle(walk: str, hands: WebHands) -> None:
    for _ in range(200):
        page = hands.browser.open(f"{walk}?missing=1").tree
        rows = page.xpath(f"//li[{has('difference')}]")
        if not rows:
            return
        key = rows[0].xpath(".//input[@name='key']/@value")[0]
        kind = " ".join(rows[0].xpath("string(.//b[@class='difference__kind'])").split())
        way = {"way": SETTLED_BY[kind], "reason": "looked again", "key": key}
        hands.press(way, "is settled|no longer there", action="/settle/")
    raise Refused("there is no end of differences")
