"""What is marked to be said in another language is found, wherever it stands."""

from pathlib import Path

import pytest

from ledger.translations.areas import area_of
from ledger.translations.found import WronglyMarked, of_module, of_script, of_template, placeholders


def _written(root: Path, place: str, text: str) -> Path:
    file = root / place
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_text(text, encoding="utf-8")
    return file


def test_the_sentences_of_a_template_are_found_within_its_blocks(tmp_path: Path) -> None:
    file = _written(
        tmp_path,
        "templates/finds/list.html",
        '{% block a %}{% if x %}{% translate "My finds" %}{% else %}'
        "{% blocktranslate trimmed with a=b count n=c %}\n {{ n }} find of {{ a }}\n {% plural %}{{ n }} finds of {{ a }}"
        '{% endblocktranslate %}{% endif %}{% include "x.html" with word=_("All") %}{% endblock %}'
        '{% translate "5 % more" %}',
    )
    found = {message.key for message in of_template(tmp_path, file)}
    assert found == {
        ("My finds", ""),
        ("%(n)s find of %(a)s", "%(n)s finds of %(a)s"),
        ("All", ""),
        ("5 %% more", ""),
    }


def test_the_sentences_of_a_module_are_found_by_the_names_they_are_said_by(tmp_path: Path) -> None:
    file = _written(
        tmp_path,
        "ledger/bench/queries.py",
        "from ledger.words import later, say as told, say_n\n"
        'A = later("Held")\n'
        'B = told("{n} of " "{m}", n=1, m=2)\n'
        'C = say_n("{n} find", "{n} finds", 3)\n'
        'D = told("yes" if A else "no")\n'
        "E = told(A)\n"
        'say("not ours")\n',
    )
    assert [message.key for message in of_module(tmp_path, file)] == [
        ("Held", ""),
        ("{n} of {m}", ""),
        ("{n} find", "{n} finds"),
        ("yes", ""),
        ("no", ""),
    ]


def test_a_sentence_put_together_where_it_is_marked_is_refused(tmp_path: Path) -> None:
    file = _written(tmp_path, "ledger/a/b.py", 'from ledger.words import say\nsay(f"{x} is held")\n')
    with pytest.raises(WronglyMarked, match=r"ledger/a/b.py, line 2"):
        list(of_module(tmp_path, file))


def test_the_sentences_of_a_script_are_found(tmp_path: Path) -> None:
    file = _written(
        tmp_path,
        "static/js/log/send.js",
        'import { say as inWords, sayN } from "../words.js";\n'
        'const a = inWords("Sent, \\"all\\" of it." + " And more.", { n });\n'
        'const b = sayN("{n} photo", "{n} photos", n);\n'
        'const c = inWords(label);\nconst d = say("not ours");\n',
    )
    assert [message.key for message in of_script(tmp_path, file)] == [
        ('Sent, "all" of it. And more.', ""),
        ("{n} photo", "{n} photos"),
    ]


@pytest.mark.parametrize("said", ["say(`${n} photos`)", 'say(n ? "a" : "b")'])
def test_a_script_s_sentence_that_no_catalogue_could_have_is_refused(tmp_path: Path, said: str) -> None:
    file = _written(tmp_path, "static/js/a.js", f'import {{ say }} from "./words.js";\n{said};\n')
    with pytest.raises(WronglyMarked, match="line 2"):
        list(of_script(tmp_path, file))


@pytest.mark.parametrize(
    ("place", "area"),
    [
        ("templates/base.html", "base"),
        ("templates/finds/log.html", "finds"),
        ("templates/handing_on/handing.html", "exchange"),
        ("templates/vouchers/labels.html", "vouchers_labels"),
        ("templates/vouchers/store/place.html", "vouchers_store"),
        ("vouchers/printing/gather.py", "vouchers_labels"),
        ("vouchers/permits/wording.py", "vouchers_other"),
        ("ledger/days.py", "base"),
        ("ledger/measuring/plane.py", "measures"),
        ("static/js/rules/explain.js", "traits"),
        ("static/js/stocktake/walk.js", "vouchers_stocktake"),
        ("fixtures/flags.json", "record"),
    ],
)
def test_a_sentence_belongs_to_the_part_of_its_room(place: str, area: str) -> None:
    assert area_of(place) == area


def test_placeholders_are_told_apart_by_name_and_form() -> None:
    assert placeholders("{n} of {x:.1f} at %(place)s") == {"{n}", "{x:.1f}", "%(place)s"}
