"""Typed names in JavaScript against the Python they follow: the same parts, proposals and words."""

import dataclasses
import re
from collections.abc import Iterator

import pytest
from django.template.loader import render_to_string
from django.utils import translation
from django.utils.html import strip_tags
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.finds import naming
from ledger.names.edits import edits
from ledger.names.errors import TaxonNameError
from ledger.names.match import match_name
from ledger.names.parse import parse_name
from tests.js_side import KNOWN, JsSide, SaidError

JUMBLE = """
    Trametes trametes versicolor cf. aff. ? sp. (L.) Lloyd & var. f. ex × agg. s.l. group sensu auct. T. nigra? ( ) : 1
    x (Coriolus) indet. Fr. caesia spp. nov. Ganoderma lucidum applanatum betulinus Piptoporus Polyporaceae Polyporales
    cf.versicolor ?caesia T.versicolor Versicolor TRAMETES VERSICOLOR sensu lato s. lat. s.str. ex gr. species complex
    (agg.) (versicolor group) d'Orb. 1821 182 nom. sanct. [Fr.] subsp. forma fo. près Quél. Que\u0301l. ﬁ ſp. ıNDET. A.
    L.: (Fr. Pers.: Fr.) S.L. Near near on oak 5 ፩፪ ²  ‐ – ’ ✕ é \u200b sp.1 sp. A × xTrametes auctt. (cf.) ß ẞ Σας ΣΑΣ
"""
words = st.sampled_from(JUMBLE.split()) | st.sampled_from([" ", ",", ";", "\u00a0"])
jumbles = st.lists(words, max_size=8).map(" ".join)
glued = st.lists(words, max_size=5).map("".join)


@pytest.fixture(scope="module")
def whole_reference(whole_reference):
    """The reference of fixtures/, with names that a club has for some of its taxa, letters and all."""
    local = {
        "Fomes fomentarius": ("Zunderschwamm", "Großer Zunderschwamm"),
        "Trametes gibbosa": ("Buckeltramete",),
        "Trametes versicolor": ("Schmetterlingstramete", "turkey tail"),
        "Trametes hirsuta": ("Bunte Tramete",),
        "Trametes ochracea": ("Bunte Tramete",),
    }
    taxa = {
        name: dataclasses.replace(taxon, local=local.get(name, ()))
        for name, taxon in whole_reference.taxa.items()
    }
    return dataclasses.replace(whole_reference, taxa=taxa, memo={})


@pytest.fixture(scope="module")
def js(whole_reference) -> Iterator[JsSide]:
    side = _side(whole_reference)
    yield side
    side.close()


def _side(reference, language=""):
    side = JsSide("run_typed.mjs", language=language)
    side.ask(
        "taxa",
        [
            {
                "name": taxon.name,
                "authority": taxon.authority,
                "family": taxon.family,
                "order": taxon.order,
                "synonyms": taxon.synonyms,
                "vernacular": taxon.vernacular,
                "local": taxon.local,
            }
            for taxon in reference.taxa.values()
        ],
    )
    return side


def _camel(fields):
    return {re.sub(r"_(\w)", lambda m: m[1].upper(), name): value for name, value in fields.items()}


def _python_parts(text):
    try:
        return _camel(dataclasses.asdict(parse_name(text)))
    except TaxonNameError as error:
        return str(error)


def _parts(js, text):
    try:
        return js.ask("parseName", text)
    except SaidError as error:
        return str(error)


def _python_match(text, reference):
    match = match_name(text, naming.known_names(reference))
    candidates = [dataclasses.asdict(one) for one in match.candidates]
    name = None if match.name is None else _camel(dataclasses.asdict(match.name))
    return {
        "kind": match.kind,
        "typed": match.typed,
        "name": name,
        "candidates": candidates,
        "why": match.why,
        "english": match.english,
    }


def _python_read(text, reference):
    named = naming.read(text, reference)
    return _camel(dataclasses.asdict(named)) | {"near": list(named.proposals)}, named


def _same(js, reference, text):
    assert _parts(js, text) == _python_parts(text)
    assert js.ask("matchName", text) == _python_match(text, reference)
    wanted, _ = _python_read(text, reference)
    del wanted["proposals"]
    assert js.ask("readName", text) == wanted


@settings(max_examples=1200)
@given(jumbles | glued)
def test_jumbles_of_name_words_are_understood_alike(js, whole_reference, text):
    _same(js, whole_reference, text)


@settings(max_examples=300)
@given(st.text(alphabet=KNOWN, max_size=40))
def test_any_text_is_understood_alike(js, whole_reference, text):
    _same(js, whole_reference, text)


@st.composite
def nearly_known(draw, names):
    """A known name with a few slips of the finger."""
    letters = list(draw(st.sampled_from(names)))
    for _ in range(draw(st.integers(0, 3))):
        place = draw(st.integers(0, len(letters) - 1)) if letters else 0
        slip = draw(st.sampled_from(["out", "in", "swap", "other", "capital"]))
        if slip == "out" and letters:
            del letters[place]
        elif slip == "in":
            letters.insert(place, draw(st.sampled_from("aeiousmt .?-")))
        elif slip == "swap" and place + 1 < len(letters):
            letters[place], letters[place + 1] = letters[place + 1], letters[place]
        elif slip == "capital" and letters:
            letters[place] = letters[place].swapcase()
        elif letters:
            letters[place] = draw(st.sampled_from("aeiousmt"))
    return "".join(letters) + draw(st.sampled_from(["", "", "", " agg.", " (L.) Lloyd", " Fr.", " cf."]))


