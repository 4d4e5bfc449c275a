"""The foray's table: one phone, many finders, with a signal and without."""

from collections.abc import Callable
from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from ledger.finds.models import Find
from ledger.forays.models import Foray
from ledger.people.models import Member
from ledger.traits.reference import Reference
from tests.browser.on_phone import field, finds_on, opened, until
from tests.factories import FindFactory, ForayFactory


@pytest.fixture
def foray(leader: Member) -> Foray:
    made: Foray = ForayFactory(
        leader=leader, held_on=timezone.localdate(), permission="Hollin Estate, 2026-4"
    )
    return made


@pytest.fixture
def table(
    reference: Reference,
    foray: Foray,
    collector: Member,
    stranger: Member,
    curator: Member,
    open_page: Callable[..., Page],
) -> Page:
    """The table's page, keyed by the collector. It is fetched while there is a signal."""
    page = open_page(as_=collector)
    page.goto("/phone/table/")
    ready(page)
    return page


def ready(page: Page) -> None:
    page.wait_for_selector("body[data-ready]", state="attached")
    expect(page.locator("#table")).to_be_visible()


def begin(page: Page, foray: Foray) -> None:
    """Choose the foray, once."""
    expect(page.locator(f'#setup-foray option[value="{foray.pk}"]')).to_be_attached()
    page.get_by_label("Foray", exact=True).select_option(str(foray.pk))
    page.get_by_label("Place in words").fill("Hollin Wood")
    page.get_by_label("Place, in decimal degrees").fill("51.2345, -2.3456")
    page.get_by_role("button", name="1 km").click()
    page.get_by_role("button", name="To the finds").click()


def choose(page: Page, typed: str, name: str) -> None:
    """Choose a finder who is not among the chips yet."""
    page.locator("#pick-finder").get_by_role("button", name="Somebody else").click()
    page.locator("#pick-finder-box").fill(typed)
    page.locator("#pick-finder [data-found]").get_by_role("button", name=name).click()
    expect(page.locator("#pick-finder input:checked")).to_have_count(1)


def enter(page: Page, name: str) -> None:
    page.locator("#entry-name").fill(name)
    page.get_by_role("button", name="Next find").click()
    expect(page.locator("#entry-said")).to_contain_text(f"is kept: {name}")


def row_of(page: Page, words: str) -> Any:
    return page.locator("#day-list > li").filter(has_text=words)


def test_finds_of_many_finders_are_keyed_in_and_reach_the_ledger_under_their_finders_numbers(
    table: Page, foray: Foray, collector: Member, stranger: Member
) -> None:
    begin(table, foray)
    choose(table, "so", "Sam Oakley")
    expect(table.locator("#entry-number")).to_have_text("SO 1")
    table.locator("#entry-name").fill("Trametes versicolor")
    table.get_by_label("stump").check(force=True)
    table.locator("#entry-host").fill("Fagus")
    table.locator("#entry-count").fill("12")
    table.get_by_role("button", name="Next find").click()
    enter(table, "Stereum hirsutum")  # the same finder: one tap
    choose(table, "prof elm", "Guest: prof elm")
    enter(table, "Fomes fomentarius")
    expect(table.locator("#day-list > li")).to_have_count(3)
    expect(row_of(table, "Fomes")).to_contain_text("on the ledger")
    expect(row_of(table, "Stereum")).to_contain_text("on the ledger")
    expect(row_of(table, "versicolor")).to_contain_text("on the ledger")
    found = {find.current_determination.name_typed: find for find in Find.objects.all()}
    one = found["Trametes versicolor"]
    assert (one.finder, one.logged_by, one.collecting_number) == (stranger, collector, "SO 1")
    assert (one.foray, one.found_on, one.locality) == (foray, foray.held_on, "Hollin Wood")
    assert (one.host, one.fruit_bodies, one.kept, one.permission) == ("Fagus", 12, True, foray.permission)
    assert (one.position_source, one.latitude, one.uncertainty_m) == ("table", 51.2345, 1000)
    assert (one.keyed_at_table, one.status) == (True, "logged")
    assert one.readings.get().states == ["stump"]
    assert found["Stereum hirsutum"].collecting_number == "SO 2"
    guests = found["Fomes fomentarius"]
    assert (guests.finder, guests.found_by, guests.collecting_number) == (collector, "prof elm", "AT 1")


