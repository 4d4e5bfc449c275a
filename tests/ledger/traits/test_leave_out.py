import dataclasses

import pytest

from ledger.traits.learning import DEFAULT
from ledger.traits.leave_out import LEAST_TRAITS, Scales, family_of, learn_all, material
from ledger.traits.ranges import Source
from ledger.traits.trials import fit_weights


def stuff_of(reference, ranges=None):
    return material(
        reference.vocabulary,
        tuple(reference.taxa.values()),
        reference.sources,
        reference.ranges if ranges is None else ranges,
    )


@pytest.fixture(scope="module")
def stuff(whole_reference):
    return stuff_of(whole_reference)


def spoilt(reference, source):
    """The reference with every row of one source turned into something it never said."""
    rows = []
    for row in reference.ranges:
        if row.source_id == source:
            if row.states:
                row = dataclasses.replace(
                    row, states=reference.vocabulary.traits[row.trait].state_codes - row.states or row.states
                )
            elif row.trait != "fruiting_months":
                bounds = {k: None if (v := getattr(row, k)) is None else v * 9 for k in ("low", "high")}
                row = dataclasses.replace(row, **bounds, low_extreme=None, high_extreme=None)
        rows.append(row)
    return tuple(rows)


def test_a_case_is_a_whole_description_by_someone_with_a_page(stuff, whole_reference):
    assert len(stuff.cases) > 300
    assert all(len(case.readings) >= LEAST_TRAITS for case in stuff.cases)
    assert not {whole_reference.sources[case.source].kind for case in stuff.cases} & {
        "memory",
        "common practice",
    }


def test_the_evidence_of_a_case_does_not_depend_on_what_its_source_says(stuff, whole_reference):
    # Case by case: spoil every row of the source, weigh the true description, and nothing may change.
    for case in stuff.cases[::45]:
        other = stuff_of(whole_reference, spoilt(whole_reference, case.source))
        assert other.prints != stuff.prints
        found = []
        for one in (stuff, other):
            scales = Scales(one, learn_all(one, {case.source}))
            found.append(scales.evidence(case, {case.source}))
        assert found[0] == found[1]


def test_neither_do_the_weights_of_a_fold_without_it(stuff, whole_reference):
    case = stuff.cases[17]
    few = dataclasses.replace(stuff, cases=stuff.cases[:40])
    other = dataclasses.replace(
        stuff_of(whole_reference, spoilt(whole_reference, case.source)), cases=few.cases
    )
    out = {case.source}
    found = [fit_weights(one, learn_all(one, out), out, DEFAULT) for one in (few, other)]
    assert found[0] == found[1]


def test_leaving_a_source_out_of_kept_tables_equals_building_without_it(stuff):
    case = max(stuff.cases, key=lambda one: len(one.readings))
    learned = learn_all(stuff, {case.source})
    kept = Scales(stuff, learned).evidence(case, {case.source})
    anew = Scales(stuff, learned, {case.source}).evidence(case, ())
    for trait, column in kept.items():
        assert column == pytest.approx(anew[trait], abs=1e-12)


def test_sources_of_one_stem_are_one_family_and_so_is_the_encyclopaedia():
    ids = ("ncsu-fomes", "ncsu-irpex", "wiki-de-x", "dewiki-y", "schmidt2006")
    assert [family_of(Source(one, "", voice=one)) for one in ids] == [
        "ncsu",
        "ncsu",
        "wiki",
        "wiki",
        "schmidt2006",
    ]
