"""The only writer of the index. The actions that change what a find says call `keep` by name, in their transaction."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Sequence
from copy import copy
from datetime import date
from typing import Any
from uuid import UUID

from django.core.management.color import no_style
from django.db import connection, transaction
from django.db.models import Model, Q, QuerySet

from ledger.bench.models import Flag
from ledger.finds.models import Find
from ledger.search.entries import columns_of, differs, index_row, words_of_find
from ledger.search.models import FindIndex, NameOfWord, SearchWord, WordUse
from ledger.year import counts

AT_ONCE = 500
# From so many rows on they are copied in, where the database can.
_MANY = 500
_RELATED = ("foray", "current_determination__taxon")
# What `entries` reads of a find, so that a million of them do not bring all they hold.
_READ = (
    *("finder_id", "logged_by_id", "logged_at", "found_on", "found_by", "status", "accession_number", "host"),
    *("collecting_code", "collecting_serial", "collecting_suffix", "latitude", "longitude"),
    *("locality", "region", "country", "own_blur_step_deg", "named_blur_step_deg", "place_opened"),
    *("foray__name", "foray__place", "current_determination__name_typed"),
    *("current_determination__vernacular_typed", "current_determination__taxon__name"),
    "current_determination__taxon__blur_step_deg",
)

_Words = dict[tuple[str, str], bool]


def keep(*finds: Find) -> None:
    """Bring the index in line with these finds as they stand, with their open flags as they are stored."""
    for start in range(0, len(finds), AT_ONCE):
        chunk = finds[start : start + AT_ONCE]
        codes = _open_codes([find.pk for find in chunk])
        _keep(chunk, {find.pk: words_of_find(find, codes[find.pk]) for find in chunk})


def keep_new(find: Find, flag_codes: Iterable[str]) -> None:
    """Enter a find that was written a moment ago, in this transaction, with the flags it was given."""
    _enter([find], {find.pk: words_of_find(find, flag_codes)})


def forget(finds: Sequence[Find]) -> None:
    """Take finds that are about to be deleted out of the index and out of the counts."""
    for start in range(0, len(finds), AT_ONCE):
        rows = list(FindIndex.objects.filter(find__in=[find.pk for find in finds[start : start + AT_ONCE]]))
        counts.moved(rows, [])
        WordUse.objects.filter(entry__in=[row.pk for row in rows]).delete()
        FindIndex.objects.filter(pk__in=[row.pk for row in rows]).delete()


def keep_ids(ids: Collection[UUID]) -> None:
    """As `keep`, for finds that are not at hand."""
    wanted = list(ids)
    for start in range(0, len(wanted), AT_ONCE):
        keep(
            *Find.objects.filter(pk__in=wanted[start : start + AT_ONCE]).order_by().select_related(*_RELATED)
        )


def keep_finds_of_foray(foray_id: int) -> None:
    """A foray has another name or place: its finds are met by other words."""
    keep_ids(Find.objects.filter(foray=foray_id).order_by().values_list("pk", flat=True))


def rebuild() -> Iterator[int]:
    """Make the whole index anew, as one act; yields how many finds are done. Memory does not grow with the ledger."""
    with transaction.atomic():
        WordUse.objects.all().delete()
        NameOfWord.objects.all().delete()
        FindIndex.objects.all().delete()
        SearchWord.objects.all().delete()
        done = 0
        known: dict[tuple[str, str], int] = {}
        names: set[tuple[int, str]] = set()
        for chunk in _all_finds():
            codes = _open_codes([find.pk for find in chunk])
            # Numbered here: the rows go in past the ORM, which would take most of the time.
            rows = [
                FindIndex(pk=done + place, **columns_of(find)) for place, find in enumerate(chunk, start=1)
            ]
            for row, find in zip(rows, chunk, strict=True):
                row.find_id = find.pk
            _insert(FindIndex, [_plain(row) for row in rows])
            _use_words(
                [(row, words_of_find(find, codes[find.pk])) for row, find in zip(rows, chunk, strict=True)],
                known,
                names,
            )
            done += len(chunk)
            yield done
        _go_on_numbering()
        counts.rebuild()


def is_missing() -> bool:
    """Whether there are finds and no index at all, as after an update from an edition without one."""
    return not FindIndex.objects.exists() and Find.objects.exists()


def _all_finds() -> Iterator[list[Find]]:
    """Every find in chunks, in the order of their identity: a page goes on where the one before ended."""
    finds: QuerySet[Find] = Find.objects.order_by("pk").select_related(*_RELATED).only(*_READ)
    after: UUID | None = None
    while chunk := list((finds.filter(pk__gt=after) if after else finds)[:AT_ONCE]):
        yield chunk
        after = chunk[-1].pk


def _open_codes(find_ids: Collection[UUID]) -> dict[UUID, set[str]]:
    codes: dict[UUID, set[str]] = defaultdict(set)
    rows = Flag.objects.filter(find__in=find_ids, settled_at__isnull=True, withdrawn_at__isnull=True)
    for find_id, code in rows.order_by().values_list("find_id", "code"):
        codes[find_id].add(code)
    return codes


def _keep(finds: Sequence[Find], words: dict[UUID, _Words]) -> None:
    rows = {row.find_id: row for row in FindIndex.objects.filter(find__in=[find.pk for find in finds])}
    _enter([find for find in finds if find.pk not in rows], words)
    stored: dict[int, dict[tuple[str, str], WordUse]] = defaultdict(dict)
    uses = WordUse.objects.filter(entry__in=[row.pk for row in rows.values()]).select_related("word")
    for use in uses.order_by():
        stored[use.entry_id][use.word.kind, use.word.word] = use
    gone: list[int] = []
    added: list[tuple[FindIndex, _Words]] = []
    were: list[FindIndex] = []
    for find in finds:
        row = rows.get(find.pk)
        if row is None:
            continue
        before = copy(row)
        _update(row, find)
        were.append(before)
        have, want = stored[row.pk], words[find.pk]
        moved = row.latest != before.latest
        stale = [use.pk for key, use in have.items() if moved or want.get(key) != use.is_open]
        fresh = {
            key: is_open
            for key, is_open in want.items()
            if moved or key not in have or have[key].is_open != is_open
        }
        gone += stale
        if fresh:
            added.append((row, fresh))
    if gone:
        WordUse.objects.filter(pk__in=gone).delete()
    _use_words(added, {}, set())
    renamed = [rows[row.find_id] for row in were if row.name_key != rows[row.find_id].name_key]
    _note_names([(row, words[row.find_id]) for row in renamed], {}, set())
    counts.moved(were, [rows[row.find_id] for row in were])


def _update(row: FindIndex, find: Find) -> None:
    columns = columns_of(find)
    changed = differs(row, columns)
    if changed:
        for name in changed:
            setattr(row, name, columns[name])
        row.save(update_fields=changed)


def _enter(finds: Sequence[Find], words: dict[UUID, _Words]) -> None:
    if not finds:
        return
    rows = FindIndex.objects.bulk_create([index_row(find) for find in finds])
    _use_words([(row, words[row.find_id]) for row in rows], {}, set())
    counts.moved([], rows)


def _use_words(
    wanted: Sequence[tuple[FindIndex, _Words]],
    known: dict[tuple[str, str], int],
    names: set[tuple[int, str]],
) -> None:
    """Write the uses; `known` are words and `names` names of words whose rows are there in this transaction, and are added
    to."""
    _learn({key for _, words in wanted for key in words} - known.keys(), known)
    _note_names(wanted, known, names)
    _write_uses(
        [(known[key], row.pk, row.latest, is_open) for row, words in wanted for key, is_open in words.items()]
    )


def _note_names(
    wanted: Sequence[tuple[FindIndex, _Words]],
    known: dict[tuple[str, str], int],
    names: set[tuple[int, str]],
) -> None:
    """Write under which names the words of names are met."""
    by_name: dict[str, set[tuple[str, str]]] = defaultdict(set)
    for row, words in wanted:
        by_name[row.name_key] |= {key for key in words if key[0] == SearchWord.Kind.NAME}
    _learn(set().union(*by_name.values()) - known.keys(), known)
    new = {(known[key], name) for name, keys in by_name.items() for key in keys} - names
    if not new:
        return
    there = NameOfWord.objects.filter(
        word__in={word for word, _ in new}, name_key__in={name for _, name in new}
    )
    missing = sorted(new - set(there.order_by().values_list("word", "name_key")))
    NameOfWord.objects.bulk_create(
        [NameOfWord(word_id=word, name_key=name) for word, name in missing], ignore_conflicts=True
    )
    names |= new


def _write_uses(rows: Sequence[tuple[int, int, int, bool]]) -> None:
    """Word, entry, its place in the order, and whether all may meet it by that."""
    _insert(WordUse, rows, ("word_id", "entry_id", "latest", "is_open"))


def _insert(model: type[Model], rows: Sequence[Sequence[Any]], columns: Sequence[str] = ()) -> None:
    """Rows past the ORM, of these columns or of all: words are most of an index, and an index may be a million rows."""
    columns = columns or [field.column for field in model._meta.concrete_fields]
    table, named = model._meta.db_table, ", ".join(f'"{column}"' for column in columns)
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql" and len(rows) > _MANY:
            with cursor.copy(f'COPY "{table}" ({named}) FROM STDIN') as copy:
                for row in rows:
                    copy.write_row(row)
        elif rows:
            holes = ", ".join(["%s"] * len(columns))
            cursor.executemany(f'INSERT INTO "{table}" ({named}) VALUES ({holes})', rows)


_FIELDS = FindIndex._meta.concrete_fields


def _plain(row: FindIndex) -> list[Any]:
    """A row as its database takes it."""
    return [
        field.get_db_prep_save(value, connection) if isinstance(value, UUID | date) else value
        for field in _FIELDS
        for value in (getattr(row, field.attname),)
    ]


def _go_on_numbering() -> None:
    """Numbers given here are not given again: a PostgreSQL counts by itself and was not asked."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            for statement in connection.ops.sequence_reset_sql(no_style(), [FindIndex]):
                cursor.execute(statement)


def _learn(keys: set[tuple[str, str]], known: dict[tuple[str, str], int]) -> None:
    """The rows of words, made where they are missing. In one order everywhere, so that two who make the same wait."""
    if not keys:
        return
    known |= _stored(keys)
    missing = sorted(keys - known.keys())
    if missing:
        SearchWord.objects.bulk_create(
            [SearchWord(kind=kind, word=word) for kind, word in missing], ignore_conflicts=True
        )
        known |= _stored(set(missing))


def _stored(keys: set[tuple[str, str]]) -> dict[tuple[str, str], int]:
    by_kind: dict[str, list[str]] = defaultdict(list)
    for kind, word in keys:
        by_kind[kind].append(word)
    wanted = Q()
    for kind, words in sorted(by_kind.items()):
        wanted |= Q(kind=kind, word__in=sorted(words))
    rows = SearchWord.objects.filter(wanted).order_by().values_list("kind", "word", "pk")
    return {(kind, word): pk for kind, word, pk in rows}


def rebuild_all() -> None:
    """`rebuild` to its end, for who shows no progress: after a backup was restored."""
    for _ in rebuild():
        pass
