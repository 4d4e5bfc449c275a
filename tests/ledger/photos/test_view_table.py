"""The table of what photos show, and the one other place that lists it."""

import json
import re
import subprocess
from pathlib import Path

from ledger.finds.models import Photo
from ledger.photos.view_table import SHOWING_NO_PLACE, SLIP_WORDS, VIEW_TABLE, VIEWS, bench_rank, view_words

ROOT = Path(__file__).resolve().parents[3]


def test_the_phone_offers_the_views_of_the_table() -> None:
    texts = [path.read_text(encoding="utf-8") for path in (ROOT / "static" / "js" / "log").glob("*.js")]
    lists = [json.loads(found) for text in texts for found in re.findall(r"const VIEWS = (\[.*?\])", text)]
    assert lists == [list(VIEWS)]


def test_every_view_has_its_drawing_and_fits_its_column() -> None:
    drawn = (ROOT / "static" / "icons" / "ui.svg").read_text(encoding="utf-8")
    assert [code for code in VIEWS if f'id="view-{code}"' not in drawn] == []
    assert max(map(len, VIEWS)) <= (Photo._meta.get_field("view").max_length or 0)


def test_a_place_and_what_was_not_said_may_show_where_it_was() -> None:
    assert {*VIEWS, ""} - SHOWING_NO_PLACE == {"place", ""}


def test_the_bench_shows_the_cap_first_and_what_was_not_said_last() -> None:
    shuffled = ["", "scale", "place", "cut", "underside", "cap"]
    assert sorted(shuffled, key=bench_rank)[:3] == ["cap", "underside", "cut"]
    assert bench_rank("") == max(view.bench_rank for view in VIEW_TABLE)
    assert len({view.bench_rank for view in VIEW_TABLE}) == len(VIEW_TABLE)


def test_a_slip_asks_for_few_views() -> None:
    assert SLIP_WORDS == ("cap", "underside", "side", "cut", "wood")


def test_the_phone_calls_a_photo_what_the_ledger_calls_it() -> None:
    script = (
        'import { viewWords } from "./static/js/log/views.js";'
        "console.log(JSON.stringify(process.argv.slice(1).map(viewWords)));"
    )
    said = subprocess.run(
        ["node", "--input-type=module", "-e", script, *VIEWS],
        cwd=ROOT,
        check=True,
        capture_output=True,
        text=True,
    )
    assert json.loads(said.stdout) == [view_words(code) for code in VIEWS]


def test_a_view_nobody_said_is_called_so() -> None:
    assert view_words("") == "view not said"
