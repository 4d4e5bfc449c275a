"""What a file of another hand may try: to tell a place, to name somebody, to break the page, to leave something behind."""

import csv
import io
import zipfile
from datetime import UTC, datetime
from typing import Any

import pytest
from django.test import Client

from ledger.exchange import terms as known
from ledger.finds.models import Find, Photo
from ledger.handing_on.actions import end_agreed, note_agreed
from ledger.handing_on.choices import Choices
from ledger.handing_on.models import AgreedName
from ledger.handing_on.streams import stream
from ledger.people.models import Member
from ledger.phone.models import WaitingVersion
from ledger.taking_in import actions
from ledger.taking_in.models import TakingIn
from ledger.taking_in.refused import FileRefused
from ledger.taxa.models import Taxon
from ledger.traits.reference import Reference
from tests.factories import FindFactory, picture
from tests.people import make_person

NOW = datetime(2026, 11, 20, 9, 30, tzinfo=UTC)
KEY = "0b6f3f5e-3b1c-4c8e-9f53-222222222222"
RELATION_TERMS = ("dwc:resourceID", "dwc:relationshipOfResource", "dwc:relatedResourceID")
PHOTO_TERMS = ("ac:accessURI", "ac:hashFunction", "ac:hashValue")


def table(kind: str, rows: list[dict[str, str]], terms: tuple[str, ...], *, core: bool = False) -> str:
    out = io.StringIO()
    lines = csv.writer(out, lineterminator="\n")
    lines.writerow(["key", *terms])
    lines.writerows([row["key"], *(row.get(term, "") for term in terms)] for row in rows)
    return out.getvalue()


def meta(**tables: tuple[str, ...]) -> str:
    """`table`: its terms, the first table being the core."""
    parts = []
    for place, (kind, terms) in enumerate(tables.items()):
        element, key = ("core", "id") if place == 0 else ("extension", "coreid")
        fields = "".join(
            f'<field index="{n}" term="{known.iri_of(term)}"/>' for n, term in enumerate(terms, 1)
        )
        parts.append(
            f'<{element} encoding="UTF-8" fieldsTerminatedBy="," linesTerminatedBy="\\n" fieldsEnclosedBy="&quot;" '
            f'ignoreHeaderLines="1" rowType="{known.ROW_TYPES[kind]}"><files><location>{kind}.csv</location></files>'
            f'<{key} index="0"/>{fields}</{element}>'
        )
    return f'<archive xmlns="http://rs.tdwg.org/dwc/text/">{"".join(parts)}</archive>'


def archive(
    rows: list[dict[str, str]],
    *,
    photos: list[dict[str, str]] | None = None,
    relations: list[dict[str, str]] | None = None,
    files: dict[str, bytes] | None = None,
) -> bytes:
    """An archive with these rows, each a dict of short terms; `key` is its occurrenceID too."""
    rows = [{"key": KEY, **row} for row in rows]
    rows = [{"dwc:occurrenceID": row["key"], **row} for row in rows]
    terms = tuple(dict.fromkeys(term for row in rows for term in row if term != "key"))
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as made:
        made.writestr("occurrence.csv", table("occurrence", rows, terms))
        if photos is not None:
            made.writestr("media.csv", table("media", [{"key": KEY, **row} for row in photos], PHOTO_TERMS))
        extra = {"media": PHOTO_TERMS} if photos is not None else {}
        if relations is not None:
            made.writestr(
                "relation.csv", table("relation", [{"key": KEY, **row} for row in relations], RELATION_TERMS)
            )
            extra["relation"] = RELATION_TERMS
        made.writestr("meta.xml", meta(occurrence=terms, **extra))
        for name, data in (files or {}).items():
            made.writestr(name, data)
    return out.getvalue()


def taken_in(data: bytes, by: Member, name: str = "theirs.zip") -> TakingIn:
    taking = actions.give(data, name, by=by, now=NOW)
    actions.take_in(taking, by=by, now=NOW)
    return taking


