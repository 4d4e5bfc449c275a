"""The check as the phone draws it, against the ledger's own templates: the same HTML for the same fields."""

import json
import random
import re
from collections.abc import Iterator
from typing import Any

import pytest
from django.http import QueryDict
from django.template.loader import render_to_string
from django.templatetags.static import static
from django.utils import translation

from ledger.finds import naming, tables
from ledger.finds.log_page import LogPage
from ledger.taxa.queries import vocabulary
from ledger.traits.phone_pack import pack, pack_bytes
from ledger.traits.reference import Reference
from tests.js_side import Node

Fields = list[list[str]]
ICONS = static("icons/ui.svg")
TRAITS = [trait for trait in vocabulary().traits.values() if trait.kind != "months"]
NAMES = (
    *("", "", "Trametes versicolor", "cf. Trametes hirsuta", "Stereum sp.", "Polyporus versicolor"),
    *("Trametes versicolour", 'Nomen <b>inventum</b> & "co"', "Ganoderma applanatum", "Piptoporus betulinus"),
)


@pytest.fixture(scope="module")
def js(whole_reference: Reference) -> Iterator[Node]:
    yield from _side(whole_reference)


@pytest.fixture(scope="module")
def german_js(whole_reference: Reference) -> Iterator[Node]:
    yield from _side(whole_reference, language="de")


def _side(reference: Reference, *, language: str = "") -> Iterator[Node]:
    side = Node("run_panel.mjs", language=language)
    packed = pack(reference, (), tables.host_table().by_group)
    side.send({"pack": json.loads(pack_bytes(packed))})
    side.receive()
    yield side
    side.close()


