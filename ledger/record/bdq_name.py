"""BDQ Core tests of the record as a whole and of its name: what it is, whose licence, which name."""

import re

from ledger.record.bdq_terms import (
    NOT_ISSUE,
    POTENTIAL_ISSUE,
    RUN_HAS_RESULT,
    UNMET,
    BdqTest,
    Parameters,
    Record,
    Response,
    has,
    not_empty,
    verdict,
)

BASIS, STATUS, LICENSE = "dwc:basisOfRecord", "dwc:occurrenceStatus", "dcterms:license"
NAME, GENUS = "dwc:scientificName", "dwc:genericName"
SPECIES, BELOW = "dwc:specificEpithet", "dwc:infraspecificEpithet"

# Darwin Core list of terms, 2026-05-26; exact case.
_BASES = """
MaterialEntity PreservedSpecimen FossilSpecimen LivingSpecimen MaterialSample Event HumanObservation
MachineObservation Taxon Occurrence MaterialCitation
"""
BASES = frozenset(_BASES.split())
# The words of Darwin Core until 2026-05-26, which the test still asks for.
STATUSES = frozenset({"present", "absent"})

# Addresses of Creative Commons 4.0 and CC0. The test's own pattern wants `deed` or `legalcode` at the end, its row
# 157 accepts the bare address, which is the licences' own; both are taken.
_LICENSE = re.compile(
    r"https?://creativecommons\.org/"
    r"(licenses/(by|by-sa|by-nc|by-nc-sa|by-nd|by-nc-nd)/4\.0|publicdomain/zero/1\.0)"
    r"/((deed|legalcode)(\.[a-z]{2}(-[a-z]{4})?)?)?"
)
_EPITHET = re.compile(r"[a-zäëïöü]+(-[a-zäëïöü]+)*")
_NO_EPITHETS = frozenset({"ex", "et", "in", "de", "von", "van", "der", "f", "fil", "sensu", "non", "and"})


def basis_standard(record: Record, parameters: Parameters) -> Response:
    """Exactly a word of the vocabulary."""
    return verdict(record[BASIS] in BASES) if has(record, BASIS) else UNMET


def status_standard(record: Record, parameters: Parameters) -> Response:
    """`present` or `absent`."""
    return verdict(record[STATUS] in STATUSES) if has(record, STATUS) else UNMET


def license_standard(record: Record, parameters: Parameters) -> Response:
    """The full address of a Creative Commons 4.0 licence or of CC0."""
    return verdict(bool(_LICENSE.fullmatch(record[LICENSE]))) if has(record, LICENSE) else UNMET


def generalizations(record: Record, parameters: Parameters) -> Response:
    """What is told coarser than it is held may mislead who uses it."""
    return Response(RUN_HAS_RESULT, POTENTIAL_ISSUE if has(record, "dwc:dataGeneralizations") else NOT_ISSUE)


def polynomial_consistent(record: Record, parameters: Parameters) -> Response:
    """The parts of the name that are given stand in the whole name, each at its place."""
    if not has(record, NAME) or not any(has(record, part) for part in (GENUS, SPECIES, BELOW)):
        return UNMET
    genus, epithets = _parts(record[NAME])
    found = {
        GENUS: genus,
        SPECIES: epithets[0] if epithets else None,
        BELOW: epithets[-1] if len(epithets) > 1 else None,
    }
    return verdict(all(record[part].strip() == word for part, word in found.items() if has(record, part)))


def _parts(name: str) -> tuple[str, list[str]]:
    """Genus and epithets: words in small letters that are no rank, no mark of doubt and no part of an author."""
    genus, *rest = name.split()
    return genus, [word for word in rest if _EPITHET.fullmatch(word) and word not in _NO_EPITHETS]


TESTS = (
    BdqTest(
        "c486546c-e6e5-48a7-b286-eba7f5ca56c4",
        "VALIDATION_OCCURRENCEID_NOTEMPTY",
        not_empty("dwc:occurrenceID"),
    ),
    BdqTest(
        "eb4a17f6-6bea-4cdd-93dd-d5a7e9d1eccf", "VALIDATION_OCCURRENCESTATUS_NOTEMPTY", not_empty(STATUS)
    ),
    BdqTest(
        "7af25f1e-a4e2-4ff4-b161-d1f25a5c3e47",
        "VALIDATION_OCCURRENCESTATUS_STANDARD",
        status_standard,
        uses_authority=True,
    ),
    BdqTest("ac2b7648-d5f9-48ca-9b07-8ad5879a2536", "VALIDATION_BASISOFRECORD_NOTEMPTY", not_empty(BASIS)),
    BdqTest(
        "42408a00-bf71-4892-a399-4325e2bc1fb8",
        "VALIDATION_BASISOFRECORD_STANDARD",
        basis_standard,
        uses_authority=True,
    ),
    BdqTest("7c4b9498-a8d9-4ebb-85f1-9f200c788595", "VALIDATION_SCIENTIFICNAME_NOTEMPTY", not_empty(NAME)),
    BdqTest(
        "49f1d386-5bed-43ae-bd43-deabf7df64fc",
        "VALIDATION_SCIENTIFICNAMEAUTHORSHIP_NOTEMPTY",
        not_empty("dwc:scientificNameAuthorship"),
    ),
    BdqTest(
        "14da5b87-8304-4b2b-911d-117e3c29e890", "VALIDATION_TAXONRANK_NOTEMPTY", not_empty("dwc:taxonRank")
    ),
    BdqTest(
        "17f03f1f-f74d-40c0-8071-2927cfc9487b", "VALIDATION_POLYNOMIAL_CONSISTENT", polynomial_consistent
    ),
    BdqTest("15f78619-811a-4c6f-997a-a4c7888ad849", "VALIDATION_LICENSE_NOTEMPTY", not_empty(LICENSE)),
    BdqTest(
        "3136236e-04b6-49ea-8b34-a65f25e3aba1",
        "VALIDATION_LICENSE_STANDARD",
        license_standard,
        uses_authority=True,
    ),
    BdqTest("13d5a10e-188e-40fd-a22c-dbaa87b91df2", "ISSUE_DATAGENERALIZATIONS_NOTEMPTY", generalizations),
)
