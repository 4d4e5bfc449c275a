"""The walls of the house: which room may import which."""

import ast
import re
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]

# Rooms that know no Django, no settings and no clock.
PURE = [
    "ledger/collecting_numbers.py",
    "ledger/days.py",
    "ledger/words.py",
    "ledger/finds/counted.py",
    "ledger/finds/data_words.py",
    "ledger/traits",
    "ledger/names",
    "ledger/places",
    "ledger/photos",
    "ledger/measuring",
    "ledger/record",
    *("ledger/demo/beside.py", "ledger/demo/brushes.py", "ledger/demo/caps.py", "ledger/demo/darkroom.py"),
    *("ledger/demo/drawing.py", "ledger/demo/logs.py", "ledger/demo/scene.py", "ledger/demo/undersides.py"),
    "ledger/finds/wood_words.py",
    "ledger/paper",
    "ledger/exchange",
    "ledger/phone/payload.py",
    "ledger/taxa/range_words.py",
    "ledger/spores/statistics.py",
    "ledger/spores/notation.py",
    "ledger/spores/typed.py",
    "ledger/spores/plot.py",
    "ledger/reports/sheet.py",
    "ledger/reports/cautions.py",
    "ledger/reports/report_pdf.py",
    "ledger/year/cells.py",
    "ledger/year/outlines.py",
    "ledger/year/season.py",
    "ledger/year/against.py",
    "ledger/year/view.py",
    "ledger/year/map_words.py",
    "ledger/search/fold.py",
    "ledger/search/keys.py",
    "ledger/search/words.py",
    "ledger/search/days.py",
    "ledger/search/days_ago.py",
    "ledger/search/german.py",
    "ledger/search/numbers.py",
    "ledger/search/known.py",
    "ledger/search/terms.py",
    "ledger/taking_in/refused.py",
    "ledger/taking_in/grid.py",
    "ledger/taking_in/text_table.py",
    "ledger/taking_in/workbook.py",
    "ledger/taking_in/gpx.py",
    "ledger/taking_in/cells.py",
    "ledger/taking_in/columns.py",
    "ledger/taking_in/units_named.py",
    "ledger/taking_in/report.py",
    "ledger/backup/container.py",
    "ledger/backup/errors.py",
    "ledger/backup/retention.py",
    "ledger/backup/sealing.py",
    "vouchers/labels",
    "vouchers/codes.py",
    "vouchers/register/numbers.py",
    "vouchers/register/chain.py",
    "vouchers/register/audit.py",
    "vouchers/register/book.py",
    "vouchers/register/reasons.py",
    "vouchers/register/sentences.py",
    "vouchers/mids/levels.py",
    "vouchers/store/kinds.py",
    "vouchers/store/absence.py",
    "vouchers/store/words.py",
    "vouchers/stocktake/compare.py",
    "vouchers/stocktake/message.py",
    "vouchers/stocktake/said.py",
    "vouchers/stocktake/ways.py",
    "vouchers/loans/numbers.py",
    "vouchers/loans/due.py",
    "vouchers/loans/terms.py",
    "vouchers/loans/reminders.py",
    "vouchers/loans/form_pdf.py",
    "vouchers/sampling/purposes.py",
    "vouchers/sampling/warnings.py",
    "vouchers/mids/hints.py",
    "vouchers/permits/wording.py",
    "vouchers/printing/compare.py",
    "vouchers/printing/kinds.py",
    "vouchers/printing/wording.py",
    "vouchers/preparation/order.py",
    "vouchers/preparation/missed.py",
    "vouchers/preparation/thickness.py",
    "vouchers/preparation/units.py",
]
NOT_IN_PURE = ("django", "environ", "axes", "csp", "ledger.settings")
CLOCKS = {
    ("datetime", "now"),
    ("datetime", "utcnow"),
    ("datetime", "today"),
    ("date", "today"),
    ("time", "time"),
}