@settings(max_examples=600)
@given(st.data())
def test_names_with_slips_are_understood_alike(js, whole_reference, data):
    names = list(whole_reference.taxa) + [s for one in whole_reference.taxa.values() for s in one.synonyms]
    _same(js, whole_reference, data.draw(nearly_known(names)))


def test_every_name_and_synonym_of_the_reference_is_understood_alike(js, whole_reference):
    for taxon in whole_reference.taxa.values():
        for text in (
            taxon.name,
            f"{taxon.name} {taxon.authority}",
            *taxon.synonyms,
            taxon.family,
            taxon.order,
        ):
            _same(js, whole_reference, text)
            _same(js, whole_reference, text[:1] + ". " + text.partition(" ")[2])


def test_every_english_name_of_the_reference_is_understood_alike(js, whole_reference):
    for taxon in whole_reference.taxa.values():
        for text in (*taxon.vernacular, *taxon.local):
            for typed in (text, text.upper(), text.replace(" ", "-"), text[1:], f"{text}s", f"cf. {text}"):
                _same(js, whole_reference, typed)


@settings(max_examples=300)
@given(st.data())
def test_english_names_with_slips_are_understood_alike(js, whole_reference, data):
    names = [text for one in whole_reference.taxa.values() for text in (*one.vernacular, *one.local)]
    _same(js, whole_reference, data.draw(nearly_known(names)))


AWKWARD = """Trametes versicolor
Trametes cf. versicolor (L.) Lloyd
  trametes   cf  versicolor (L.)Lloyd
TRAMETES cf. versicolor (L.) Lloyd
Trametes cf.versicolor ( L. ) Lloyd
Ｔrametes cf. versicolor (L.) Lloyd
Trametes cfr. versicolor (L.) Lloyd
Trametes (versicolor group)
Trametes ex gr. versicolor
Trametes versicolor species complex
Trametes versicolor s. lat.
Trametes versicolor (s.l.)
Trametes versicolor S.L. Smith
Rosa gallica L. var. gallica
Polyporus exemplaris L. f.
Trametes versicolor on oak
Trametes versicolor nigra
Trametes versicolor (L. Lloyd
Trametes versicolor L.) Lloyd(
cf. Trametes cf. versicolor
Trametes versicolor × hirsuta
Trametes <b>versicolor</b>
cf.
5
?
Unknown
not named
Ganoderma sp. aff. lucidum
Ganoderma sp. 1
Ganoderma
Polyporaceae
Polyporacae
Boletus versicolor
Amanita muscaria
Trametes Versicolor
P. betulina
it's "quoted" <
turkey tail
Turkey-Tail.
Dryad’s saddle
hen of the wods
lacquered bracket
red-belted conk
Fomes igniarius f. tremulae
Fomitopsis pinicola sensu auct. N. Am."""


@pytest.mark.parametrize(
    "text", [*AWKWARD.split("\n"), "", "T" * 201, "\U0001f344", "a\u0308" * 40, "T\ufeff. versicolor"]
)
def test_awkward_names_are_understood_alike(js, whole_reference, text):
    _same(js, whole_reference, text)


@given(st.text("abcé\U00010400", max_size=7), st.text("abcé\U00010400", max_size=7), st.integers(0, 4))
def test_slips_are_counted_alike(js, one, other, limit):
    assert js.ask("edits", one, other, limit) == edits(one, other, limit)


def test_what_is_kept_for_a_typed_name_is_the_same(js, whole_reference):
    for text in ("turkey tail", "Trametes versicolor", "lacquered bracket", "Piptoporus betulinus", "?"):
        assert js.ask("writtenAs", js.ask("readName", text)) == naming.read(text, whole_reference).written


def test_the_names_that_are_offered_are_the_same(js, whole_reference):
    assert js.ask("namesOffered") == [list(one) for one in naming.offered(whole_reference)]


def _line(text):
    return " ".join(text.replace("\n", " ").split())


def _said(note):
    """The words of a note as JavaScript gives them, the buttons after them."""
    if note is None:
        return ""
    pieces = [
        piece
        if isinstance(piece, str)
        else piece.get("soft") or piece.get("said") or f"{piece['taxon']} {piece['authority']}"
        for piece in note["text"]
    ]
    return _line("".join(pieces) + " " + " ".join(take["label"] for take in note["takes"]))


NOTED = [
    *("", "Trametes versicolor", "Trametes cf. versicolor", "Piptoporus betulinus", "Trametes versicolour"),
    *("turkey tail", "Lacquered Bracket", "red-belted conk", "hen of the wods"),
    *("Trametes sp.", "Polyporaceae", "Amanita muscaria", "Trametes versicolor on oak", "?", "Tramets"),
]


@pytest.mark.parametrize("text", NOTED)
def test_the_note_under_a_name_says_the_words_of_the_page(js, whole_reference, text):
    _same_note(js, whole_reference, text)


def test_names_are_told_with_the_same_words_in_another_language(whole_reference):
    side = _side(whole_reference, language="de")
    try:
        with translation.override("de"):
            for text in (*AWKWARD.split("\n"), *NOTED, "T" * 201, "\U0001f344"):
                _same(side, whole_reference, text)
                _same_note(side, whole_reference, text)
    finally:
        side.close()


def _same_note(js, reference, text):
    _, named = _python_read(text, reference)
    page = render_to_string("finds/_name_note.html", {"named": named})
    parted = page.replace("</button>", " </button>").replace("</p>", " </p>")
    html = strip_tags(parted).replace("&amp;", "&").replace("&#x27;", "'").replace("&quot;", '"')
    assert _said(js.ask("nameNote", js.ask("readName", text))) == _line(html)
