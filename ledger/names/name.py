"""A name of a fungus, taken apart."""

from dataclasses import dataclass

# Ranks a find can be named to, from wide to narrow. "unnamed" is no rank: rank is None there.
RANKS = ("phylum", "class", "order", "family", "genus", "species", "subspecies", "variety", "form")

# Marks of rank before the third word, as written (ICN Rec. 5A; subsp., var., f. seen in secondary sources).
MARK_OF_RANK = {"subspecies": "subsp.", "variety": "var.", "form": "f."}


@dataclass(frozen=True, slots=True, kw_only=True)
class Name:
    """One typed name; nothing in it is mended beyond case, spacing and the writing of abbreviations.

    genus: the genus, or the one word of a family or order; "T." where it was abbreviated; None if unnamed.
    rank: narrowest rank that is named ("Ganoderma sp." is of rank genus); None if unnamed.
    qualifier: cf., aff., ?, nr., prox., indet., stet. or None; it doubts the part named by `qualified`
        ("genus", "epithet", "infra"; "" where it follows the name).
    group: an aggregate or the wide sense; `group_mark` as written: agg., group, complex, s.l.
    provisional: what follows sp. ("1" in "Ganoderma sp. 1", "nov." in "sp. nov.").
    sense: sensu ..., auct. ..., s.str., non ...: whose use of the name is meant.
    species_authority: author between epithet and a third word (needed for autonyms).
    hybrid: "" or "genus" or "epithet": where the hybrid sign stands.
    typed: exactly what was typed.
    """

    genus: str | None = None
    epithet: str | None = None
    rank: str | None = None
    qualifier: str | None = None
    qualified: str = ""
    authority: str = ""
    infra: str | None = None
    group: bool = False
    group_mark: str = ""
    unnamed: bool = False
    species_unnamed: str = ""
    provisional: str = ""
    sense: str = ""
    species_authority: str = ""
    hybrid: str = ""
    typed: str = ""

    @property
    def abbreviated(self) -> bool:
        """Whether the genus is only a letter or two and a point."""
        return self.genus is not None and self.genus.endswith(".")

    @property
    def canonical(self) -> str:
        """The bare name: no author, qualifier or sense. "" if unnamed. Names are compared by this."""
        words = [self.genus, self.epithet]
        if self.infra and self.rank in MARK_OF_RANK:
            words += [MARK_OF_RANK[self.rank], self.infra]
        return " ".join(word for word in words if word)

    @property
    def identification_qualifier(self) -> str:
        """The doubt in the words of Darwin Core's identificationQualifier: "cf. versicolor", "agg.", "sp. 1"."""
        doubted = {"genus": self.genus, "epithet": self.epithet, "infra": self.infra}.get(self.qualified)
        words = [self.qualifier, doubted if self.qualifier else None]
        words += [self.species_unnamed, self.provisional, self.group_mark]
        return " ".join(word for word in words if word)
