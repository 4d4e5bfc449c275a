"""The archive held against the world: the schema of meta.xml and the text guide, the lists of terms, and two readers
of others.

Readers: python-dwca-reader, over the csv module, and polars-darwin-core, over the CSV reader of polars; both from the
package registry. They know nothing of us.
"""

import csv
import io
import zipfile
from collections import Counter
from pathlib import Path

import pytest
from django.utils import timezone
from dwca.read import DwCAReader
from lxml import etree
from polars_darwin_core import DarwinCoreLazyFrame

from ledger.exchange import terms
from ledger.exchange.formulas import guarded, unguarded
from ledger.exchange.meta import EML, META, broken_rules, read_meta
from ledger.exchange.reader import open_archive
from ledger.exchange.tables import CONSTANT_COLUMNS, OCCURRENCE_COLUMNS, plans
from ledger.handing_on import actions
from ledger.handing_on.choices import ALL, Choices
from ledger.handing_on.streams import stream
from ledger.people.models import Member
from tests.ledger.handing_on.scene import GUEST, NOTE, make_scene

DATA = Path(__file__).parent / "data"
ROOT = Path(__file__).resolve().parents[2]
DWC = "http://rs.tdwg.org/dwc/terms/"
# In the order of ledger.exchange.terms; names as the list of definitions has them.
DEFINITIONS = {
    terms.OCCURRENCE: "Occurrence core",
    terms.MEASUREMENT: "MeasurementOrFact",
    terms.IDENTIFICATION: "Identification history",
    terms.MEDIA: "Audiovisual Media Description",
    terms.RELATION: "ResourceRelationship",
}


@pytest.fixture
def archive(db: None, reference: object, collector: Member, curator: Member, tmp_path: Path) -> Path:
    scene = make_scene(collector, curator)
    actions.note_agreed([GUEST], by=curator, now=timezone.now())
    assert scene.open.note == NOTE
    path = tmp_path / "finds.zip"
    choices = Choices(kind="archive", which=ALL, notes=True, photos=True, permits=True)
    path.write_bytes(b"".join(stream(choices, now=timezone.now())))
    return path


def schema() -> etree.XMLSchema:
    """The schema without its two imports, which lie on other machines and bear on nothing that we use."""
    tree = etree.parse(DATA / "darwin_core_text_meta_xml_schema.xsd")
    for node in tree.getroot().findall("{http://www.w3.org/2001/XMLSchema}import"):
        tree.getroot().remove(node)
    return etree.XMLSchema(tree)


def cells(path: Path, name: str) -> list[dict[str, str]]:
    with zipfile.ZipFile(path) as files, io.TextIOWrapper(files.open(name), "utf-8", newline="") as text:
        return list(csv.DictReader(text))


def terms_of(definition: str) -> dict[str, bool]:
    """Addresses of the properties of a row type, and whether each is required."""
    with (DATA / "dwca_core_and_extension_term_lists.csv").open(newline="") as file:
        return {
            row["property_iri"]: row["required"] == "true"
            for row in csv.DictReader(file)
            if row["definition"] == definition
        }


def test_meta_xml_passes_the_schema(archive: Path) -> None:
    with zipfile.ZipFile(archive) as files:
        schema().assertValid(etree.fromstring(files.read(META)))


@pytest.mark.parametrize(
    ("name", "passes_schema", "passes_guide"),
    [
        ("meta_xml_valid_example.xml", True, True),
        ("meta_xml_invalid_missing_coreid.xml", False, False),
        ("meta_xml_schema_valid_but_breaks_guide_no_core_id.xml", True, False),
    ],
)
def test_schema_and_our_own_rules_judge_the_examples_as_they_should(
    name: str, passes_schema: bool, passes_guide: bool
) -> None:
    data = (DATA / name).read_bytes()
    meta = read_meta(data)
    names = [table.file for table in meta.tables] + [meta.metadata]
    assert schema().validate(etree.fromstring(data)) is passes_schema
    assert (broken_rules(meta, names) == []) is passes_guide


def test_the_guides_rules_beyond_the_schema_hold(archive: Path) -> None:
    with open_archive(archive) as opened:
        assert opened.broken_rules() == []
        assert META in opened.names and EML in opened.names
        core = [key for _, key, _ in opened.rows(opened.meta.core)]
        assert len(core) == len(set(core)) and all(core)
        for table in opened.meta.extensions:
            keys = {key for _, key, _ in opened.rows(table)}
            assert keys and keys <= set(core), table.file
    with zipfile.ZipFile(archive) as files:
        for name in (name for name in files.namelist() if name.endswith(".csv")):
            data = files.read(name)
            assert not data.startswith(b"\xef\xbb\xbf")
            widths = Counter(len(row) for row in csv.reader(io.StringIO(data.decode(), newline="")))
            assert len(widths) == 1, name


