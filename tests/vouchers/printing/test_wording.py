from ledger.taxa.queries import vocabulary
from vouchers.printing.wording import (
    ELSEWHERE,
    PHRASES,
    ByState,
    LabelReading,
    by_state,
    measure_text,
    phrase,
    phrases,
)


def test_replicates_are_written_low_to_high_with_their_number() -> None:
    assert phrase(LabelReading("cap_width", values=(58, 31, 44.5), unit="mm")) == "cap 31–58 mm wide (n = 3)"


def test_a_single_measure_has_no_range_and_no_number() -> None:
    assert phrase(LabelReading("cap_width", values=(58,), unit="mm")) == "cap 58 mm wide"


def test_pores_are_told_per_mm() -> None:
    assert phrase(LabelReading("pores_per_mm", low=3, high=4, n=5, unit="1/mm")) == "pores 3–4 per mm (n = 5)"


def test_one_bound_alone_is_told_as_it_is() -> None:
    assert measure_text(LabelReading("cap_width", high=80, unit="mm")) == "80 mm"


def test_the_host_is_left_to_its_own_line() -> None:
    assert phrase(LabelReading("host", states=("hardwood",))) == ""


def test_fresh_and_dry_readings_stand_apart() -> None:
    said = by_state(
        [
            LabelReading("pore_surface_colour", states=("white",), state="fresh"),
            LabelReading("consistency", states=("corky",), state="air-dry"),
        ]
    )
    assert said == ByState(fresh=("underside white",), dry=("texture corky",))


def test_a_reading_in_no_noted_state_says_so() -> None:
    said = by_state([LabelReading("zonation", states=("zoned",))])
    assert said == ByState(noted=("state not noted: zoned",))


def _read(state: str, *traits: str) -> list[LabelReading]:
    return [LabelReading(trait, states=("white",), state=state) for trait in traits]


def test_readings_all_moist_say_so_once() -> None:
    said = by_state(_read("moist", "cap_colour", "context_colour"))
    assert said == ByState(moist=("cap white", "flesh white"))


def test_weathered_readings_stand_behind_the_dry_ones_and_say_so_once() -> None:
    said = by_state(
        _read("weathered", "cap_colour", "context_colour") + _read("oven-dry", "pore_surface_colour")
    )
    assert said.dry == ("underside white", "weathered: cap white", "flesh white")


def test_length_and_width_of_spores_make_one_phrase() -> None:
    spores = [
        LabelReading("spore_length", low=6.4, high=6.6, n=30, unit="um"),
        LabelReading("spore_width", low=6.2, high=6.4, n=30, unit="um"),
    ]
    assert phrases(spores) == ("spores 6.4–6.6 × 6.2–6.4 µm (n = 30)",)
    assert phrases(spores[1:]) == ("spores 6.2–6.4 µm wide (n = 30)",)


def test_spores_measured_unequally_often_stand_apart() -> None:
    spores = [
        LabelReading("spore_length", low=6.4, high=6.6, n=30, unit="um"),
        LabelReading("spore_width", low=6.2, high=6.4, n=20, unit="um"),
    ]
    assert phrases(spores) == ("spores 6.4–6.6 µm long (n = 30)", "spores 6.2–6.4 µm wide (n = 20)")


def test_the_shape_of_pores_says_what_it_is_of() -> None:
    assert phrase(LabelReading("pore_shape", states=("maze",))) == "pore shape maze"


def test_sizes_behind_the_width_of_the_cap_do_not_repeat_it() -> None:
    sizes = [LabelReading(trait, values=(20,), unit="mm") for trait in ("cap_width", "cap_length")]
    assert phrases(sizes) == ("cap 20 mm wide", "20 mm long")
    assert phrases(sizes[1:]) == ("cap 20 mm long",)


def test_every_trait_has_its_phrase_on_a_label() -> None:
    assert PHRASES.keys() | ELSEWHERE == vocabulary().traits.keys() | {"smell"}
