"""The parts of a catalogue: read, added to, tidied, and what is made of them."""

import gettext
import io
from pathlib import Path

from ledger.translations import compiled, report
from ledger.translations.found import Message
from ledger.translations.parts import add_missing, drop_needless, entry_text, read_parts

HELD = Message("Held", "", "templates/finds/list.html", 3)
FINDS = Message("{n} find", "{n} finds", "ledger/bench/queries.py", 7)
QUOTED = Message('He said "no"\nand left.\\', "", "ledger/days.py", 7)


def _filled(folder: Path, *texts: str) -> None:
    for at, text in enumerate(texts):
        with (folder / f"part{at}.po").open("a", encoding="utf-8") as part:
            part.write('msgid ""\nmsgstr ""\n"Language: de\\n"\n\n' + text)


def test_what_is_missing_is_appended_to_the_part_of_its_room(tmp_path: Path) -> None:
    added = add_missing(tmp_path, "de", [HELD, FINDS, QUOTED])
    assert added == {"finds": 1, "bench": 1, "base": 1}
    assert {(one.key, one.part, one.is_missing) for one in read_parts(tmp_path)} == {
        (HELD.key, "finds", True),
        (FINDS.key, "bench", True),
        (QUOTED.key, "base", True),
    }


def test_what_stands_empty_and_is_said_elsewhere_or_marked_no_more_is_dropped(tmp_path: Path) -> None:
    add_missing(tmp_path, "de", [HELD, FINDS, QUOTED])
    _filled(tmp_path, entry_text("Held", "", ("Angehalten",)))
    drop_needless(tmp_path, read_parts(tmp_path), [HELD, QUOTED])
    left = {(one.text, one.part) for one in read_parts(tmp_path)}
    assert left == {("Held", "part0"), (QUOTED.text, "base")}


def test_gettext_reads_what_is_made(tmp_path: Path) -> None:
    _filled(
        tmp_path,
        entry_text("Held", "", ("Angehalten",)),
        entry_text("{n} find", "{n} finds", ("{n} Fund", "{n} Funde")),
    )
    made = gettext.GNUTranslations(io.BytesIO(compiled.mo_bytes(read_parts(tmp_path), "de")))
    assert (made.gettext("Held"), made.ngettext("{n} find", "{n} finds", 2)) == ("Angehalten", "{n} Funde")


def test_the_same_parts_make_the_same_files(tmp_path: Path) -> None:
    _filled(tmp_path, entry_text("Held", "", ("Angehalten",)), entry_text("Sent", "", ("Gesendet",)))
    entries = read_parts(tmp_path)
    assert compiled.mo_bytes(entries, "de") == compiled.mo_bytes(entries[::-1], "de")


def test_a_script_has_only_what_scripts_say(tmp_path: Path) -> None:
    _filled(tmp_path, entry_text("Held", "", ("Angehalten",)), entry_text("Sent", "", ("Gesendet",)))
    made = compiled.script_text(read_parts(tmp_path), {("Sent", "")})
    assert made == 'globalThis.ledgerWords = {\n"Sent": "Gesendet"\n};\n'


def _kinds(tmp_path: Path, *messages: Message) -> list[str]:
    return [one.kind for one in report.problems_of(messages, read_parts(tmp_path))]


def test_a_sentence_without_a_translation_is_told(tmp_path: Path) -> None:
    assert _kinds(tmp_path, HELD, FINDS) == [report.MISSING] * 2


def test_a_translation_without_a_sentence_is_told(tmp_path: Path) -> None:
    _filled(tmp_path, entry_text("Held", "", ("Angehalten",)))
    assert _kinds(tmp_path) == [report.STALE]


def test_a_sentence_in_two_parts_is_told(tmp_path: Path) -> None:
    _filled(tmp_path, *[entry_text("Held", "", ("Angehalten",))] * 2)
    assert _kinds(tmp_path, HELD) == [report.DOUBLED]


def test_a_sentence_twice_in_one_part_is_told(tmp_path: Path) -> None:
    _filled(tmp_path, "\n".join([entry_text("Held", "", ("Angehalten",))] * 2))
    assert [one.kind for one in report.doubles_of(tmp_path)] == [report.DOUBLED]


def test_a_doubtful_translation_is_told(tmp_path: Path) -> None:
    _filled(tmp_path, "#, fuzzy\n" + entry_text("Held", "", ("Angehalten",)))
    assert _kinds(tmp_path, HELD) == [report.FUZZY]


def test_placeholders_that_differ_are_told(tmp_path: Path) -> None:
    message = Message("{n} of {m}", "", "a.html", 1)
    _filled(tmp_path, entry_text("{n} of {m}", "", ("{n} von {x}",)))
    assert _kinds(tmp_path, message) == [report.DIFFERS]


def test_the_singular_may_say_its_count_in_a_word(tmp_path: Path) -> None:
    _filled(tmp_path, entry_text("{n} find", "{n} finds", ("Ein Fund", "{n} Funde")))
    assert _kinds(tmp_path, FINDS) == []