def test_without_a_signal_finds_wait_in_the_outbox_and_a_find_half_typed_is_still_there(
    table: Page, foray: Foray, open_page: Any
) -> None:
    begin(table, foray)
    choose(table, "so", "Sam Oakley")
    expect(table.locator("#entry-number")).to_have_text("SO 1")
    table.context.set_offline(True)
    enter(table, "Trametes versicolor")
    expect(row_of(table, "versicolor")).to_contain_text("in the outbox")
    table.locator("#entry-name").fill("Stereum")
    table.get_by_label("root").check(force=True)
    expect(table.locator("#entry-number")).to_have_text("SO 2")
    until(table, lambda: any(value == "root" for find in finds_on(table) for _, value in find["fields"]))
    table.context.set_offline(False)
    table.reload()
    ready(table)
    expect(table.locator("#entry-name")).to_have_value("Stereum")
    expect(table.get_by_label("root")).to_be_checked()
    expect(table.locator("#entry-number")).to_have_text("SO 2")
    expect(row_of(table, "versicolor")).to_contain_text("on the ledger")
    assert Find.objects.count() == 1
    open_page.errors.clear()  # the browser's own words about the lost network


def test_a_tap_on_a_row_corrects_a_find_and_goes_back_to_the_one_half_typed(
    table: Page, foray: Foray, open_page: Any
) -> None:
    begin(table, foray)
    choose(table, "so", "Sam Oakley")
    expect(table.locator("#entry-number")).to_have_text("SO 1")
    table.context.set_offline(True)
    enter(table, "Trametes versicolor")
    table.locator("#entry-name").fill("Stereum")
    row_of(table, "versicolor").get_by_role("button").click()
    expect(table.locator("#entry-head")).to_have_text("Correct this find")
    expect(table.locator("#entry-number")).to_have_text("SO 1")
    table.locator("#entry-name").fill("Trametes hirsuta")
    table.get_by_role("button", name="Keep the correction").click()
    expect(table.locator("#entry-said")).to_contain_text("SO 1 is kept: Trametes hirsuta, Sam Oakley.")
    expect(table.locator("#entry-name")).to_have_value("Stereum")
    expect(table.locator("#entry-head")).to_have_text("Next find")
    table.context.set_offline(False)
    expect(row_of(table, "hirsuta")).to_contain_text("on the ledger")
    assert Find.objects.get().current_determination.name_typed == "Trametes hirsuta"
    open_page.errors.clear()


def test_a_correction_that_is_given_up_leaves_the_find_as_it_was(
    table: Page, foray: Foray, open_page: Any
) -> None:
    begin(table, foray)
    choose(table, "so", "Sam Oakley")
    table.context.set_offline(True)
    enter(table, "Trametes versicolor")
    row_of(table, "versicolor").get_by_role("button").click()
    expect(table.locator("#entry-head")).to_have_text("Correct this find")
    table.locator("#entry-name").fill("Trametes hirsuta")
    table.get_by_role("button", name="Leave it as it was").click()
    expect(table.locator("#entry-head")).to_have_text("Next find")
    expect(row_of(table, "versicolor")).to_contain_text("in the outbox")
    (find,) = finds_on(table)
    assert (find["state"], field(find, "name_typed")) == ("waiting", "Trametes versicolor")
    table.context.set_offline(False)
    open_page.errors.clear()


def test_another_finder_gives_a_find_another_number_and_frees_the_first(table: Page, foray: Foray) -> None:
    begin(table, foray)
    choose(table, "so", "Sam Oakley")
    expect(table.locator("#entry-number")).to_have_text("SO 1")
    table.locator("#entry-name").fill("Trametes versicolor")
    choose(table, "cb", "Carys Bowen")
    expect(table.locator("#entry-number")).to_have_text("CB 1")
    enter(table, "Trametes versicolor")
    table.locator("#pick-finder label", has_text="Sam Oakley").click()
    expect(table.locator("#entry-number")).to_have_text("SO 1")


