"""Whose author stands behind a name: one rule for every page and label.

An author as typed stays, and none is put beside it. Where none was typed, the author of the accepted name stands behind
the name only if that is the name which was typed: an old name has another author, whom we do not know. The accepted
name then follows as a second piece, with its own author.
"""

from dataclasses import dataclass, replace
from functools import lru_cache

from ledger.names.errors import TaxonNameError
from ledger.names.format import NamePart, styled_parts
from ledger.names.name import Name
from ledger.names.parse import parse_name


@dataclass(frozen=True, slots=True)
class CitedName:
    """A typed name ready to be shown.

    parts: the name without the author that follows it; `authority`: that author or "".
    whole: the name with its author in place (before agg. or sensu).
    accepted: the runs of the accepted name, its author included; empty where it is the typed one, or where the typed
        name is doubted, an aggregate or wider than a species, as the two are then not equal.
    """

    parts: tuple[NamePart, ...]
    authority: str
    whole: tuple[NamePart, ...]
    accepted: tuple[NamePart, ...] = ()


@lru_cache(maxsize=2048)  # the same names stand in row after row
def cite(typed: str, *, accepted: str = "", accepted_authority: str = "") -> CitedName:
    """The typed name with the author that is true of it. What cannot be read stands as typed, upright, alone."""
    try:
        name = parse_name(typed)
    except TaxonNameError:
        as_typed = (NamePart(typed, "mark", False),)
        return CitedName(as_typed, "", as_typed)
    name = _with_sp(name)
    typed_author = name.authority or name.species_authority
    is_accepted = bool(accepted) and name.canonical == accepted
    authority = accepted_authority if is_accepted and not typed_author else name.authority
    return CitedName(
        parts=styled_parts(name, authority=""),
        authority=authority,
        whole=styled_parts(name, authority=authority),
        accepted=_accepted(name, accepted, accepted_authority) if accepted and not is_accepted else (),
    )


def _with_sp(name: Name) -> Name:
    """A genus alone is one unnamed species of it: Stereum sp."""
    alone = name.rank == "genus" and not (name.species_unnamed or name.group or name.sense)
    if not alone or name.qualifier or name.authority:
        return name
    return replace(name, species_unnamed="sp.")


def _accepted(name: Name, accepted: str, authority: str) -> tuple[NamePart, ...]:
    if name.qualifier or name.group or name.epithet is None:
        return ()
    try:
        return styled_parts(parse_name(accepted), authority=authority)
    except TaxonNameError:
        return (NamePart(" ".join((accepted, authority)).strip(), "mark", False),)
