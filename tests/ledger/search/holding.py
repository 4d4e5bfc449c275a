"""The index as it is kept, and as it would be made anew from the finds."""

from typing import Any

from ledger.bench.models import Flag
from ledger.finds.models import Find
from ledger.search.entries import columns_of, words_of_find
from ledger.search.models import FindIndex, WordUse

Kept = dict[str, tuple[dict[str, Any], dict[tuple[str, str], tuple[bool, int]]]]


def kept() -> Kept:
    """Every row of the index: its columns, and each of its words with who may meet it and its place in the order."""
    rows: Kept = {}
    for row in FindIndex.objects.select_related("find"):
        names = columns_of(row.find)
        words = {
            (use.word.kind, use.word.word): (use.is_open, use.latest)
            for use in WordUse.objects.filter(entry=row).select_related("word")
        }
        assert WordUse.objects.filter(entry=row).count() == len(words), "a word is there twice"
        rows[str(row.find_id)] = ({name: getattr(row, name) for name in names}, words)
    return rows


def true() -> Kept:
    """The same, worked out from the finds as they are stored now."""
    rows: Kept = {}
    for find in Find.objects.all():
        codes = Flag.objects.filter(find=find, settled_at=None, withdrawn_at=None).values_list(
            "code", flat=True
        )
        columns = columns_of(find)
        words = {
            key: (is_open, columns["latest"]) for key, is_open in words_of_find(find, set(codes)).items()
        }
        rows[str(find.pk)] = (columns, words)
    return rows