def test_what_others_sent_of_the_foray_stands_in_the_list_and_a_number_given_twice_is_shown(
    table: Page, foray: Foray, stranger: Member, curator: Member, open_page: Any
) -> None:
    FindFactory(
        finder=stranger, logged_by=curator, foray=foray, collecting_serial=31, current_determination=None
    )
    hidden = FindFactory(finder=curator, foray=foray, own_blur_step_deg=0.1, collecting_serial=77)
    begin(table, foray)
    expect(row_of(table, "SO 31")).to_contain_text("Sam Oakley · on the ledger, sent by Carys Bowen")
    choose(table, "so", "Sam Oakley")
    table.locator("#slip-more > summary").click()
    table.get_by_label("Number on the slip").fill("31")
    expect(table.locator("#entry-number")).to_have_text("SO 31")
    enter(table, "Trametes versicolor")
    rows = row_of(table, "SO 31")
    expect(rows).to_have_count(2)
    expect(rows.first).to_contain_text("same number twice")
    expect(rows.last).to_contain_text("same number twice")
    expect(row_of(table, hidden.collecting_number)).to_have_count(0)
    # Known also when the signal is gone.
    table.context.set_offline(True)
    expect(row_of(table, "SO 31")).to_have_count(2)
    table.locator("#totals > summary").click()
    expect(table.locator("#totals-finders tr").first).to_have_text("Sam Oakley2")
    open_page.errors.clear()


def test_nothing_goes_without_a_finder_or_with_nothing_said_of_the_specimen(
    table: Page, foray: Foray
) -> None:
    begin(table, foray)
    table.locator("#entry-name").fill("Trametes versicolor")
    table.get_by_role("button", name="Next find").click()
    told = table.locator("#entry-told")
    expect(told).to_contain_text("Nobody is chosen as its finder.")
    expect(table.locator("#entry-name")).to_have_value("Trametes versicolor")
    choose(table, "so", "Sam Oakley")
    table.locator("#entry-name").fill("")
    table.get_by_role("button", name="Next find").click()
    expect(told).to_contain_text("Nothing is said of the specimen yet.")
    assert not Find.objects.exists()


def test_the_whole_form_opens_over_what_is_typed(table: Page, foray: Foray) -> None:
    begin(table, foray)
    choose(table, "so", "Sam Oakley")
    expect(table.locator("#entry-number")).to_have_text("SO 1")
    table.locator("#entry-name").fill("Trametes versicolor")
    table.get_by_label("stump").check(force=True)
    table.get_by_role("button", name="Whole form").click()
    table.wait_for_url("**/finds/log/?draft=*")
    opened(table)
    assert table.locator('[name="name_typed"]').input_value() == "Trametes versicolor"
    assert table.locator('[name="foray"]').input_value() == str(foray.pk)
    expect(table.locator('[name="r-substrate_state-states"][value="stump"]')).to_be_checked()
    table.locator('[name="smell"]').fill("aniseed")
    table.get_by_role("button", name="Keep this find").click()
    table.wait_for_url("**/phone/table/")  # there the queue waits
    expect(row_of(table, "versicolor")).to_contain_text("on the ledger")
    find = Find.objects.get()
    assert (find.collecting_number, find.smell, find.finder.full_name) == ("SO 1", "aniseed", "Sam Oakley")


def test_who_named_it_is_chosen_once_for_the_finds_that_follow(table: Page, foray: Foray) -> None:
    begin(table, foray)
    choose(table, "so", "Sam Oakley")
    table.locator("#namer-more > summary").click()
    table.locator("#pick-namer").get_by_role("button", name="Somebody else").click()
    table.locator("#pick-namer-box").fill("carys")
    table.locator("#pick-namer [data-found]").get_by_role("button", name="Carys Bowen").click()
    expect(table.locator("#namer-line")).to_have_text("Named by Carys Bowen")
    enter(table, "Trametes versicolor")
    enter(table, "Stereum hirsutum")
    expect(row_of(table, "Stereum")).to_contain_text("on the ledger")
    assert {find.current_determination.determiner_name for find in Find.objects.all()} == {"Carys Bowen"}


def test_names_of_the_reference_are_offered_for_a_tap(table: Page, foray: Foray) -> None:
    begin(table, foray)
    choose(table, "so", "Sam Oakley")
    table.reload()  # the reference came with the first visit
    ready(table)
    table.locator("#entry-name").press_sequentially("tra vers")
    table.locator("#offer-names").get_by_role("button", name="Trametes versicolor").click()
    expect(table.locator("#entry-name")).to_have_value("Trametes versicolor")


