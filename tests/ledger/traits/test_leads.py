"""How often the first is the right one, by how far it leads."""

from types import SimpleNamespace

from ledger.traits.leads import DRAWS, leads
from ledger.traits.trials import FOLDS


def trial(fold, *columns, right=0):
    evidence = {f"trait {i}": column for i, column in enumerate(columns)}

    def sums(traits=None):
        used = [column for code, column in evidence.items() if traits is None or code in traits]
        return [sum(each) for each in zip(*used, strict=True)]

    return SimpleNamespace(fold=fold, evidence=evidence, sums=sums, case=SimpleNamespace(taxon=right))


def some():
    return [trial(fold, [1.0, 0.0], [0.5, 0.0], right=fold % 2) for fold in range(FOLDS)]


def test_each_description_is_ranked_whole_and_in_parts():
    found = leads(some())
    assert sum(lead.is_whole for lead in found) == FOLDS
    assert sum(not lead.is_whole for lead in found) == FOLDS * DRAWS  # of two readings only one can be drawn


def test_a_lead_is_that_of_the_first_over_the_second_and_says_whether_it_is_right():
    whole = [lead for lead in leads(some()) if lead.is_whole]
    assert all(lead.ahead_db > 0.0 for lead in whole)
    assert [lead.is_right for lead in whole] == [fold % 2 == 0 for fold in range(FOLDS)]


def test_the_lots_are_the_same_in_every_run():
    assert leads(some()) == leads(some())