# The pure rooms that a pure room may lean on; one without a row leans on none.
PURE_MAY_USE = {
    "ledger/photos": {"ledger/collecting_numbers.py", "ledger/days.py", "ledger/places"},
    "ledger/traits": {"ledger/days.py"},
    "ledger/record": {"ledger/days.py", "ledger/traits", "ledger/places", "ledger/names"},
    "ledger/paper": {"ledger/days.py", "ledger/traits", "ledger/photos", "ledger/measuring"},
    "ledger/demo/beside.py": {"ledger/measuring"},
    "ledger/demo/brushes.py": {"ledger/demo/beside.py"},
    "ledger/demo/caps.py": {"ledger/demo/brushes.py"},
    "ledger/demo/darkroom.py": {"ledger/demo/beside.py", "ledger/demo/drawing.py"},
    "ledger/demo/drawing.py": {
        *("ledger/demo/beside.py", "ledger/demo/brushes.py", "ledger/demo/caps.py"),
        *("ledger/demo/logs.py", "ledger/demo/undersides.py"),
    },
    "ledger/demo/logs.py": {"ledger/demo/brushes.py"},
    "ledger/demo/undersides.py": {"ledger/demo/brushes.py", "ledger/demo/caps.py"},
    "ledger/phone/payload.py": {"ledger/record"},
    "ledger/taxa/range_words.py": {"ledger/traits"},
    "ledger/exchange": {"ledger/days.py", "ledger/names", "ledger/places"},
    "ledger/backup/container.py": {"ledger/backup/errors.py", "ledger/backup/sealing.py"},
    "ledger/backup/sealing.py": {"ledger/backup/errors.py"},
    "ledger/spores/notation.py": {"ledger/spores/statistics.py"},
    "ledger/spores/typed.py": {"ledger/spores/statistics.py"},
    "ledger/spores/plot.py": {"ledger/spores/statistics.py"},
    "ledger/search/days.py": {"ledger/days.py", "ledger/search/days_ago.py", "ledger/search/german.py"},
    "ledger/search/known.py": {"ledger/names", "ledger/search/fold.py", "ledger/search/terms.py"},
    "ledger/search/terms.py": {"ledger/search/days.py"},
    "ledger/search/numbers.py": {
        *("ledger/collecting_numbers.py", "ledger/search/days.py", "ledger/search/known.py"),
        "ledger/search/terms.py",
    },
    "ledger/search/words.py": {
        *("ledger/names", "ledger/search/days.py", "ledger/search/fold.py", "ledger/search/known.py"),
        *("ledger/search/numbers.py", "ledger/search/terms.py"),
    },
    "ledger/taking_in/grid.py": {"ledger/taking_in/refused.py"},
    "ledger/taking_in/text_table.py": {
        "ledger/record",
        "ledger/taking_in/grid.py",
        "ledger/taking_in/refused.py",
    },
    "ledger/taking_in/workbook.py": {
        "ledger/exchange",
        "ledger/taking_in/grid.py",
        "ledger/taking_in/refused.py",
    },
    "ledger/taking_in/gpx.py": {"ledger/places", "ledger/taking_in/refused.py"},
    "ledger/taking_in/cells.py": {"ledger/record", "ledger/taking_in/grid.py"},
    "ledger/taking_in/columns.py": {"ledger/record"},
    "ledger/taking_in/units_named.py": {
        *("ledger/traits", "ledger/taking_in/cells.py", "ledger/taking_in/columns.py"),
        "ledger/taking_in/grid.py",
    },
    "ledger/reports/sheet.py": {"ledger/paper"},
    "ledger/reports/report_pdf.py": {"ledger/paper", "ledger/reports/sheet.py"},
    "ledger/year/against.py": {"ledger/spores/statistics.py"},
    "ledger/year/season.py": {"ledger/days.py"},
    "ledger/year/view.py": {"ledger/year/cells.py"},
    "vouchers/labels": {"ledger/paper"},
    "vouchers/codes.py": {"vouchers/register/numbers.py"},
    "vouchers/loans/due.py": {"ledger/days.py"},
    "vouchers/loans/form_pdf.py": {"ledger/days.py", "ledger/paper", "vouchers/loans/terms.py"},
    "vouchers/loans/reminders.py": {"ledger/days.py", "ledger/record", "vouchers/loans/due.py"},
    "vouchers/mids/hints.py": {"vouchers/mids/levels.py"},
    "vouchers/permits/wording.py": {"ledger/days.py"},
    "vouchers/preparation/missed.py": {"ledger/traits", "vouchers/preparation/order.py"},
    "vouchers/preparation/order.py": {"ledger/days.py"},
    "vouchers/printing/compare.py": {"vouchers/labels"},
    "vouchers/printing/wording.py": {"ledger/traits"},
    "vouchers/register/audit.py": {"vouchers/register/chain.py"},
    "vouchers/register/book.py": {"ledger/days.py", "ledger/paper"},
    "vouchers/register/sentences.py": {"ledger/record", "vouchers/register/reasons.py"},
    "vouchers/stocktake/compare.py": {"vouchers/store/absence.py"},
    "vouchers/stocktake/message.py": {"ledger/phone/payload.py", "ledger/record"},
    "vouchers/stocktake/said.py": {"ledger/days.py", "vouchers/stocktake/compare.py"},
}