def test_an_english_name_is_read_as_the_latin_one_with_a_sentence_that_says_so(
    table: Page, foray: Foray, open_page: Any
) -> None:
    begin(table, foray)
    choose(table, "so", "Sam Oakley")
    table.locator("#entry-name").press_sequentially("turkey t")
    expect(table.locator("#offer-names").get_by_role("button").first).to_have_text(
        "turkey tail → Trametes versicolor"
    )
    table.context.set_offline(True)
    table.locator("#entry-name").press_sequentially("ail")
    expect(table.locator("#entry-name-note")).to_have_text("turkey tail is read as Trametes versicolor.")
    table.get_by_role("button", name="Next find").click()
    expect(row_of(table, "Trametes versicolor")).to_contain_text("in the outbox")
    table.locator("#entry-name").fill("lacquered bracket")
    expect(table.locator("#entry-name-note")).to_contain_text("an English name of more than one")
    table.locator("#offer-names").get_by_role("button", name="Ganoderma resinaceum").click()
    table.context.set_offline(False)
    table.get_by_role("button", name="Next find").click()
    expect(row_of(table, "versicolor")).to_contain_text("on the ledger")
    expect(row_of(table, "resinaceum")).to_contain_text("on the ledger")
    names = {find.current_determination.name_typed for find in Find.objects.all()}
    assert names == {"Trametes versicolor", "Ganoderma resinaceum"}
    one = Find.objects.get(current_determination__name_typed="Trametes versicolor")
    assert one.current_determination.vernacular_typed == "turkey tail"
    open_page.errors.clear()  # the browser's own words about the lost network


def test_who_keys_is_the_first_chip_of_finders_and_the_one_chosen_stays(
    table: Page, foray: Foray, collector: Member
) -> None:
    begin(table, foray)
    chips = table.locator("#pick-finder .chip")
    expect(chips.first).to_contain_text(collector.full_name)
    expect(table.locator("#pick-finder input:checked")).to_have_count(0)  # nobody is taken for granted
    choose(table, "so", "Sam Oakley")
    enter(table, "Trametes versicolor")
    expect(chips.first).to_contain_text(collector.full_name)
    expect(table.locator("#pick-finder .chip:has(input:checked)")).to_contain_text("Sam Oakley")
    table.reload()
    ready(table)
    expect(table.locator("#pick-finder .chip:has(input:checked)")).to_contain_text("Sam Oakley")
    chips.first.click()
    enter(table, "Stereum hirsutum")
    expect(chips.first.locator("input")).to_be_checked()
    expect(row_of(table, "Stereum")).to_contain_text(collector.full_name)


def test_every_target_of_the_table_is_48_px_high(table: Page, foray: Foray) -> None:
    begin(table, foray)
    choose(table, "so", "Sam Oakley")
    enter(table, "Trametes versicolor")
    small = table.evaluate(
        """() => [...document.querySelectorAll(
             "#table :is(button, select, summary, a, .chip, input:not(.chip__input, .measure__input), .measure)")]
          .filter((one) => one.getClientRects().length)
          .map((one) => [one.textContent.trim().slice(0, 30) || one.id, one.getBoundingClientRect().height])
          .filter(([, height]) => height < 47.9)"""
    )
    assert small == []
    open_page_size = table.evaluate(
        "parseFloat(getComputedStyle(document.querySelector('#day-list')).fontSize)"
    )
    assert open_page_size >= 16


def test_a_find_of_the_table_that_is_numbered_in_the_whole_form_has_its_finder_s_number(
    table: Page, foray: Foray, open_page: Any
) -> None:
    begin(table, foray)
    table.context.set_offline(True)
    choose(table, "so", "Sam Oakley")
    table.locator("#entry-name").fill("Trametes versicolor")
    expect(table.locator("#entry-number")).to_have_text("number comes with the signal")
    until(table, lambda: len(finds_on(table)) == 1)
    table.context.set_offline(False)
    table.reload()
    ready(table)
    table.get_by_role("button", name="Whole form").click()
    table.wait_for_url("**/finds/log/?draft=*")
    opened(table)
    table.locator('[name="smell"]').fill("aniseed")
    table.get_by_role("button", name="Keep this find").click()
    table.wait_for_url("**/phone/table/")
    assert Find.objects.get().collecting_number == "SO 1"
    open_page.errors.clear()


