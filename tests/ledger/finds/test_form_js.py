"""The fields of the log form in JavaScript against the forms of the ledger: the same specimen, the same problems.

No database: the reference is put where the name of the form is read, and a Find is only filled in, never stored.
"""

import dataclasses
import json
from collections.abc import Iterator

import pytest
from django.http import QueryDict
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.finds import naming, tables
from ledger.finds.forms import FindForm
from ledger.finds.forms_readings import ReadingsForm
from ledger.finds.log_page import LogPage
from ledger.taxa.queries import vocabulary
from ledger.traits.check import check_specimen
from ledger.traits.instruments import INSTRUMENTS, UNITS
from ledger.traits.phone_pack import pack, pack_bytes
from ledger.traits.readings import AGES, SPECIMEN_STATES
from ledger.traits.result_json import as_json
from tests.js_side import KNOWN, JsSide


@pytest.fixture(scope="module")
def js(whole_reference) -> Iterator[JsSide]:
    side = JsSide("run_typed.mjs")
    packed = pack(whole_reference, (), tables.host_table().by_group)
    side.ask("pack", json.loads(pack_bytes(packed)))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(naming, "current_reference", lambda: whole_reference)
        yield side
    side.close()


def _page(fields):
    data = QueryDict(mutable=True)
    for name, value in fields:
        data.appendlist(name, value)
    return LogPage(None, FindForm(data), ReadingsForm(vocabulary(), data))


def _python(fields):
    page = _page(fields)
    specimen, rows = page.specimen, page.readings
    named = dataclasses.asdict(page.named)
    named["near"] = list(named.pop("proposals"))
    return {
        "specimen": {
            "taxon": specimen.taxon,
            "state": specimen.state,
            "age": specimen.age,
            "readings": {code: _reading(reading) for code, reading in specimen.readings.items()},
        },
        "problems": rows.errors,
        "ways": {row.trait.code: list(row.ways) for row in rows if row.ways},
        "converted": {row.trait.code: row.converted for row in rows if row.converted},
        "named": named,
    }


def _reading(reading):
    made = dataclasses.asdict(reading) | {"values": list(reading.values), "states": sorted(reading.states)}
    del made["trait"]
    return made


def _same(js, fields):
    assert js.ask("specimenOf", fields) == _python(fields)


TRAITS = [trait for trait in vocabulary().traits.values() if trait.kind != "months"]
NUMBERS = [trait for trait in TRAITS if trait.kind == "number"]
anything = st.text(alphabet=KNOWN, max_size=8)
typed = st.sampled_from(
    [
        *(
            "",
            "",
            " ",
            "58",
            "61",
            "5,5",
            "4.25",
            "0",
            "1,234",
            "30-45",
            "(3-)4-5(-6)",
            "4-5 n=3",
            "30 35 45",
            "wide",
        ),
        *(
            "5.8 cm",
            "2 in",
            '2"',
            "58 mm",
            "12 µm",
            "per mm 4",
            "n=3",
            "4 n=2",
            "7 N 2",
            "3.5,4",
            "5o",
            "999999999",
        ),
        *(
            "1e3",
            "٣",
            "4 5 n=3",
            "9" * 70,
            " 58\ufeff",
            "Ⅳ 4",
            "1.5",
            "0.1 0.2",
            "1/mm",
            "3.3333333333 inches",
        ),
    ]
)
conditions = st.sampled_from(["", "", *SPECIMEN_STATES, *AGES, "boiled"])


@st.composite
def rows_of_numbers(draw):
    trait = draw(st.sampled_from(NUMBERS))
    name = f"r-{trait.code}"
    units = ["", *(code for code, _ in UNITS[trait.unit]), "cm", "in", "furlong"]
    instruments = ["", *(one.code for one in INSTRUMENTS[trait.unit]), "thumb", "yardstick", "toString"]
    fields = [[f"{name}-values", text] for text in draw(st.lists(typed, max_size=4))]
    fields += [[f"{name}-line", text] for text in draw(st.lists(typed, max_size=1))]
    fields.append([f"{name}-unit", draw(st.sampled_from(units))])
    fields.append([f"{name}-instrument", draw(st.sampled_from(instruments))])
    return fields + draw(_more(name))


