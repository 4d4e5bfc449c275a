from vouchers.printing.wording import LabelReading, by_condition, measure_text, phrase


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
    fresh, dry = by_condition(
        [
            LabelReading("pore_surface_colour", states=("white",), state="fresh"),
            LabelReading("consistency", states=("corky",), state="air-dry"),
        ]
    )
    assert (fresh, dry) == (("underside white",), ("texture corky",))


def test_a_reading_in_no_noted_state_says_so() -> None:
    fresh, dry = by_condition([LabelReading("zonation", states=("zoned",))])
    assert (fresh, dry) == (("state not noted: zoned",), ())