@pytest.mark.parametrize("table", terms.TABLES)
def test_every_column_is_in_the_term_list_of_its_row_type(table: str) -> None:
    told = dict.fromkeys(CONSTANT_COLUMNS, "x")
    plan = next(plan for plan in plans(told, with_media=True) if plan.table == table)
    known = terms_of(DEFINITIONS[table])
    for column in (*plan.columns, *plan.constants):
        assert terms.iri_of(column) in known, column


def test_every_darwin_core_column_is_a_recommended_term_of_today() -> None:
    with (DATA / "darwin_core_terms_recommended.csv").open(newline="") as file:
        recommended = {row["term_iri"] for row in csv.DictReader(file)}
    for plan in plans(dict.fromkeys(CONSTANT_COLUMNS, "x"), with_media=True):
        for column in (*plan.columns, *plan.constants):
            if column.startswith(("dwc:", "dcterms:")):
                assert terms.iri_of(column) in recommended or plan.table == terms.MEDIA, column


def test_the_flat_table_has_columns_of_simple_darwin_core_alone() -> None:
    simple = set((DATA / "darwin_core_simple_column_names.csv").read_text().split())
    assert {column.partition(":")[2] for column in (*OCCURRENCE_COLUMNS, *CONSTANT_COLUMNS)} <= simple


def test_what_is_required_is_never_empty(archive: Path) -> None:
    with open_archive(archive) as opened:
        for table in opened.meta.tables:
            required = [
                terms.short_of(iri)
                for iri, is_required in terms_of(DEFINITIONS[table.table]).items()
                if is_required
            ]
            for _, _, row in opened.rows(table):
                assert all(row[term] for term in required), (table.file, row)


def test_the_list_that_we_go_by_is_the_published_one() -> None:
    for table, known in terms.read_terms(ROOT / "fixtures").items():
        assert {term.iri: term.required for term in known.values()} == terms_of(DEFINITIONS[table])


def test_the_first_outside_reader_gives_back_every_value(archive: Path) -> None:
    with DwCAReader(str(archive)) as reader:
        assert reader.descriptor.core.type == terms.ROW_TYPES[terms.OCCURRENCE]
        ours = cells(archive, "occurrence.csv")
        theirs = list(reader)
        assert len(theirs) == len(ours) > 0
        for row, own in zip(theirs, ours, strict=True):
            assert row.id == own["occurrenceID"]
            told = {iri.rpartition("/")[2]: value for iri, value in row.data.items()}
            assert {name: told[name] for name in own} == own
            assert told["kingdom"] == "Fungi" and told["occurrenceStatus"] == "present"
        for plan in plans({}, with_media=True)[1:]:
            held = cells(archive, plan.file)
            found = [
                {"coreid": one.core_id, **{iri.rpartition("/")[2]: value for iri, value in one.data.items()}}
                for row in theirs
                for one in row.extensions
                if one.rowtype == terms.ROW_TYPES[plan.table]
            ]
            assert len(found) == len(held) > 0, plan.file
            assert sorted(map(_line, found)) == sorted(map(_line, held)), plan.file
        full = next(row for row in theirs if row.data[DWC + "recordNumber"] == "AT 57")
        assert full.data[DWC + "decimalLongitude"] == "-2.34567"
        assert full.data[DWC + "occurrenceRemarks"] == guarded(NOTE)
        assert unguarded(full.data[DWC + "occurrenceRemarks"]) == NOTE
        assert reader.metadata is not None


def _line(row: dict[str, str]) -> tuple[tuple[str, str], ...]:
    return tuple(sorted((name, value) for name, value in row.items() if name != "coreid" or value))


@pytest.mark.parametrize("table", terms.TABLES)
def test_the_second_outside_reader_gives_back_every_value(table: str, archive: Path, tmp_path: Path) -> None:
    # It reads the core of an unpacked archive. An extension is read as it stands, under a meta.xml that calls it the
    # core.
    folder = tmp_path / "unpacked"
    with zipfile.ZipFile(archive) as files:
        files.extractall(folder)
    plan = next(plan for plan in plans({}, with_media=True) if plan.table == table)
    _call_core(folder / META, plan.file)
    read = DarwinCoreLazyFrame.from_archive(folder, infer_schema=False)._inner.collect()
    found = [
        {name: "" if value is None else str(value) for name, value in row.items()} for row in read.to_dicts()
    ]
    held = cells(archive, plan.file)
    assert len(found) == len(held) > 0
    for row, own in zip(found, held, strict=True):
        assert {name: row[name] for name in own} == own


def _call_core(meta: Path, file: str) -> None:
    tree = etree.parse(meta)
    space = "{http://rs.tdwg.org/dwc/text/}"
    for element in list(tree.getroot()):
        if element.findtext(f"{space}files/{space}location") == file:
            element.tag = f"{space}core"
            if (key := element.find(f"{space}coreid")) is not None:
                key.tag = f"{space}id"
        else:
            tree.getroot().remove(element)
    tree.write(meta)
