import pytest

from tests.ledger.record.cases import flags_of


def test_a_beech_on_conifer_wood_disagrees():
    flag = flags_of(host_states=frozenset({"conifer"}))["host_group_differs"]
    for part in ("Fagus sylvatica", "hardwood", "conifer"):
        assert part in flag.sentence


@pytest.mark.parametrize(
    "changes", [{"host_group": None}, {"host_states": frozenset()}, {"host_states": frozenset({"conifer", "hardwood"})}]
)  # fmt: skip
def test_what_is_not_known_or_is_both_does_not_disagree(changes):
    assert "host_group_differs" not in flags_of(**changes)


def test_a_host_without_how_it_was_known_is_a_note():
    assert flags_of(host_known_by="")["host_basis_missing"].severity == "note"


def test_no_host_needs_no_reason():
    assert "host_basis_missing" not in flags_of(host=" ", host_group=None, host_known_by="")


def test_a_class_without_its_scale_is_a_note():
    assert set(flags_of(decay_scale="")) == {"decay_scale_missing"}


def test_a_class_beyond_the_scale_names_the_classes():
    flag = flags_of(decay_class="6")["decay_class_unknown"]
    assert "1, 2, 3, 4 and 5" in flag.sentence


def test_a_scale_that_is_not_in_the_file_is_not_judged():
    assert flags_of(decay_scale="our own", decay_class="1a") == {}


@pytest.mark.parametrize(
    ("scale", "wood", "expected"),
    [
        ("usda-fia-log", "fallen log", False),
        ("usda-fia-log", "dead standing", True),
        ("usda-fia-snag", "dead standing", False),
        ("usda-fia-snag", "fallen log", True),
        ("usda-fia-snag", "living tree", True),
        ("usda-fia-log", "stump", False),
        ("usda-fia-log", "buried wood", False),
    ],
)
def test_a_standing_tree_needs_the_standing_scale_and_a_log_its_own(scale, wood, expected):
    flags = flags_of(decay_scale=scale, wood_states=frozenset({wood}))
    assert ("decay_scale_wrong_wood" in flags) is expected


def test_a_bracket_on_a_log_of_class_one_is_a_note_and_never_more():
    assert flags_of(decay_class="1")["decay_class_before_brackets"].severity == "note"


@pytest.mark.parametrize(
    ("decay_class", "diameter_cm", "expected"),
    [("3", 7.5, True), ("3", 7.6, False), ("5", 12.6, True), ("5", 12.7, False), ("5", None, False)],
)
def test_thin_wood_is_below_the_scale(decay_class, diameter_cm, expected):
    flags = flags_of(decay_class=decay_class, diameter_cm=diameter_cm)
    assert ("decay_wood_too_thin" in flags) is expected


def test_without_a_class_the_scale_says_nothing():
    assert flags_of(decay_class="", wood_states=frozenset({"living tree"})) == {}
