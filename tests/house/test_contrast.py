"""Words can be read on every ground, in both schemes.

Formula: relative luminance and contrast ratio of WCAG 2.2 (https://www.w3.org/TR/WCAG22/#dfn-contrast-ratio);
its level AAA asks 7:1 for text (1.4.6), its level AA 3:1 for what a control is recognised by (1.4.11).
"""

import re
from pathlib import Path

import pytest

CSS = Path(__file__).parents[2] / "static" / "css"
VARIABLES = (CSS / "variables.css").read_text(encoding="utf-8")

GROUNDS = ("paper", "sheet", "shade", "lichen-wash", "ochre-wash", "madder-wash")
WORDS = ("ink", "ink-soft", "bark-word", "lichen-word", "ochre-word", "madder-word")
SHAPES = ("bark", "lichen", "ochre", "madder", "pencil", "rule-strong", "focus")
SCHEMES = ("day", "dusk")


def declared(block: str) -> dict[str, str]:
    """Custom properties of one rule that hold an opaque colour."""
    return dict(re.findall(r"--([\w-]+):\s*(#[0-9a-f]{6});", block))


def rule(selector: str, start: int = 0) -> str:
    opening = VARIABLES.index(selector + " {", start) + len(selector) + 2
    return VARIABLES[opening : VARIABLES.index("}", opening)]


def colours(scheme: str) -> dict[str, str]:
    day = declared(rule(":root"))
    return day if scheme == "day" else day | declared(rule(':root[data-scheme="dusk"]'))


def luminance(colour: str) -> float:
    def linear(part: str) -> float:
        value = int(part, 16) / 255
        return value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4

    red, green, blue = (linear(colour[i : i + 2]) for i in (1, 3, 5))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_ratio_of_black_on_white_is_twenty_one() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21)


def test_mid_grey_on_white_has_the_known_ratio() -> None:
    """#767676 is the usual example of a grey that just passes 4.5:1 on white; #777777 just fails (4.48)."""
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.005)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize("ground", GROUNDS)
@pytest.mark.parametrize("word", WORDS)
def test_words_reach_seven_to_one(scheme: str, ground: str, word: str) -> None:
    named = colours(scheme)
    assert contrast(named[word], named[ground]) >= 7, f"--{word} on --{ground} at {scheme}"


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize("ground", GROUNDS)
@pytest.mark.parametrize("shape", SHAPES)
def test_shapes_reach_three_to_one(scheme: str, ground: str, shape: str) -> None:
    named = colours(scheme)
    assert contrast(named[shape], named[ground]) >= 3, f"--{shape} on --{ground} at {scheme}"


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize(("word", "ground"), [("solid-word", "solid"), ("danger-word", "danger")])
def test_words_on_solid_buttons_reach_seven_to_one(scheme: str, word: str, ground: str) -> None:
    named = colours(scheme)
    assert contrast(named[word], named[ground]) >= 7


def test_the_two_dusk_blocks_are_the_same() -> None:
    by_device = rule(':root:not([data-scheme="day"])')
    by_choice = rule(':root[data-scheme="dusk"]')
    assert by_device.split() == by_choice.split()


def test_dusk_gives_every_colour_a_value_of_its_own() -> None:
    assert set(declared(rule(':root[data-scheme="dusk"]'))) == set(declared(rule(":root")))


@pytest.mark.parametrize("sheet", sorted(p.name for p in CSS.glob("*.css") if p.name != "variables.css"))
def test_colours_stand_only_in_the_variables(sheet: str) -> None:
    text = re.sub(r"/\*.*?\*/", "", (CSS / sheet).read_text(encoding="utf-8"), flags=re.S)
    assert re.findall(r":[^;{}]*(#[0-9a-fA-F]{3,8}\b|\brgba?\(|\bhsla?\()", text) == []


@pytest.mark.parametrize("sheet", sorted(p.name for p in CSS.glob("*.css")))
def test_every_variable_a_sheet_uses_is_declared(sheet: str) -> None:
    text = re.sub(r"/\*.*?\*/", "", (CSS / sheet).read_text(encoding="utf-8"), flags=re.S)
    known = set(re.findall(r"--([\w-]+):", VARIABLES + text))
    assert set(re.findall(r"var\(--([\w-]+)", text)) - known == set()
