"""The only writer of the counts. `search.keeping` calls `moved` by name, in the transaction of the find."""

from collections import Counter
from collections.abc import Iterable, Sequence

from django.db import connection, transaction

from ledger.search.models import FindIndex
from ledger.year.cells import ALL, COLUMNS, NONE, SIDES_DEG, Counted, map_keys, season_keys
from ledger.year.models import CountMove, MapCount, SeasonCount

# So many moves wait at most, about, before whoever saves the next find adds them to the counts.
FOLD_AT = 256
_AT_ONCE = 500


def moved(before: Sequence[FindIndex], after: Sequence[FindIndex]) -> None:
    """Count finds otherwise: their rows of the index as they were, and as they are. Writes nothing that cancels."""
    change = Counter(counted(row) for row in after)
    change.subtract(counted(row) for row in before)
    moves = [
        _move(found, 1 if times > 0 else -1) for found, times in change.items() for _ in range(abs(times))
    ]
    if not moves:
        return
    written = CountMove.objects.bulk_create(moves)
    if any(move.pk % FOLD_AT == 0 for move in written):
        fold()


@transaction.atomic
def fold() -> None:
    """Add what waits to the counts. Two may do so at once: each takes the rows the other has not, in one order."""
    moves = list(CountMove.objects.select_for_update(skip_locked=True).order_by("pk"))
    if not moves:
        return
    CountMove.objects.filter(pk__in=[move.pk for move in moves]).delete()
    on_map, in_season = waiting(moves)
    _add("ledger_mapcount", ("net", "taxon", "year", "side", "cell"), on_map)
    _add("ledger_seasoncount", ("year", "taxon", "week"), in_season)


def waiting(
    moves: Iterable[CountMove],
) -> tuple[Counter[tuple[int, int, int, int, int]], Counter[tuple[int, int, int]]]:
    """What these moves come to, by the keys of both tables."""
    on_map: Counter[tuple[int, int, int, int, int]] = Counter()
    in_season: Counter[tuple[int, int, int]] = Counter()
    for move in moves:
        found = _counted_move(move)
        for key in map_keys(found):
            on_map[key] += move.by
        for season_key in season_keys(found):
            in_season[season_key] += move.by
    return on_map, in_season


@transaction.atomic
def rebuild() -> None:
    """Count everything anew from the index. Within the database: a million finds have millions of counts."""
    for model in (CountMove, MapCount, SeasonCount):
        model.objects.all().delete()
    with connection.cursor() as cursor:
        for taxon in (f"COALESCE(taxon_id, {NONE})", str(ALL)):
            for year in (f"COALESCE(year, {NONE})", str(ALL)):
                for net in range(len(SIDES_DEG)):
                    cursor.execute(_map_sql(net, taxon, year))
                cursor.execute(
                    "INSERT INTO ledger_seasoncount (year, taxon, week, n) "
                    "SELECT y, t, w, COUNT(*) FROM "
                    f"(SELECT {year} AS y, {taxon} AS t, COALESCE(week, {NONE}) AS w FROM ledger_findindex) AS counted "
                    "GROUP BY y, t, w"
                )


def _map_sql(net: int, taxon: str, year: str) -> str:
    """Counts of one net in one statement; the same cells as `cells.side_drawn`."""
    coarser = [side for side in (1, 2) if side < net]
    sides = "".join(f"WHEN step_deg > {SIDES_DEG[side] / 2} THEN {side} " for side in coarser)
    cells = "".join(f"WHEN step_deg > {SIDES_DEG[side] / 2} THEN {COLUMNS[side]} " for side in coarser)
    side = f"CASE {sides}ELSE {net} END" if coarser else str(net)
    cell = f"CASE {cells}ELSE {COLUMNS[net]} END" if coarser else COLUMNS[net]
    return (
        "INSERT INTO ledger_mapcount (net, taxon, year, side, cell, n) "
        f"SELECT {net}, t, y, s, c, COUNT(*) FROM (SELECT {taxon} AS t, {year} AS y, {side} AS s, {cell} AS c "
        "FROM ledger_findindex WHERE cell_10 IS NOT NULL) AS counted GROUP BY t, y, s, c"
    )


def _add(table: str, keys: tuple[str, ...], counts: Counter[tuple[int, ...]]) -> None:
    rows = [(*key, n) for key, n in sorted(counts.items()) if n]
    row = f"({', '.join(['%s'] * (len(keys) + 1))})"
    with connection.cursor() as cursor:
        for start in range(0, len(rows), _AT_ONCE // len(keys)):
            chunk = rows[start : start + _AT_ONCE // len(keys)]
            cursor.execute(
                f"INSERT INTO {table} ({', '.join(keys)}, n) VALUES {', '.join([row] * len(chunk))} "
                f"ON CONFLICT ({', '.join(keys)}) DO UPDATE SET n = {table}.n + excluded.n",
                [value for one in chunk for value in one],
            )


def counted(row: FindIndex) -> Counted:
    """What of that find is counted."""
    cells = (row.cell_10, row.cell_1, row.cell_01, row.cell_001)
    return Counted(
        taxon=row.taxon_id or NONE,
        year=row.year or NONE,
        week=row.week or NONE,
        step_deg=row.step_deg,
        cells=None if row.cell_10 is None else cells,  # type: ignore[arg-type]
    )


def _counted_move(move: CountMove) -> Counted:
    cells = (move.cell_10, move.cell_1, move.cell_01, move.cell_001)
    return Counted(
        taxon=move.taxon,
        year=move.year,
        week=move.week,
        step_deg=move.step_deg,
        cells=None if move.cell_10 is None else cells,  # type: ignore[arg-type]
    )


def _move(found: Counted, by: int) -> CountMove:
    cells = found.cells or (None, None, None, None)
    return CountMove(
        by=by,
        taxon=found.taxon,
        year=found.year,
        week=found.week,
        step_deg=found.step_deg,
        **dict(zip(COLUMNS, cells, strict=True)),
    )
