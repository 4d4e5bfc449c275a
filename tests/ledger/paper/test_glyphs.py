import pytest
from PIL import ImageFont

from ledger.paper.glyphs import FONT_FOLDER, advance_widths, missing, shown, width_em

REGULAR = FONT_FOLDER / "noto-serif" / "NotoSerif_400Regular.ttf"


@pytest.mark.parametrize(
    "text", ["Bjerkandera", "Łódź ďěšť", "Тверская область", "Αθήνα", "→ ≤ ♀ ♂ × µ ° − ½"]
)
def test_the_scripts_and_signs_of_labels_can_be_printed(text):
    assert missing(text) == ""


def test_what_no_font_has_is_named_once_in_order():
    assert missing("a本b日本") == "本日"


def test_half_a_surrogate_pair_is_missing_and_can_be_shown():
    assert missing("a\ud800") == "\ud800"
    assert shown("a\ud800") == "a?"


@pytest.mark.parametrize("text", ["Bjerkandera adusta", "0123456789", "Тверь", "Αθήνα"])
def test_widths_agree_with_freetype(text):
    # Pillow's FreeType without kerning reads the same font; 1,000 px to the em, each glyph rounded
    face = ImageFont.truetype(REGULAR, 1000, layout_engine=ImageFont.Layout.BASIC)
    theirs = sum(face.getlength(sign) for sign in text) / 1000
    assert width_em(text) == pytest.approx(theirs, abs=0.001 * len(text))


def test_a_sign_from_the_last_resort_has_its_width():
    sans = advance_widths((FONT_FOLDER / "dejavu" / "DejaVuSans.ttf").read_bytes())
    assert width_em("→") == sans["→"]


@pytest.mark.parametrize("folder", ["noto-serif", "dejavu"])
def test_each_font_has_its_licence_and_version_beside_it(folder):
    assert "licence" in (FONT_FOLDER / folder / "VERSION").read_text().lower()
    assert len((FONT_FOLDER / folder / "LICENSE").read_text()) > 1000
