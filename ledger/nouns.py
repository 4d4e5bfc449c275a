"""A word in the middle of a sentence: its first letter as the reader's language writes it there. Pure."""

from ledger.words import Said, say


def lowered(word: str) -> Said:
    """The word in the reader's language: in small letters where it is English, else as the catalogue writes it, since the
    nouns of other languages may keep a capital letter."""
    said = say(word) if word else Said("")
    if said != said.english:
        return said
    return Said(said.english.lower())