@pytest.fixture
def _files_only(whole_reference: Reference, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(naming, "current_reference", lambda: whole_reference)
    monkeypatch.setattr("ledger.finds.log_page.current_reference", lambda: whole_reference)
    monkeypatch.setattr("ledger.finds.log_page.actions.waiting_photos", lambda *_: [])


def drawn_by_the_ledger(fields: Fields) -> dict[str, str]:
    data = QueryDict(mutable=True)
    for name, value in fields:
        data.appendlist(name, value)
    page = LogPage.filled(None, data)
    page.is_valid()
    text = render_to_string("finds/_check.html", page.context)
    return {name: same(html) for name, html in parts(text)}


def parts(text: str) -> list[tuple[str, str]]:
    """Each slot's name and what it holds: a slot ends where the next begins."""
    found = re.split(r'<div data-slot="([\w-]+)">', text)[1:]
    return [(name, html.rpartition("</div>")[0]) for name, html in zip(found[::2], found[1::2], strict=True)]


def same(html: str) -> str:
    """Without what no eye sees: blanks between elements, and the .0 of a whole number."""
    html = re.sub(r"\s+", " ", html)
    html = re.sub(
        r"> <(?=/?(div|p|svg|rect|line|text|table|thead|tbody|tr|th|td|ul|li|details|summary|h3))", "><", html
    )
    return re.sub(r"(\d)\.0%", r"\1%", html).strip()


def form(chance: random.Random) -> Fields:
    """A form that somebody filled in more or less, with slips."""
    fields: Fields = [["name_typed", chance.choice(NAMES)], ["found_on", chance.choice(("", "2026-10-03"))]]
    fields += [["specimen_state", chance.choice(("", "fresh", "moist", "air-dry"))]]
    fields += [["specimen_age", chance.choice(("", "young", "mature", "old"))]]
    fields += [["host", chance.choice(("", "Fagus", "birch", "Picea abies", "<i>tree</i>"))]]
    for trait in TRAITS:
        if chance.random() < 0.5:
            continue
        name, roll = f"r-{trait.code}", chance.random()
        if roll < 0.12:
            fields.append([f"{name}-looked", chance.choice(("cannot say", "absent"))])
        elif trait.kind == "states":
            codes = [state.code for state in trait.states]
            fields += [
                [f"{name}-states", code]
                for code in chance.sample(codes, min(len(codes), chance.choice((1, 1, 2))))
            ]
        elif roll < 0.8:
            size = chance.choice((0.5, 3, 4.5, 6, 12, 58, 120, 1234.5))
            fields += [
                [f"{name}-values", f"{size * chance.choice((1, 1.1, 0.97)):g}"]
                for _ in range(chance.choice((1, 3)))
            ]
        else:
            fields.append(
                [f"{name}-line", chance.choice(("3-5 n=4", "30-45", "1,234", "5o", "2 in", "(3-)4-5(-6)"))]
            )
        if chance.random() < 0.15:
            fields.append([f"{name}-state", chance.choice(("fresh", "weathered"))])
    return fields


@pytest.mark.parametrize("seed", range(60))
@pytest.mark.usefixtures("_files_only")
def test_a_filled_form_is_answered_with_the_same_html(seed: int, js: Node) -> None:
    _answers_alike(js, form(random.Random(seed)))


@pytest.mark.parametrize("seed", range(60, 72))
@pytest.mark.usefixtures("_files_only")
def test_it_is_answered_alike_in_another_language(seed: int, german_js: Node) -> None:
    with translation.override("de"):
        _answers_alike(german_js, form(random.Random(seed)))


def _answers_alike(js: Node, fields: Fields) -> None:
    js.send({"fields": fields, "icons": ICONS})
    there = drawn_by_the_ledger(fields)
    here = {name: same(html) for name, html in js.receive().items()}
    for name, html in there.items():
        assert here[name] == html, name
    assert here.keys() == there.keys()


ORANGE: Fields = [
    ["r-underside-states", "pores"],
    ["r-pore_surface_colour-states", "orange"],
    ["r-cap_colour-states", "orange"],
    ["r-cap_surface-states", "velvety"],
    ["r-consistency-states", "leathery"],
    ["r-rot-states", "white rot"],
]


@pytest.mark.parametrize(
    ("fields", "line", "said"),
    [
        ([["r-underside-states", "smooth"]], "taxa still open", "none of them stands out yet"),
        (ORANGE, "Fits best: T. cinnabarina", "<i>Trametes cinnabarina</i> fits best so far"),
    ],
)
@pytest.mark.usefixtures("_files_only")
def test_a_best_fit_is_told_only_where_one_stands_out(fields: Fields, line: str, said: str, js: Node) -> None:
    js.send({"fields": fields, "icons": ICONS})
    here = {name: same(html) for name, html in js.receive().items()}
    assert line in here["bar-line"] and said in here["check"]
    assert here == drawn_by_the_ledger(fields)


@pytest.mark.usefixtures("_files_only")
def test_an_empty_form_says_where_to_begin(js: Node) -> None:
    js.send({"fields": [], "icons": ICONS})
    slots = js.receive()
    assert "Begin with the underside" in slots["check"]
    assert {name: same(html) for name, html in slots.items()} == drawn_by_the_ledger([])


@pytest.mark.parametrize(
    "typed", [*NAMES, "Trametes", "Bjerkandera cf. adusta", "trametes hirsuta (Wulfen) Lloyd"]
)
@pytest.mark.usefixtures("_files_only")
def test_a_typed_name_is_answered_with_the_same_note(typed: str, js: Node) -> None:
    _names_alike(js, typed)


@pytest.mark.parametrize("typed", NAMES[2:])
@pytest.mark.usefixtures("_files_only")
def test_a_typed_name_is_answered_alike_in_another_language(typed: str, german_js: Node) -> None:
    with translation.override("de"):
        _names_alike(german_js, typed)


def _names_alike(js: Node, typed: str) -> None:
    js.send({"name": typed})
    there: Any = render_to_string("finds/_name_note.html", {"named": naming.read(typed[:200])})
    assert same(js.receive()) == same(there)
