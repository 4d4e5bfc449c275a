"""The values of a column, leapt to one by one."""

import pytest

from ledger.bench.models import Determination
from ledger.distinct import distinct_texts
from tests.factories import DeterminationFactory, FindFactory

pytestmark = pytest.mark.django_db


def test_each_text_stands_there_once_whatever_its_letters() -> None:
    find = FindFactory()
    texts = ["Trametes", "", "trametes", "Ä", "Trametes", "O'Brien\\%", "z" * 200, "Ä"]
    for text in texts:
        DeterminationFactory(find=find, taxon=None, name_typed=text)
    assert sorted(distinct_texts(Determination, "name_typed")) == sorted(set(texts))


def test_of_no_rows_there_is_none() -> None:
    assert distinct_texts(Determination, "name_typed") == []
