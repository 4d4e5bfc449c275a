"""Words of the index near to one that stands in no find: what a slip of the finger may have meant.

Only words that the member may meet: that a place kept back has such a word is not told either.
"""

from collections.abc import Sequence

from ledger.names.edits import allowance, edits
from ledger.people.models import Member
from ledger.search.fold import words_of
from ledger.search.known import Person
from ledger.search.models import SearchWord, WordUse
from ledger.search.queries import uses_of, words_of_term
from ledger.search.terms import WordTerm

# Words of one first letter are looked through; of more than so many, the first of the alphabet.
_MOST_LOOKED_AT = 5000
_MOST = 3


def is_met(term: WordTerm, member: Member) -> bool:
    """Whether a find that the member may meet by it has a word that begins so, or a finder is called so."""
    if term.members:
        return True
    return any(WordUse.objects.filter(use).exists() for use in uses_of(list(words_of_term(term)), member))


def near_words(term: WordTerm, member: Member, people: Sequence[Person]) -> list[str]:
    """At most three words that differ by as few letters as a slip does, the nearest first."""
    rows = SearchWord.objects.filter(kind__in=term.kinds, word__startswith=term.word[0])
    ids: dict[str, list[int]] = {}
    for pk, word in rows.order_by("word").values_list("pk", "word")[:_MOST_LOOKED_AT]:
        ids.setdefault(word, []).append(pk)
    called = {word for person in people for word in words_of(person.name)} if "guest" in term.kinds else set()
    near = sorted(
        (slips, word)
        for word in {*ids, *called}
        if (slips := edits(term.word, word, allowance(term.word))) is not None and len(word) > 2
    )
    found = []
    for _slips, word in near[:12]:
        if word in called or any(
            WordUse.objects.filter(use).exists() for use in uses_of(ids.get(word, []), member)
        ):
            found.append(word)
    return found[:_MOST]