def _more(name):
    looked = st.sampled_from(["cannot say", "absent", "perhaps"]).map(lambda word: [[f"{name}-looked", word]])
    both = st.just([[f"{name}-looked", "cannot say"], [f"{name}-looked", "absent"]])
    state = conditions.map(lambda word: [[f"{name}-state", word]])
    age = conditions.map(lambda word: [[f"{name}-age", word]])
    none = st.just([])
    return st.sampled_from(range(12)).flatmap(
        lambda dice: (
            looked if dice == 0 else both if dice == 1 else state if dice < 4 else age if dice < 6 else none
        )
    )


@st.composite
def rows_of_states(draw):
    trait = draw(st.sampled_from([trait for trait in TRAITS if trait.kind == "states"]))
    name = f"r-{trait.code}"
    codes = [state.code for state in trait.states] * 3 + ["wings"]
    fields = [[f"{name}-states", code] for code in draw(st.lists(st.sampled_from(codes), max_size=3))]
    return fields + draw(_more(name))


days = st.sampled_from(
    [
        *(
            "2026-10-03",
            "3.10.2026",
            "03.1.2026",
            "3 Oct 2026",
            "3 october 2026",
            "31 may 0001",
            "2024-02-29",
            "2023-02-29",
        ),
        *(
            "1900-02-29",
            "2000-02-29",
            "0000-01-01",
            "2026-13-01",
            "2026-10-32",
            "2026-10-3x",
            "26-10-03",
            "",
            " ",
            "3  Sep  2026",
        ),
        *(
            "٢٠٢٦-10-03",
            " 2026-10-03 ",
            "3. 10. 2026",
            "3 ſep 2026",
            "3 Sept 2026",
            "2026-1-1",
            "1\u00a0Dec\u30002026",
        ),
        *(
            "31.4.2026",
            "30.4.2026",
            "2026-10-03T10:00",
            "2026-1-٢",
            "2026- 3-04",
            "2026-03- 4",
            "12 AUG 2026",
            " 4 Jan 2026",
        ),
    ]
)
hosts = st.sampled_from(
    [
        *(
            "",
            "Fagus",
            "birch",
            "pines",
            "mountain ash",
            "oak or pine",
            "oak or beech",
            "Douglas-fir",
            "cedar",
            "Ginkgo",
        ),
        *(
            "hardwood",
            "needle-leaved tree",
            "deciduous",
            "old OAK, fallen",
            "x" * 121,
            "oak\0",
            "grass",
            "Quercus ×",
            "  oak ",
        ),
    ]
)
names = st.sampled_from(
    [
        *(
            "",
            "Trametes versicolor",
            "trametes  cf. versicolor",
            "Piptoporus betulinus",
            "Tramets versicolor",
            "Ganoderma",
        ),
        *(
            "Polyporaceae",
            "Amanita muscaria",
            "x" * 201,
            "Trametes on oak",
            "?",
            "\0Trametes versicolor",
            " \u3000",
            "T. gibbosa",
        ),
    ]
)


@st.composite
def records(draw):
    fields = []
    for name, values in (
        ("found_on", days),
        ("host", hosts),
        ("name_typed", names),
        ("specimen_state", conditions),
        ("specimen_age", conditions),
    ):
        fields += [
            [name, value] for value in draw(st.lists(values, max_size=1) | st.lists(values, max_size=2))
        ]
    return fields


whole_forms = st.builds(
    lambda rows, record, odd: [*(field for row in rows for field in row), *record, *odd],
    st.lists(rows_of_numbers() | rows_of_states(), max_size=5),
    records(),
    st.lists(
        st.tuples(st.sampled_from(["note", "r-", "r-cap_width-values", "smell", "host"]), anything).map(list),
        max_size=2,
    ),
)


@settings(max_examples=700)
@given(whole_forms)
def test_forms_are_read_alike(js, fields):
    _same(js, fields)


def _in_words(result):
    """What a check says, without the numbers that are rounded for show."""
    return {
        "taxon": result["taxon"],
        "standing": result["standing"],
        "traits": [(one["trait"], one["outcome"], one["why"]) for one in result["traits"]],
        "look_alikes": [(one["taxon"], one["standing"], one["against"]) for one in result["look_alikes"]],
        "next_look": [one["sentence"] for one in result["next_look"]],
        "missing": result["missing"],
        "note": result.get("note"),
    }


