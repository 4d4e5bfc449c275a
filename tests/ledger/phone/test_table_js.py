"""What is pure of the foray's table: the entry as fields of the log form, the list of the day, people and offers."""

from collections.abc import Iterator
from typing import Any

import pytest

from tests.js_side import JsSide

ADA = {"key": "m1", "member": 1, "name": "Ada Thorne", "code": "AT"}
SAM = {"key": "m2", "member": 2, "name": "Sam Oakley", "code": "SO"}
CARYS = {"key": "m3", "member": 3, "name": "Carys Bowen-Átkins", "code": "CB"}
TABLE = {"foray": 7, "day": "2026-10-03", "locality": "Hollin Wood", "permission": "Estate, 2026-4"}
TYPED = {
    "name": "Trametes versicolor",
    "substrates": ["stump"],
    "host": "Fagus",
    "count": "12",
    "serial": "",
    "isKept": True,
}


@pytest.fixture(scope="module")
def js() -> Iterator[JsSide]:
    node = JsSide("run_table.mjs")
    yield node
    node.close()


def entry(**given: Any) -> dict[str, Any]:
    return {
        "id": "a",
        "typed": TYPED,
        "namer": SAM,
        "holder": 1,
        "table": TABLE,
        "offsetMinutes": 60,
    } | given


def find(id: str, state: str = "waiting", at: int = 0, **given: Any) -> dict[str, Any]:
    return {
        "id": id,
        "state": state,
        "madeAt": at,
        "fields": [["name_typed", "Trametes versicolor"]],
        "photos": [],
        "number": "SO 1",
        "table": {"foray": 7, "day": "2026-10-03", "finder": SAM},
        "memberName": "Ada Thorne",
    } | given


def sent(
    id: str, number: str, at: str = "2026-10-03T10:00:00+00:00", name: str = "Stereum sp."
) -> dict[str, Any]:
    return {
        "id": id,
        "number": number,
        "finder": "Lewis Marsh",
        "name": name,
        "by": "Lewis Marsh",
        "logged_at": at,
    }


def test_an_entry_is_written_in_the_fields_of_the_log_form(js: JsSide) -> None:
    fields = dict(js.ask("fieldsOf", entry()))
    assert fields == {
        "find_id": "a",
        "found_on": "2026-10-03",
        "foray": "7",
        "permission": "Estate, 2026-4",
        "locality": "Hollin Wood",
        "name_typed": "Trametes versicolor",
        "determiner_name": "Sam Oakley",
        "r-substrate_state-states": "stump",
        "host": "Fagus",
        "fruit_bodies": "12",
        "kept": "on",
        "keyed_at_table": "on",
        "utc_offset_minutes": "60",
    }


PLACE = {"key": "foray 7", "text": "51.2345, -2.3456", "source": "phone", "accuracy": 14, "reach": 1000}


def test_each_find_has_the_table_s_place_with_an_error_that_reaches_as_far_as_they_looked(js: JsSide) -> None:
    fields = dict(js.ask("fieldsOf", entry(table=TABLE | {"place": PLACE})))
    said = (fields["position_typed"], fields["position_source"], fields["uncertainty_m"])
    assert said == ("51.2345, -2.3456", "table", "1014")


def test_the_place_of_another_table_is_given_to_nothing(js: JsSide) -> None:
    fields = dict(js.ask("fieldsOf", entry(table=TABLE | {"place": PLACE | {"key": "foray 6"}})))
    assert "position_typed" not in fields


@pytest.mark.parametrize(("source", "kept"), [("phone", "52.1, -2.1"), ("table", "51.2345, -2.3456")])
def test_a_find_s_own_place_goes_before_the_table_s(js: JsSide, source: str, kept: str) -> None:
    before = [["position_typed", "52.1, -2.1"], ["position_source", source], ["uncertainty_m", "8"]]
    fields = js.ask("fieldsOf", entry(table=TABLE | {"place": PLACE}), before)
    assert dict(fields)["position_typed"] == kept
    assert len([name for name, _ in fields if name == "position_typed"]) == 1


@pytest.mark.parametrize(
    ("text", "reach", "problem"),
    [
        ("by the weir", "1000", "words, not coordinates"),
        ("30N 545678 5676543", "1000", "decimal degrees only"),
        ("51.2345, -2.3456", "", "number of metres"),
        ("51.2345, -2.3456", "0", "number of metres"),
        ("51.2345, -2.3456", "far", "number of metres"),
    ],
)
def test_a_place_that_the_ledger_would_refuse_is_given_to_no_find(
    js: JsSide, text: str, reach: str, problem: str
) -> None:
    given = js.ask("placeGiven", {"text": text, "accuracy": None, "reach": reach, "key": "foray 7"})
    assert problem in given["problem"]


