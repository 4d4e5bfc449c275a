"""The TDWG BDQ Core tests that our record checks follow, each by the GUID under which the standard keeps it.

Standard: TDWG Biodiversity Data Quality, BDQ Core, draft for review, 2026-06-03 (CC BY 4.0). Tests that need an outside
service or its lists (boundaries, taxa, ranks, datums) are not claimed.
"""

from collections.abc import Mapping
from types import MappingProxyType

from ledger.record import bdq_amend, bdq_name, bdq_place, bdq_time
from ledger.record.bdq_terms import UNREACHABLE, BdqTest, Parameters, Record, Response

CLAIMED: Mapping[str, BdqTest] = MappingProxyType(
    {test.guid: test for test in (*bdq_place.TESTS, *bdq_time.TESTS, *bdq_name.TESTS, *bdq_amend.TESTS)}
)


class NotClaimed(KeyError):
    """A test asked for by a GUID that we do not claim to follow."""


def run_test(guid: str, record: Record, parameters: Parameters) -> Response:
    """One test on one record of Darwin Core terms."""
    test = CLAIMED.get(guid)
    if test is None:
        raise NotClaimed(f"The BDQ Core test {guid} is not among the {len(CLAIMED)} claimed here.")
    if test.uses_authority and parameters.source_authority:
        return UNREACHABLE
    return test.run(record, parameters)


def run_all(record: Record, parameters: Parameters) -> dict[str, Response]:
    """Every claimed test on one record, by label."""
    return {test.label: run_test(test.guid, record, parameters) for test in CLAIMED.values()}