def test_a_place_that_cannot_be_read_holds_the_setup_open(table: Page, foray: Foray) -> None:
    table.get_by_label("Place, in decimal degrees").fill("by the weir")
    table.get_by_role("button", name="To the finds").click()
    expect(table.locator("#setup-place-note")).to_contain_text("words, not coordinates")
    expect(table.get_by_label("Place, in decimal degrees")).to_be_focused()


def test_the_place_of_one_foray_is_not_that_of_the_next(table: Page, foray: Foray) -> None:
    begin(table, foray)
    table.locator("#setup-line").click()
    expect(table.get_by_label("Place, in decimal degrees")).to_have_value("51.2345, -2.3456")
    table.get_by_label("Foray", exact=True).select_option("")
    expect(table.get_by_label("Place, in decimal degrees")).to_have_value("")
    expect(table.locator("#setup-place-note")).to_contain_text("Without a place")


def test_whoever_is_expected_has_numbers_of_their_own_before_the_signal_is_gone(
    table: Page, foray: Foray, open_page: Any
) -> None:
    table.locator("#pick-here").get_by_role("button", name="Somebody else").click()
    table.locator("#pick-here-box").fill("so")
    table.locator("#pick-here [data-found]").get_by_role("button", name="Sam Oakley").click()
    expect(table.locator("#setup-numbers")).to_contain_text("Sam Oakley (SO): 10 numbers")
    table.context.set_offline(True)
    begin(table, foray)
    table.locator("#pick-finder label").filter(has_text="Sam Oakley").click()
    expect(table.locator("#entry-number")).to_have_text("SO 1")
    table.goto("about:blank")
    open_page.errors.clear()  # the browser writes each request that met no signal into its console


def test_a_find_that_one_tab_keys_in_is_not_written_by_another(table: Page, foray: Foray) -> None:
    begin(table, foray)
    choose(table, "so", "Sam Oakley")
    table.locator("#entry-name").fill("Trametes versicolor")
    until(table, lambda: len(finds_on(table)) == 1)
    other = table.context.new_page()
    other.goto("/phone/table/")
    ready(other)
    expect(other.locator("#entry-name")).to_have_value("")
    row_of(other, "versicolor").locator("button").click()
    expect(other.locator("#entry-told")).to_contain_text("open in another tab")
    other.close()


def test_what_the_ledger_will_not_take_is_said_before_the_form_moves_on(table: Page, foray: Foray) -> None:
    begin(table, foray)
    choose(table, "so", "Sam Oakley")
    table.locator("#entry-name").fill("Trametes versicolor")
    table.get_by_label("Fruit bodies").fill("lots")
    table.get_by_role("button", name="Next find").click()
    told = table.locator("#entry-told")
    expect(told).to_contain_text("Fruit bodies: “lots” is not read as a number of fruit bodies")
    expect(table.locator("#entry-name")).to_have_value("Trametes versicolor")
    table.get_by_label("Fruit bodies").fill("3")
    table.get_by_role("button", name="Next find").click()
    expect(table.locator("#entry-said")).to_contain_text("is kept: Trametes versicolor")


def test_a_find_that_is_refused_stands_at_the_top_and_that_find_is_corrected(
    table: Page, foray: Foray, open_page: Any
) -> None:
    begin(table, foray)
    choose(table, "so", "Sam Oakley")
    table.locator("#entry-name").fill("Trametes versicolor")
    table.get_by_label("Fruit bodies").fill("lots")
    table.get_by_role("button", name="Next find").click()
    table.get_by_role("button", name="Next find").click()
    refused = table.locator("#table-refused")
    expect(refused).to_contain_text("was not taken by the ledger: Fruit bodies:")
    expect(table.locator("#entry-said")).to_be_empty()
    table.locator("#entry-host").fill("oak")  # the next one is begun
    refused.get_by_role("button", name="Correct it").click()
    expect(table.locator("#entry-head")).to_have_text("Correct this find")
    expect(table.get_by_label("Fruit bodies")).to_have_value("lots")
    expect(table.locator("#entry-told")).to_contain_text("lots")
    table.get_by_label("Fruit bodies").fill("12")
    table.get_by_role("button", name="Keep the correction").click()
    expect(row_of(table, "Trametes versicolor")).to_contain_text("on the ledger")
    expect(refused).to_be_empty()
    assert Find.objects.get().fruit_bodies == 12
    expect(table.locator("#entry-host")).to_have_value("oak")
    open_page.errors.clear()  # the 422 that was asked for