def test_no_place_is_none_and_a_typed_one_is_said_to_be_typed(js: JsSide) -> None:
    about = {"accuracy": None, "reach": "1500", "key": "foray 7"}
    assert js.ask("placeGiven", about | {"text": "  "}) is None
    assert js.ask("placeGiven", about | {"text": "51.2345, -2.3456"})["source"] == "typed"


@pytest.mark.parametrize(
    ("namer", "name"), [(ADA, "Trametes versicolor"), (SAM, ""), (None, "Trametes versicolor")]
)
def test_who_keys_is_not_named_beside_an_opinion_of_their_own(
    js: JsSide, namer: dict[str, Any] | None, name: str
) -> None:
    fields = js.ask("fieldsOf", entry(namer=namer, typed=TYPED | {"name": name}))
    assert "determiner_name" not in dict(fields)


def test_a_guest_who_named_it_is_named(js: JsSide) -> None:
    fields = js.ask("fieldsOf", entry(namer=js.ask("guest", "  Prof.  Elm ")))
    assert dict(fields)["determiner_name"] == "Prof. Elm"


def test_what_the_whole_form_added_stays_when_the_short_entry_is_corrected(js: JsSide) -> None:
    before = [
        ["smell", "aniseed"],
        ["locality", "by the weir"],
        ["r-substrate_state-states", "root"],
        ["r-substrate_state-states", "stump"],
        ["kept", "on"],
        ["utc_offset_minutes", "0"],
    ]
    fields = js.ask("fieldsOf", entry(typed=TYPED | {"substrates": [], "isKept": False}), before)
    assert [pair for pair in fields if pair[0] in {"smell", "locality", "utc_offset_minutes"}] == [
        ["smell", "aniseed"],
        ["utc_offset_minutes", "0"],
        ["locality", "by the weir"],
    ]
    assert not {"r-substrate_state-states", "kept"} & dict(fields).keys()


def test_an_entry_is_shown_again_as_it_was_typed(js: JsSide) -> None:
    typed = TYPED | {"substrates": ["root", "stump"], "isKept": False, "serial": "31"}
    assert js.ask("typedOf", js.ask("fieldsOf", entry(typed=typed))) == typed


@pytest.mark.parametrize(
    ("fields", "photos", "worth"),
    [
        ([["found_on", "2026-10-03"], ["locality", "Hollin Wood"], ["kept", "on"]], [], False),
        ([["r-cap_width-unit", "mm"], ["datum", "WGS84"], ["name_typed", " "]], [], False),
        ([["r-cap_width-values", "30"]], [], True),
        ([["note", "on the ground"]], [], True),
        ([], [{"sha256": "ab"}], True),
    ],
)
def test_what_stands_in_every_entry_makes_no_find(
    js: JsSide, fields: list[list[str]], photos: list[Any], worth: bool
) -> None:
    assert js.ask("isWorthKeeping", {"fields": fields, "photos": photos}) is worth


def test_a_number_on_a_slip_goes_before_that_of_the_phone(js: JsSide) -> None:
    slip = find("a", fields=[["serial", "31"]], memberCode="SO")
    assert js.ask("numberOf", slip) == "SO 31"
    assert js.ask("numberOf", slip | {"onLedger": True}) == "SO 1"


def rows(js: JsSide, finds: list[dict[str, Any]], ledger: list[dict[str, Any]], **given: Any) -> Any:
    return js.ask("rowsOfDay", {"finds": finds, "ledger": ledger, "key": "foray 7"} | given)


def test_what_others_sent_stands_in_the_list_by_the_hour_and_says_whose_it_is(js: JsSide) -> None:
    nine = 1_790_000_000_000  # a day of September 2026
    listed = rows(
        js, [find("a", at=nine), find("c", at=nine + 2000)], [sent("b", "LM 4", at="2026-09-21T14:13:21Z")]
    )
    assert [row["id"] for row in listed] == ["c", "b", "a"]
    assert js.ask("stateWords", listed[0]) == "in the outbox"
    assert js.ask("stateWords", listed[1]) == "on the ledger, sent by Lewis Marsh"


def test_one_find_is_one_row_and_what_waits_here_goes_before_what_the_ledger_has(js: JsSide) -> None:
    ledger = [sent("a", "SO 1", name="Stereum sp."), sent("b", "SO 2", name="Fomes")]
    listed = rows(js, [find("a"), find("b", "confirmed", number="SO 2")], ledger)
    assert {row["id"]: (row["name"], row["state"]) for row in listed} == {
        "a": ("Trametes versicolor", "waiting"),
        "b": ("Fomes", "there"),
    }


