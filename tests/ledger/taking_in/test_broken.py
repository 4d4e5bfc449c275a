"""Whatever is wrong with a file, a sentence says so and nothing is written."""

from datetime import UTC, datetime

import pytest

from ledger.finds.models import Find
from ledger.people.models import Member
from ledger.taking_in import actions, files
from ledger.taking_in.columns import Mapped
from ledger.taking_in.models import TakenFind, TakingIn
from ledger.taking_in.refused import FileRefused
from ledger.traits.reference import Reference
from tests.ledger.taking_in.broken import GIVEN, MAPPED

NOW = datetime(2026, 11, 20, 9, 30, tzinfo=UTC)


def kept_files() -> list[str]:
    return [path.name for path in files.folder().iterdir()] if files.folder().exists() else []


@pytest.mark.parametrize("name", GIVEN)
def test_a_broken_file_is_refused_with_its_sentence(name: str, reference: Reference, curator: Member) -> None:
    data, said = GIVEN[name]
    with pytest.raises(FileRefused, match="Nothing was written") as refused:
        actions.give(data, "broken", by=curator, now=NOW)
    assert said in str(refused.value)
    assert not TakingIn.objects.exists() and not kept_files()


@pytest.mark.parametrize("name", MAPPED)
def test_a_wrong_line_is_told_and_nothing_of_the_file_is_taken_in(
    name: str, reference: Reference, curator: Member
) -> None:
    data, mapped, said = MAPPED[name]
    taking = actions.give(data, "wrong", by=curator, now=NOW)
    actions.map_columns(taking, mapped, ["d", "n"], by=curator, now=NOW)
    report = actions.look_at(taking, by=curator, now=NOW)
    assert said in " ".join(
        sentence for line in report.lines if line.state == "wrong" for sentence in line.says
    )
    with pytest.raises(actions.TakingInRefused, match="Nothing was written"):
        actions.take_in(taking, by=curator, now=NOW)
    assert not Find.objects.exists() and not TakenFind.objects.exists()


@pytest.mark.parametrize(
    ("data", "note"),
    [
        (b"\xef\xbb\xbfd,n\n2026-10-03,caf\xc3\xa9\n", "marked as UTF-8"),
        ("d,n\n2026-10-03,café\n".encode("utf-16"), "marked as UTF-16"),
        ("d,n\r\n2026-10-03,café\r2026-10-04,b\n".encode(), "different ways (LF and CR and CR LF)"),
        ("sep=;\nd;n\n2026-10-03;café\n".encode(), "semicolon"),
    ],
)
def test_what_only_looks_broken_is_read_and_told(
    data: bytes, note: str, reference: Reference, curator: Member
) -> None:
    taking = actions.give(data, "odd", by=curator, now=NOW)
    actions.map_columns(taking, Mapped({0: "found_on", 1: "note"}), ["d", "n"], by=curator, now=NOW)
    report = actions.look_at(taking, by=curator, now=NOW)
    assert any(note in one for one in report.notes)
    actions.take_in(taking, by=curator, now=NOW)
    assert "café" in Find.objects.order_by("found_on").values_list("note", flat=True)
