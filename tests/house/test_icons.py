"""Every state has a drawing, and every drawing a template asks for is there."""

import csv
import json
import re
from pathlib import Path
from xml.etree import ElementTree

import pytest

ROOT = Path(__file__).parents[2]
SVG = "{http://www.w3.org/2000/svg}"
SHEETS = ("traits", "ui")
MARKS = (
    *("within", "edge", "outside", "cannot tell", "not read", "not applicable"),
    *("fits", "open", "doubtful", "ruled out"),
    *("note", "doubt", "stop"),
    *("held", "settled", "sent back"),
)


def symbols(sheet: str) -> dict[str, ElementTree.Element]:
    tree = ElementTree.parse(ROOT / "static" / "icons" / f"{sheet}.svg")
    return {symbol.attrib["id"]: symbol for symbol in tree.iter(f"{SVG}symbol")}


def vocabulary() -> dict[str, dict[str, str]]:
    """Icon of each state of each trait, as the vocabulary names it."""
    data = json.loads((ROOT / "fixtures" / "traits.json").read_text(encoding="utf-8"))
    return {t["code"]: {s["code"]: s["icon"] for s in t.get("states", [])} for t in data["traits"]}


def drawn(symbol: ElementTree.Element) -> str:
    return "".join(ElementTree.tostring(child, encoding="unicode") for child in symbol)


@pytest.mark.parametrize("trait", sorted(code for code, states in vocabulary().items() if states))
def test_every_state_of_the_vocabulary_has_a_drawing(trait: str) -> None:
    assert set(vocabulary()[trait].values()) - set(symbols("traits")) == set()


def test_every_state_used_in_the_ranges_has_a_drawing() -> None:
    icons, there = vocabulary(), symbols("traits")
    with (ROOT / "fixtures" / "ranges.csv").open(encoding="utf-8", newline="") as file:
        used = {
            (row["trait"], state)
            for row in csv.DictReader(file)
            for state in row["states"].split("|")
            if state
        }
    assert len(used) > 50
    assert [pair for pair in sorted(used) if icons[pair[0]].get(pair[1]) not in there] == []


def test_every_drawing_of_a_state_is_used_by_the_vocabulary() -> None:
    used = {icon for states in vocabulary().values() for icon in states.values()}
    assert set(symbols("traits")) - used == set()


@pytest.mark.parametrize("mark", MARKS)
def test_every_mark_has_a_shape(mark: str) -> None:
    assert "mark-" + mark.replace(" ", "-") in symbols("ui")


@pytest.mark.parametrize("sheet", SHEETS)
def test_no_two_drawings_are_the_same(sheet: str) -> None:
    seen: dict[str, str] = {}
    for name, symbol in symbols(sheet).items():
        drawing = drawn(symbol)
        assert drawing not in seen, f"{name} is drawn like {seen.get(drawing)}"
        seen[drawing] = name


@pytest.mark.parametrize("sheet", SHEETS)
def test_every_drawing_has_a_box_and_takes_the_colour_of_the_words(sheet: str) -> None:
    for name, symbol in symbols(sheet).items():
        assert re.fullmatch(r"0 0 (48 48|24 24)", symbol.attrib["viewBox"]), name
        assert "currentColor" in drawn(symbol), name


@pytest.mark.parametrize("sheet", SHEETS)
def test_a_sheet_of_drawings_holds_no_script_and_no_style(sheet: str) -> None:
    text = (ROOT / "static" / "icons" / f"{sheet}.svg").read_text(encoding="utf-8")
    assert re.findall(r"<script|<style|\bstyle=|\bon\w+=|href=", text) == []


def test_every_drawing_named_in_a_template_is_there() -> None:
    missing = []
    for page in (ROOT / "templates").rglob("*.html"):
        text = page.read_text(encoding="utf-8")
        for sheet, name in re.findall(r"icons/(traits|ui)\.svg['\"] %}#([\w-]+)[\"']", text):
            if name not in symbols(sheet):
                missing.append(f"{page.relative_to(ROOT)}: {sheet}.svg#{name}")
    assert missing == []