def exported(kind: str = "csv") -> str:
    return b"".join(stream(Choices(kind=kind, which="all", notes=True), now=NOW)).decode()


def test_the_name_of_a_file_tells_no_member_where_a_sensitive_find_grows(
    reference: Reference, curator: Member, client: Client
) -> None:
    Taxon.objects.filter(name="Trametes versicolor").update(blur_step_deg=0.1)
    rows = [{"dwc:scientificName": "Trametes versicolor", "dwc:recordedBy": "Gwen Guest"}]
    taken_in(archive(rows), curator, "Hollin Wood 51.2345 -2.3456.zip")
    client.force_login(make_person("collector"))
    for address in (f"/finds/{KEY}/", f"/finds/{KEY}.json"):
        page = client.get(address)
        assert page.status_code in (200, 404) and b"Hollin" not in page.content
    client.force_login(curator)
    assert b"Hollin Wood 51.2345" in client.get(f"/finds/{KEY}/").content


def test_no_file_names_again_whoever_took_their_word_back(reference: Reference, curator: Member) -> None:
    note_agreed(["Gwen Guest"], by=curator, now=NOW)
    end_agreed(AgreedName.objects.get().pk, now=NOW)
    taken_in(
        archive([{"dwc:recordedBy": "gwen  GUEST"}, {"key": "b", "dwc:recordedBy": "Gwen Guest"}]), curator
    )
    assert not AgreedName.objects.filter(ended_at__isnull=True).exists()
    assert "guest" not in exported().lower()


def test_no_file_gives_leave_for_a_guest_of_this_club(reference: Reference, curator: Member) -> None:
    FindFactory(found_by="Gwen Guest")
    report = actions.take_in(
        actions.give(archive([{"dwc:recordedBy": "Gwen Guest"}]), "x.zip", by=curator, now=NOW),
        by=curator,
        now=NOW,
    )
    assert "Gwen Guest" not in exported()
    assert any("Gwen Guest" in note and "ask them" in note for note in report.notes)


def test_names_that_were_published_are_said_before_they_are_taken_for_agreed(
    reference: Reference, curator: Member
) -> None:
    taking = actions.give(archive([{"dwc:recordedBy": "Nils Outside"}]), "x.zip", by=curator, now=NOW)
    report = actions.look_at(taking, by=curator, now=NOW)
    assert any("Nils Outside" in note and "agreed" in note for note in report.notes)


def test_what_another_hand_says_of_a_place_it_made_coarse_is_kept_and_handed_on(
    reference: Reference, curator: Member
) -> None:
    said = "Blurred to the centre of a 10 km square by the record centre"
    row = {
        "dwc:decimalLatitude": "51.25",
        "dwc:decimalLongitude": "-2.25",
        "dwc:dataGeneralizations": said,
        "dwc:informationWithheld": "Owner not told",
        "dwc:individualCount": "3",
    }
    report = actions.take_in(actions.give(archive([row]), "x.zip", by=curator, now=NOW), by=curator, now=NOW)
    told = exported()
    assert said in told and "Owner not told" in told
    assert said in " ".join(report.lines[0].says)


@pytest.mark.parametrize("moment", ["9999-12-31T23:59:59-14:00", "0001-01-01T00:00:00+14:00", "2099-01-01"])
def test_a_change_beyond_the_calendar_or_still_to_come_is_none(
    moment: str, reference: Reference, curator: Member
) -> None:
    taken_in(archive([{"dcterms:modified": moment}]), curator)
    assert Find.objects.get().changed_at == NOW


def test_what_no_eye_can_see_is_left_out_of_every_cell(reference: Reference, curator: Member) -> None:
    row = {
        "key": "id\u202e-1",
        "dwc:recordedBy": "Nils\0 Out\u200bside",
        "dwc:scientificName": "Stereum\0 hirsutum",
        "dwc:locality": "Hollin\u202e Wood",
        "dwc:otherCatalogNumbers": "A\0 1",
        "dwc:parentEventID": "Au\u200btumn walk, 2026-10-03",
    }
    taken_in(archive([row]), curator)
    find = Find.objects.get()
    assert (find.found_by, find.locality) == ("Nils Outside", "Hollin Wood")
    assert find.taken_in.identity == "id-1" and find.taken_in.kept["terms"] == {
        "dwc:otherCatalogNumbers": "A 1"
    }