# Whoever says a sentence may lean on what says it in the reader's language.
OF_ALL = {"ledger/words.py"}


def _files(place: str) -> list[Path]:
    path = ROOT / place
    return [path] if path.is_file() else sorted(path.rglob("*.py"))


def _module(file: Path) -> str:
    return ".".join(file.relative_to(ROOT).with_suffix("").parts)


def _imports(file: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(file.read_text())):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{file}: relative import; say where it comes from"
            yield node.module or ""
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def _within(name: str, package: str) -> bool:
    return name == package or name.startswith(package + ".")


@pytest.mark.parametrize("place", PURE)
def test_a_pure_room_imports_no_django(place: str) -> None:
    files = _files(place)
    assert files, f"{place} is gone; take it off the list"
    wrong = [
        (_module(file), name)
        for file in files
        for name in _imports(file)
        if any(_within(name, no) for no in NOT_IN_PURE)
    ]
    assert wrong == []


@pytest.mark.parametrize("place", PURE)
def test_a_pure_room_reads_no_clock(place: str) -> None:
    wrong = []
    for file in _files(place):
        for node in ast.walk(ast.parse(file.read_text())):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
                owner = node.func.value
                name = owner.attr if isinstance(owner, ast.Attribute) else getattr(owner, "id", "")
                if (name, node.func.attr) in CLOCKS:
                    wrong.append((_module(file), node.lineno))
    assert wrong == []


def _room(place: str) -> str:
    return place.removesuffix(".py").replace("/", ".")


def _leans_on(place: str, allowed: set[str]) -> list[tuple[str, str]]:
    """What of ours the files of *place* import, beyond *place* itself and *allowed*; a package on the way does not count."""
    good = {_room(place), *(_room(other) for other in allowed | OF_ALL)}
    return [
        (_module(file), name)
        for file in _files(place)
        for name in _imports(file)
        if (_within(name, "ledger") or _within(name, "vouchers"))
        and not any(_within(name, one) or one.startswith(name + ".") for one in good)
    ]


@pytest.mark.parametrize("place", PURE)
def test_a_pure_room_leans_only_on_the_pure_rooms_named_for_it(place: str) -> None:
    assert _leans_on(place, PURE_MAY_USE.get(place, set())) == []


def test_what_a_pure_room_may_lean_on_is_pure_itself() -> None:
    assert set().union(PURE_MAY_USE, *PURE_MAY_USE.values()) <= set(PURE)


def test_a_module_that_calls_itself_pure_is_within_the_wall() -> None:
    walled = {_module(file) for place in PURE for file in _files(place)}
    says_so = {
        _module(file)
        for place in ("ledger", "vouchers")
        for file in _files(place)
        if re.search(r"\bPure\b", (ast.get_docstring(ast.parse(file.read_text())) or "").partition("\n\n")[0])
    }
    assert says_so - walled == set()


def test_ledger_does_not_know_vouchers() -> None:
    # The front door joins the two: settings name the app, urls include its addresses, by text.
    wrong = [
        (_module(file), name)
        for file in _files("ledger")
        for name in _imports(file)
        if _within(name, "vouchers")
    ]
    assert wrong == []


def test_only_the_distance_module_imports_geopy() -> None:
    users = {_module(file) for file in _files("ledger") for name in _imports(file) if _within(name, "geopy")}
    assert users == {"ledger.places.distance"}


def test_nothing_imports_in_a_circle() -> None:
    graph: dict[str, set[str]] = {}
    modules = {
        _module(file).removesuffix(".__init__"): file
        for place in ("ledger", "vouchers")
        for file in _files(place)
    }
    for module, file in modules.items():
        top_level = ast.parse(file.read_text()).body
        names = []
        for node in top_level:
            if isinstance(node, ast.Import):
                names += [alias.name for alias in node.names]
            elif isinstance(node, ast.ImportFrom):
                names += [node.module or ""] + [f"{node.module}.{alias.name}" for alias in node.names]
        graph[module] = {name for name in names if name in modules and name != module}
    done: set[str] = set()

    def walk(module: str, path: tuple[str, ...]) -> None:
        assert module not in path, " -> ".join([*path[path.index(module) :], module])
        if module in done:
            return
        for other in graph[module]:
            walk(other, (*path, module))
        done.add(module)

    for module in graph:
        walk(module, ())