@settings(max_examples=100)
@given(whole_forms)
def test_a_form_is_checked_alike(js, whole_reference, fields):
    ours = as_json(check_specimen(whole_reference, _page(fields).specimen))
    assert _in_words(js.ask("checkForm", fields)) == _in_words(ours)


@settings(max_examples=600)
@given(rows_of_numbers())
def test_rows_of_numbers_are_read_alike(js, fields):
    _same(js, fields)


@settings(max_examples=300)
@given(days | anything | st.from_regex(r"[0-3]?[0-9][.-/ ][01]?[0-9][.-/ ][12]\d\d\d", fullmatch=True))
def test_days_are_read_alike(js, text):
    form = FindForm(QueryDict(mutable=True) | {"found_on": text})
    form.is_valid()
    day = form.cleaned_data.get("found_on")
    assert js.ask("dayOf", text) == (day and {"year": day.year, "month": day.month, "day": day.day})


@settings(max_examples=300)
@given(hosts | st.lists(hosts, max_size=3).map(" ".join) | anything)
def test_hosts_are_read_alike(js, text):
    assert js.ask("groupOf", text) == tables.host_table().group_of(text)


def test_every_host_of_the_table_is_read_alike(js):
    for phrase in tables.host_table().phrases:
        for text in (" ".join(phrase), " ".join(phrase).upper() + "s"):
            assert js.ask("groupOf", text) == tables.host_table().group_of(text)


@pytest.mark.parametrize(
    "query",
    [
        *("", "r-cap_width-values=&r-cap_width-values=&r-cap_width-line=&r-cap_width-unit=mm"),
        *("r-cap_width-values=58&r-cap_width-values=&r-cap_width-values=61", "r-cap_width-values=0"),
        *("r-cap_width-values=5,8&r-cap_width-unit=cm", "r-cap_width-values=2&r-cap_width-unit=in"),
        *("r-cap_width-values=5.8 cm", "r-cap_width-values=58 mm&r-cap_width-unit=cm"),
        *(
            "r-cap_width-values=58&r-cap_width-instrument=calliper",
            "r-pores_per_mm-values=4&r-pores_per_mm-instrument=along5",
        ),
        *(
            "r-cap_width-line=30-45 n=5",
            "r-cap_width-values=30-45",
            "r-cap_width-values=30-45&r-cap_width-values=50",
        ),
        *(
            "r-cap_width-values=30&r-cap_width-line=40-50",
            "r-cap_width-values=1,234",
            "r-cap_width-values=1.5 in&r-cap_width-values=4-5",
        ),
        *(
            "r-underside-states=pores&r-underside-states=maze",
            "r-zonation-looked=absent",
            "r-zonation-looked=cannot say",
        ),
        *(
            "r-zonation-looked=absent&r-zonation-states=zoned",
            "r-zonation-looked=absent&r-zonation-looked=cannot say",
        ),
        *(
            "r-zonation-looked=cannot say&r-zonation-looked=absent",
            "r-cap_width-looked=cannot say&r-cap_width-values=58",
        ),
        *("r-underside-states=wings", "r-rot-looked=perhaps", "r-rot-state=boiled", "r-underside-values=3"),
        *(
            "r-cap_width-values=58&r-cap_width-state=air-dry&r-cap_width-age=old",
            "r-cap_width-values=wide&r-underside-states=pores",
        ),
        *(
            "r-cap_width-line=4-5 n=3&r-cap_width-unit=in",
            "r-cap_width-line=(3-)4-5(-6)",
            "r-spore_length-line=(3-)4-5(-6) n=30",
        ),
        *(
            "host=Picea&r-host-states=hardwood",
            "host=Picea",
            "found_on=2026-10-03",
            "found_on=nonsense&host=oak",
        ),
        *(
            "&".join(["r-cap_width-values=1"] * 61),
            "r-cap_width-values=" + "1 " * 40,
            "specimen_state=fresh&specimen_age=old",
        ),
        *(
            "specimen_state= fresh",
            "name_typed=Trametes versicolor&name_typed=Trametes gibbosa",
            "r-host-values=3&host=oak",
        ),
    ],
)
def test_awkward_forms_are_read_alike(js, query):
    _same(js, [[name, value] for name, values in QueryDict(query).lists() for value in values])
