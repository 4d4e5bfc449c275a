import pytest

from ledger.record.hosts import HostTable, HostTableError
from tests.ledger.record.cases import hosts


@pytest.mark.parametrize(
    ("typed", "genus", "group"),
    [
        ("Quercus robur L.", "Quercus", "hardwood"),
        ("old OAK", "Quercus", "hardwood"),
        ("Douglas-fir", "Pseudotsuga", "conifer"),
        ("mountain ash", "Sorbus", "hardwood"),
        ("pines", "Pinus", "conifer"),
        ("Taxus baccata", "Taxus", "conifer"),
        ("hardwood", "", "hardwood"),
        ("oak or beech", "", "hardwood"),
        ("Ginkgo biloba", "Ginkgo", None),
        ("alte Rotbuche, liegend", "Fagus", "hardwood"),
        ("Hainbuchen", "Carpinus", "hardwood"),
        ("WEISSDORN", "Crataegus", "hardwood"),
        ("Hänge-Birke", "Betula", "hardwood"),
        ("Lärche", "Larix", "conifer"),
        ("Nadelholz", "", "conifer"),
        ("Obstbaum", "", "hardwood"),
        ("alter Buchenstumpf", "Fagus", "hardwood"),
        ("Kiefernstamm", "Pinus", "conifer"),
        ("Fichte oder Tanne", "", "conifer"),
    ],
)
def test_a_typed_host_gets_its_genus_and_kind_of_wood(typed, genus, group):
    match = hosts().match(typed)
    assert (match.genus, match.group) == (genus, group)


@pytest.mark.parametrize(
    "typed", ["", "unknown", "oak or pine", "a bush", "cedar", "Kastanie", "Buche oder Fichte"]
)
def test_what_could_be_two_kinds_or_none_is_not_guessed(typed):
    assert hosts().group_of(typed) is None


def test_deciduous_alone_is_not_a_kind_of_wood():
    assert hosts().group_of("deciduous tree") is None


def test_a_name_that_stands_for_two_genera_is_refused_with_its_line():
    row = {"genus": "Cedrus", "vernacular": "cedar", "group": "conifer", "source": "from memory"}
    with pytest.raises(HostTableError, match="line 3: 'cedar' stands there twice"):
        HostTable.from_rows([row, {**row, "genus": "Thuja"}])


def test_names_are_listed_by_the_kind_of_wood_they_tell():
    row = {"genus": "Picea", "vernacular": "Norway spruce", "group": "conifer", "source": "from memory"}
    table = HostTable.from_rows([row, {**row, "genus": "Ginkgo", "vernacular": "", "group": ""}])
    said_outright = ["conifer", "softwood", "needle leaved", "nadelholz", "nadelbaum"]
    assert table.by_group["conifer"] == [*said_outright, "picea", "norway spruce"]
    assert table.by_group[""] == ["deciduous", "ginkgo"]


def test_genera_are_offered_as_they_are_written() -> None:
    rows = [{"genus": "Quercus", "vernacular": "oak", "group": "hardwood", "source": "from memory"}]
    assert HostTable.from_rows(rows).genera == ("Quercus",)


@pytest.mark.parametrize("change", [{"group": "needles"}, {"source": ""}])
def test_a_row_without_source_or_with_another_group_is_refused(change):
    row = {"genus": "Abies", "vernacular": "fir", "group": "conifer", "source": "from memory"}
    with pytest.raises(HostTableError, match="line 2"):
        HostTable.from_rows([{**row, **change}])