def test_the_same_number_twice_is_marked_on_both(js: JsSide) -> None:
    listed = rows(
        js, [find("a", number="SO 2"), find("d", number=None)], [sent("b", "SO 2"), sent("c", "SO 3")]
    )
    assert {row["id"] for row in listed if row["isTwice"]} == {"a", "b"}


def test_the_list_is_of_this_table_without_the_find_in_the_entry_and_without_empty_ones(js: JsSide) -> None:
    elsewhere = find("b", table={"foray": None, "day": "2026-10-03", "finder": SAM})
    listed = rows(
        js,
        [find("a"), elsewhere, find("c", "typing"), find("d", "typing", fields=[]), find("e", table=None)],
        [],
        without="c",
    )
    assert [row["id"] for row in listed] == ["a"]


def test_a_find_that_the_phone_has_let_go_stays_in_the_list(js: JsSide) -> None:
    kept = js.ask("keptRows", rows(js, [find("a", "confirmed"), find("b")], [sent("c", "LM 1")]))
    assert list(kept) == ["a"]
    assert [row["number"] for row in rows(js, [], [], kept=kept)] == ["SO 1"]


def test_the_totals_count_by_finder_and_by_name(js: JsSide) -> None:
    listed = rows(js, [find("a"), find("b"), find("c", fields=[])], [sent("d", "LM 1")])
    assert js.ask("totals", listed) == {
        "finders": [["Sam Oakley", 3], ["Lewis Marsh", 1]],
        "names": [["Trametes versicolor", 2], ["no name yet", 1], ["Stereum sp.", 1]],
    }


@pytest.mark.parametrize(
    ("typed", "names"),
    [
        ("so", ["Sam Oakley"]),
        ("a", ["Ada Thorne", "Carys Bowen-Átkins"]),
        ("bow", ["Carys Bowen-Átkins"]),
        ("car atk", ["Carys Bowen-Átkins"]),
        ("oakley sam", ["Sam Oakley"]),
        ("x", []),
    ],
)
def test_people_are_found_by_code_or_first_letters_in_any_order(
    js: JsSide, typed: str, names: list[str]
) -> None:
    assert [person["name"] for person in js.ask("matching", [ADA, SAM, CARYS], typed)] == names


def test_a_chip_keeps_its_place_and_the_one_used_longest_ago_makes_room(js: JsSide) -> None:
    shown: Any = []
    for at, code in enumerate("ABCDEF", 1):
        shown = js.ask("used", shown, {"key": code}, at)
    shown = js.ask("used", shown, {"key": "A"}, 7)
    assert [one["key"] for one in shown] == [*"ABCDEF"]
    shown = js.ask("used", shown, {"key": "G"}, 8)
    assert [one["key"] for one in shown] == ["A", "G", "C", "D", "E", "F"]


def test_who_keys_is_the_first_chip_wherever_they_stood(js: JsSide) -> None:
    assert js.ask("selfFirst", [], ADA) == [ADA]
    assert js.ask("selfFirst", [SAM, ADA | {"at": 3}, CARYS], ADA) == [ADA, SAM, CARYS]


def test_names_of_today_are_offered_first_and_none_once_it_is_typed_out(js: JsSide) -> None:
    given = {
        "used": ["Trametes hirsuta", "Fomes", "Fomes"],
        "known": [["Trametes gibbosa", ""], ["Trametes versicolor", ""]],
    }
    hirsuta, gibbosa, versicolor = (
        [name, ""] for name in ("Trametes hirsuta", "Trametes gibbosa", "Trametes versicolor")
    )
    assert js.ask("offersFor", "", given) == [["Fomes", ""], hirsuta]
    assert js.ask("offersFor", "tr", given) == [hirsuta, gibbosa, versicolor]
    assert js.ask("offersFor", "t v", given) == [versicolor]
    assert js.ask("offersFor", "trametes versicolor", given) == []


def test_an_english_name_is_offered_with_the_latin_one_that_is_written_for_it(js: JsSide) -> None:
    known = [
        ["Stereum ostrea", "false turkey tail"],
        ["Trametes versicolor", ""],
        ["Trametes versicolor", "turkey tail"],
        ["Ganoderma lucidum", "lacquered bracket"],
        ["Ganoderma resinaceum", "lacquered bracket"],
    ]
    given = {"used": ["Trametes versicolor"], "known": known}
    offered = js.ask("offersFor", "turk", given)
    assert offered == [["Trametes versicolor", "turkey tail"], ["Stereum ostrea", "false turkey tail"]]
    assert js.ask("offersFor", "Turkey tail", given) == []
    both = [["Ganoderma lucidum", ""], ["Ganoderma resinaceum", ""]]
    assert js.ask("offersFor", "lacquered bracket", given) == both
