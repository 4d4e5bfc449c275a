import io
import json
from pathlib import Path

import numpy as np
import pytest
from django.core.management import call_command
from django.core.management.base import CommandError
from PIL import Image

from tests.bench.pore_images import Wanted
from tests.bench.pore_images import picture as pores_picture
from tests.ledger.measuring.making import SIZE, as_seen, picture, setup


@pytest.fixture
def photo(tmp_path: Path) -> str:
    path = tmp_path / "card.png"
    Image.fromarray(picture(setup())).save(path)
    return str(path)


def told(*args: str) -> str:
    out = io.StringIO()
    call_command("measure_photo", *args, stdout=out)
    return out.getvalue()


def report(*args: str) -> dict:
    return json.loads(told(*args, "--json"))


def ends(*card_mm: tuple[float, float]) -> str:
    return ",".join(f"{number:.2f}" for point in as_seen(setup(), np.array(card_mm)) for number in point)


def test_the_card_is_told_with_its_scale_and_tilt(photo):
    card = report(photo)["card"]
    assert (card["found"], card["kind"], card["markers_seen"]) == (True, "small", 4)
    assert card["mm_per_px"] == pytest.approx(260 / 1216, rel=0.001)
    assert 0 < card["u_mm_per_px"] < 0.005 * card["mm_per_px"]
    assert card["tilt_deg"] < 2
    assert len(card["corners_px"]) == 4


def test_lines_are_measured_with_their_uncertainty(photo):
    lines = report(photo, "--line", ends((10, 5), (60, 5)), ends((20, 5), (20, 50)))["lines"]
    assert [line["mm"] for line in lines] == pytest.approx([50.0, 45.0], abs=0.1)
    assert all(line["u_mm"] > line["pointing_mm"] > line["scale_mm"] > 0 for line in lines)
    assert lines[0]["text"] == "50.0 ± 1.0 mm"


def test_what_the_check_line_measures_corrects_the_scale(photo):
    line = ends((10, 5), (60, 5))
    as_printed, larger = (
        report(photo, "--line", line, *more)["lines"][0]["mm"] for more in ((), ("--check-line", "51"))
    )
    assert larger == pytest.approx(1.02 * as_printed)


def test_pores_are_counted_in_a_patch_and_drawn_where_they_are(tmp_path):
    # 3 pores per mm could not be told at the 4.7 pixels per mm of this photo; so they are drawn at 0.4 per mm.
    shown = pores_picture(
        Wanted("round", 5, per_mm=0.42, px_per_pore=4.678 / 0.42, across=24, scale_error=0.0)
    )
    photo = picture(setup()).copy()
    high, wide = shown.image.shape[:2]
    photo[900 : 900 + high, 200 : 200 + wide] = shown.image if shown.image.ndim == 2 else shown.image[..., 1]
    path = tmp_path / "pores.png"
    Image.fromarray(photo).save(path)
    whole = report(str(path), "--patch", f"200,900,{wide},{high}")
    (patch,) = whole["patches"]
    assert patch["per_mm"] == pytest.approx(0.42, abs=3 * patch["u_per_mm"])
    assert len(patch["centres_px"]) == patch["n"]
    assert all(200 <= x <= 200 + wide and 900 <= y <= 900 + high for x, y in patch["centres_px"])
    assert whole["pores"]["n"] == patch["n"]


def test_a_patch_without_pores_says_why(photo):
    (patch,) = report(photo, "--patch", "100,100,200,200")["patches"]
    assert "per_mm" not in patch
    assert patch["reason"] == "unclosed"
    assert patch["why"].startswith("Cannot tell: no pores with a wall all round")


def test_a_photo_without_a_card_is_told_in_json_all_the_same(tmp_path):
    path = tmp_path / "none.png"
    Image.new("L", (900, 700), 90).save(path)
    whole = report(str(path), "--line", "1,2,300,400", "--patch", "10,10,100,100")
    assert whole["card"]["found"] is False
    assert whole["card"]["why"].startswith("No scale card was seen")
    assert [whole["lines"][0]["why"], whole["patches"][0]["why"]] == [
        "No scale, so nothing was measured."
    ] * 2
    assert whole["pores"] is None


def test_without_json_it_says_it_in_sentences(photo):
    lines = told(photo, "--line", ends((10, 5), (60, 5)), "--patch", "100,100,200,200").splitlines()
    assert lines[0].startswith("Scale card found, 4.7 pixels per mm")
    assert lines[1].endswith(": 50.0 ± 1.0 mm")
    assert lines[2].startswith("patch of 200 x 200 at 100,100: Cannot tell: no pores")


def test_a_photo_on_its_side_is_measured_upright(tmp_path):
    path = tmp_path / "turned.jpg"
    upright = Image.fromarray(picture(setup()))
    exif = Image.Exif()
    exif[0x0112] = 6  # to be turned a quarter clockwise, so it is stored turned the other way
    upright.transpose(Image.Transpose.ROTATE_90).save(path, "JPEG", quality=95, exif=exif)
    whole = report(str(path), "--line", ends((10, 5), (60, 5)))
    assert (whole["photo"]["width"], whole["photo"]["height"]) == SIZE
    assert whole["lines"][0]["mm"] == pytest.approx(50.0, abs=0.1)


@pytest.mark.parametrize(
    ("name", "content", "why"),
    [
        ("gone.jpg", None, "No such file"),
        ("text.jpg", b"no photo", "cannot be measured on"),
        ("", b"", "cannot be read"),
    ],
)
def test_a_file_that_cannot_be_read_ends_with_a_sentence_and_its_exit_code(tmp_path, name, content, why):
    path = tmp_path / name
    if content:
        path.write_bytes(content)
    with pytest.raises(CommandError, match=why) as ended:
        report(str(path))
    assert ended.value.returncode == 2


def test_half_a_photo_is_refused(tmp_path, photo):
    path = tmp_path / "half.png"
    path.write_bytes(Path(photo).read_bytes()[:20_000])
    with pytest.raises(CommandError, match="not a whole one"):
        report(str(path))


@pytest.mark.parametrize(
    "where", [("--line", "0,0,9000,10"), ("--patch", "1500,10,200,10"), ("--line", "0,0,5,1201")]
)
def test_what_does_not_lie_on_the_photo_is_refused(photo, where):
    with pytest.raises(CommandError, match="does not lie on the photo, which is 1600 x 1200"):
        report(photo, *where)


@pytest.mark.parametrize("bad", ["1,2,3", "a,b,c,d", "1,2,3,nan", ""])
def test_a_line_that_is_none_is_refused(photo, bad):
    with pytest.raises(CommandError, match="--line"):
        report(photo, "--line", bad)


@pytest.mark.parametrize("bad", ["5", "500", "fifty", "nan"])
def test_a_check_line_that_cannot_be_is_refused(photo, bad):
    with pytest.raises(CommandError, match="--check-line"):
        report(photo, "--check-line", bad)
