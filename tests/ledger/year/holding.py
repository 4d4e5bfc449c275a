"""The counts as they are read, and as they would be if they were made anew."""

from collections import Counter

from ledger.search.models import FindIndex
from ledger.year import counts
from ledger.year.cells import map_keys, season_keys
from ledger.year.models import CountMove, MapCount, SeasonCount


def held() -> tuple[dict[tuple[int, ...], int], dict[tuple[int, ...], int]]:
    """What the tables say with what waits, without counts of nothing."""
    on_map, in_season = counts.waiting(CountMove.objects.all())
    for *key, n in MapCount.objects.values_list("net", "taxon", "year", "side", "cell", "n"):
        on_map[tuple(key)] += n  # type: ignore[index]
    for *key, n in SeasonCount.objects.values_list("year", "taxon", "week", "n"):
        in_season[tuple(key)] += n  # type: ignore[index]
    return {k: n for k, n in on_map.items() if n}, {k: n for k, n in in_season.items() if n}


def true() -> tuple[dict[tuple[int, ...], int], dict[tuple[int, ...], int]]:
    """Counted find by find."""
    rows = [counts.counted(row) for row in FindIndex.objects.all()]
    return (
        dict(Counter(key for row in rows for key in map_keys(row))),
        dict(Counter(key for row in rows for key in season_keys(row))),
    )