def test_nothing_listens_for_signals() -> None:
    wrong = [
        (_module(file), name)
        for place in ("ledger", "vouchers")
        for file in _files(place)
        for name in _imports(file)
        if "signals" in name or name.endswith(".receiver")
    ]
    assert wrong == []


# Who may read where a find was made: the door itself, and what computes, checks or takes in a position.
PLACE_READERS = {
    *("ledger.finds.access", "ledger.finds.assess", "ledger.finds.forms", "ledger.finds.models"),
    *("ledger.finds.log_page", "ledger.finds.photo_actions", "ledger.finds.boxed_place"),
    "ledger.search.entries",  # works out what the index keeps, exact and open apart
    "ledger.templatetags.checks",  # what a photo says, to the member who has just sent it
    "vouchers.mids.gather",  # whether a place is stored; nothing of it is shown
}
OF_A_PLACE = {"latitude", "longitude", "locality", "altitude_m", "position_typed", "trees_nearby"}


def _reads_of_place(file: Path) -> Iterator[tuple[str, int]]:
    for node in ast.walk(ast.parse(file.read_text())):
        if (
            isinstance(node, ast.Attribute)
            and node.attr in OF_A_PLACE
            and isinstance(node.value, ast.Name | ast.Attribute)
        ):
            owner = node.value.attr if isinstance(node.value, ast.Attribute) else node.value.id
            if owner in ("find", "row", "photo"):
                yield owner, node.lineno


def test_a_find_s_place_is_read_by_its_door_only() -> None:
    rooms = (
        "ledger/finds",
        "ledger/bench",
        "ledger/taxa",
        "ledger/forays",
        "ledger/phone",
        "ledger/search",
        "ledger/templatetags",
        "vouchers",
    )
    wrong = [
        (_module(file), *read)
        for room in rooms
        for file in _files(room)
        if _module(file) not in PLACE_READERS
        for read in _reads_of_place(file)
    ]
    assert wrong == []


def test_no_template_reads_a_find_s_place_past_the_door() -> None:
    reads = [
        f"{owner}.{name}" for owner in ("find", "row.find", "voucher.find", "photo") for name in OF_A_PLACE
    ]
    wrong = [
        (path.name, read)
        for path in (ROOT / "templates").rglob("*.html")
        for read in reads
        # what a photo of one's own draft says is for its sender; the fragment is shown to nobody else
        if path.name != "_photos.html" and f"{read}" in path.read_text().replace("place.", "")
    ]
    assert wrong == []


WRITES = {
    "save",
    "create",
    "bulk_create",
    "update",
    "bulk_update",
    "delete",
    "update_or_create",
    "get_or_create",
}


def test_a_view_writes_no_row_itself() -> None:
    wrong = []
    for place in ("ledger", "vouchers"):
        for file in sorted((ROOT / place).rglob("views*.py")):
            for node in ast.walk(ast.parse(file.read_text())):
                if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)):
                    continue
                held_back = any(word.arg == "commit" for word in node.keywords)
                if node.func.attr in WRITES and not held_back:
                    wrong.append((_module(file), node.lineno))
    assert wrong == []


def test_the_rules_themselves_bite(tmp_path: Path) -> None:
    file = tmp_path / "bad.py"
    file.write_text("import django.db\nfrom geopy import distance\n")
    assert {"django.db", "geopy", "geopy.distance"} <= set(_imports(file))


def test_rows_of_the_ledger_imported_by_a_pure_room_are_found(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "vouchers/store/kinds.py"
    file.parent.mkdir(parents=True)
    file.write_text("from ledger.finds import models\nfrom ledger.traits.units import with_unit\n")
    monkeypatch.setattr(sys.modules[__name__], "ROOT", tmp_path)
    found = {name for _, name in _leans_on("vouchers/store/kinds.py", {"ledger/traits"})}
    assert found == {"ledger.finds", "ledger.finds.models"}
