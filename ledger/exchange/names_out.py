"""Determinations as rows of the Identification history, and as the name of an occurrence; and back. Pure."""

from collections.abc import Mapping
from functools import lru_cache
from typing import NamedTuple

from ledger.exchange.pairs import joined, parted
from ledger.names.errors import TaxonNameError
from ledger.names.parse import parse_name

KEYS = ("basis", "note")


class NameOut(NamedTuple):
    """One opinion of a name. `taxon`, `authority`: the known taxon it was matched to, or "". `note` only where notes
    go out.
    """

    typed: str
    vernacular: str
    taxon: str
    authority: str
    order: str
    family: str
    by: str
    by_id: str
    on: str
    basis: str
    note: str = ""


class NameIn(NamedTuple):
    """One opinion as it was read: `typed` as it was written, `on` an ISO date or a part of one, or ""."""

    typed: str
    vernacular: str
    by: str
    by_id: str
    on: str
    basis: str
    note: str
    is_current: bool


def name_id(find_id: str, place: int) -> str:
    """The identity of the *place*-th opinion of a find, from 1: the same in every export."""
    return f"{find_id}:name:{place}"


def cells(name: NameOut) -> tuple[str, str, str, str]:
    """scientificName, its author, its rank, and the doubt: no qualifier stands in the name itself."""
    bare, authority, rank, qualifier = _parts(name.typed)
    if name.taxon:
        return name.taxon, name.authority, "species" if " " in name.taxon else rank, qualifier
    return bare, authority, rank, qualifier


@lru_cache(maxsize=20_000)
def _parts(typed: str) -> tuple[str, str, str, str]:
    try:
        name = parse_name(typed)
    except TaxonNameError:
        # It cannot be taken apart: as it stands it is in verbatimIdentification.
        return "", "", "", ""
    return name.canonical, name.authority, name.rank or "", name.identification_qualifier


@lru_cache(maxsize=20_000)
def remarks(basis: str, note: str) -> str:
    return joined({"basis": basis, "note": note})


def name_row(find_id: str, place: int, name: NameOut) -> list[str]:
    bare, authority, rank, qualifier = cells(name)
    return [
        find_id,
        name_id(find_id, place),
        name.typed,
        bare,
        authority,
        rank,
        qualifier,
        name.vernacular,
        name.by,
        name.by_id,
        name.on,
        remarks(name.basis, name.note),
    ]


def name_in(row: Mapping[str, str], current_id: str = "") -> NameIn:
    """The opinion of a row, of the history or of an occurrence, by short terms. A name of another hand is put
    together.
    """
    told = parted(row.get("dwc:identificationRemarks", ""), KEYS)
    free = "" if told else row.get("dwc:identificationRemarks", "")
    return NameIn(
        typed=row.get("dwc:verbatimIdentification", "") or _written(row),
        vernacular=row.get("dwc:vernacularName", ""),
        by=row.get("dwc:identifiedBy", ""),
        by_id=row.get("dwc:identifiedByID", ""),
        on=row.get("dwc:dateIdentified", ""),
        basis=told.get("basis", ""),
        note=told.get("note", free),
        is_current=bool(current_id) and row.get("dwc:identificationID", "") == current_id,
    )


def _written(row: Mapping[str, str]) -> str:
    """`Trametes cf. versicolor` of a name and its doubt apart. A doubt whose place cannot be told stands behind."""
    name, doubt = row.get("dwc:scientificName", ""), row.get("dwc:identificationQualifier", "")
    if not doubt or not name:
        return name
    mark, _, word = doubt.partition(" ")
    if word and f" {word}" in name:
        return name.replace(f" {word}", f" {doubt}", 1)
    return f"{name} {doubt}" if mark not in name.split() else name