def test_a_photograph_that_is_not_the_one_told_of_is_said_before_and_nothing_stays(
    reference: Reference, curator: Member
) -> None:
    data = archive(
        [{}],
        photos=[
            {"ac:accessURI": "media/a.jpeg"},
            {"ac:accessURI": "media/b.jpeg", "ac:hashFunction": "SHA-256", "ac:hashValue": "00"},
        ],
        files={"media/a.jpeg": picture(size=(300, 200)), "media/b.jpeg": picture(size=(301, 200))},
    )
    taking = actions.give(data, "x.zip", by=curator, now=NOW)
    report = actions.look_at(taking, by=curator, now=NOW)
    assert report.many("wrong") == 1 and "media/b.jpeg" in report.lines[0].says[-1]
    storage = Photo.original.field.storage
    with pytest.raises(actions.TakingInRefused, match=r"line 1: .*media/b\.jpeg"):
        actions.take_in(taking, by=curator, now=NOW)
    assert not Photo.objects.exists()
    assert list_of(storage) == []


def list_of(storage: Any, folder: str = "") -> list[str]:
    try:
        folders, files = storage.listdir(folder)
    except FileNotFoundError:
        return []
    return files + [name for one in folders for name in list_of(storage, f"{folder}/{one}".lstrip("/"))]


def test_an_archive_with_two_files_of_one_name_is_refused(reference: Reference, curator: Member) -> None:
    data = io.BytesIO(archive([{}]))
    with zipfile.ZipFile(data, "a") as made, pytest.warns(UserWarning, match="Duplicate"):
        made.writestr("occurrence.csv", "key\n")
    with pytest.raises(FileRefused, match=r"holds two files called occurrence\.csv"):
        actions.give(data.getvalue(), "x.zip", by=curator, now=NOW)


def test_every_row_of_an_archive_that_is_wrong_is_told_at_once(reference: Reference, curator: Member) -> None:
    rows = [
        {"key": "a", "dwc:decimalLatitude": "51,5"},
        {"key": "b", "dwc:decimalLatitude": "5_1"},
        {"key": "c", "dwc:decimalLatitude": "51.5"},
    ]
    report = actions.look_at(actions.give(archive(rows), "x.zip", by=curator, now=NOW), by=curator, now=NOW)
    assert [line.state for line in report.lines] == ["wrong"] * 3
    assert "decimalLatitude" in report.lines[0].says[0] and "5_1" in report.lines[1].says[0]


def test_nothing_is_undone_while_another_version_of_a_find_waits_on_a_phone(
    reference: Reference, curator: Member, collector: Member
) -> None:
    taking = taken_in(archive([{}]), curator)
    WaitingVersion.objects.create(find_id=KEY, by=collector, since=NOW)
    with pytest.raises(actions.TakingInRefused, match="waits on a phone"):
        actions.undo(taking, by=curator, now=NOW)
    assert Find.objects.count() == 1


def test_no_file_splits_a_find_that_was_logged_here(reference: Reference, curator: Member) -> None:
    here = FindFactory(own_blur_step_deg=0.1)
    relation = {
        "dwc:resourceID": KEY,
        "dwc:relationshipOfResource": "share of",
        "dwc:relatedResourceID": str(here.pk),
    }
    taking = actions.give(archive([{}], relations=[relation]), "x.zip", by=curator, now=NOW)
    report = actions.take_in(taking, by=curator, now=NOW)
    assert not here.shares.exists() and "was logged here" in report.lines[0].says[0]
    told = b"".join(stream(Choices(kind="archive", which="all"), now=NOW))
    with zipfile.ZipFile(io.BytesIO(told)) as files:
        assert str(here.pk) in files.read("relation.csv").decode()
