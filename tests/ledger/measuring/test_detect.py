from dataclasses import replace

import numpy as np
import pytest

from ledger.measuring.card import KINDS
from ledger.measuring.detect import CardView, NoCard, find_card
from tests.ledger.measuring.making import LOOK, as_seen, picture, setup, straight_view


def found(scene, look=LOOK, **how):
    view = find_card(picture(scene, look), **how)
    assert isinstance(view, CardView), view
    return view


def farthest_off(view, scene):
    """How far, in px, a corner of the card lies beside where the view puts it."""
    corners = np.array(KINDS[view.kind].corners_mm)
    return float(np.max(np.abs(view.corners_px - as_seen(scene, corners))))


@pytest.mark.parametrize(("kind", "far"), [("small", 260.0), ("large", 420.0)])
def test_each_kind_of_card_is_found_for_what_it_is(kind, far):
    scene = setup(kind, far=far)
    view = found(scene)
    assert view.kind == kind
    assert view.markers == tuple(marker.id for marker in KINDS[kind].markers)
    assert farthest_off(view, scene) < 0.3


@pytest.mark.parametrize("turn", [0.0, 1.6, 3.1, 4.8])
def test_the_card_is_found_however_it_is_turned(turn):
    scene = setup(turn=turn)
    assert farthest_off(found(scene), scene) < 0.3


def test_the_scale_in_the_middle_of_the_card_is_that_of_the_camera():
    view = straight_view()
    # 260 mm away, 1216 px of focal length.
    assert view.mm_per_px == pytest.approx(260 / 1216, rel=5e-4)
    assert 0.002 < view.u_mm_per_px / view.mm_per_px < 0.005  # that of the print, mostly


def test_a_print_that_came_out_larger_makes_every_length_larger():
    larger = find_card(picture(setup()), printed_mm_per_mm=1.02)
    assert isinstance(larger, CardView)
    assert larger.mm_per_px == pytest.approx(1.02 * straight_view().mm_per_px, rel=1e-9)


@pytest.mark.parametrize("tilt", [0.0, 15.0, 38.0])
def test_the_tilt_is_told(tilt):
    assert found(setup(tilt=tilt)).tilt_deg == pytest.approx(tilt, abs=1.5)


def test_a_tilted_card_is_said_to_be_with_what_lengths_are_good_to():
    sentences = found(setup(tilt=38.0)).sentences
    assert len(sentences) == 1
    assert sentences[0].startswith("Card tilted 38 degrees: lengths good to 2 %.")


def test_a_card_seen_well_is_summed_up_in_one_sentence():
    view = straight_view()
    assert view.summary == "Scale card found, 4.7 pixels per mm: lengths good to 0.7 %."
    assert view.sentences == ()


def test_a_blurred_card_is_said_to_be():
    view = found(setup(far=150.0), replace(LOOK, blur=4.0))
    assert view.blur_px == pytest.approx(4.0, rel=0.15)
    assert any(
        sentence.startswith("Blurred: a sharp edge is spread over 8 pixels") for sentence in view.sentences
    )


def test_a_bent_card_is_said_to_be_and_claims_less():
    view = found(setup(bend=4.0))
    assert any("bent" in sentence for sentence in view.sentences)
    flat = straight_view().plane.covariance
    assert np.all(np.diag(view.plane.covariance) > 10 * np.diag(flat))


def test_a_hidden_marker_is_done_without_and_said():
    scene = setup()
    view = find_card(picture(scene, covered=2))
    assert isinstance(view, CardView)
    assert view.markers == (0, 1, 3)
    assert farthest_off(view, scene) < 0.5
    assert any(
        sentence.startswith("1 of the card's 4 black squares is hidden") for sentence in view.sentences
    )


def test_one_marker_alone_is_no_card():
    photo = picture(setup(turn=0.0)).copy()
    # Only the upper left square stays: the rest of the card lies under leaves.
    x, y = np.rint(as_seen(setup(turn=0.0), np.array([[18.0, 22.0]]))[0]).astype(int)
    photo[:, x:] = photo[y:] = 60
    answer = find_card(photo)
    assert isinstance(answer, NoCard)
    assert answer.why.startswith("Only one black square of the scale card was seen; two are needed")


def test_an_empty_photo_has_no_card_and_says_what_to_do():
    answer = find_card(np.random.default_rng(1).integers(0, 255, (900, 1200)).astype(np.uint8))
    assert isinstance(answer, NoCard)
    assert answer.why.startswith("No scale card was seen. If one is there, go closer")


def test_a_photo_out_of_focus_is_told_so():
    answer = find_card(picture(setup(), replace(LOOK, blur=25.0, noise=0.2)))
    assert isinstance(answer, NoCard)
    assert "the photo is blurred" in answer.why


def test_a_tiny_photo_is_told_so():
    answer = find_card(np.zeros((40, 60), np.uint8))
    assert answer == NoCard("The photo is too small: a scale card cannot be seen in it.")


def test_squares_that_do_not_lie_as_on_one_card_are_not_taken_together():
    photo = picture(setup(turn=0.0)).copy()
    # The right half of the card, cut off and laid on again upside down.
    (x, _), (_, low), (_, high) = as_seen(
        setup(turn=0.0), np.array([[42.5, 27.0], [42.5, 54.0], [42.5, 0.0]])
    )
    top, bottom, middle = round(high), round(low), round(x)
    photo[top:bottom, middle : middle + 200] = photo[top:bottom, middle : middle + 200][::-1, ::-1].copy()
    answer = find_card(photo)
    assert isinstance(answer, CardView)
    assert answer.markers in ((0, 2), (1, 3))


def test_the_card_with_more_of_itself_in_view_serves_where_there_are_two():
    photo = picture(setup(turn=0.0, off=-350.0)).copy()
    whole = setup(turn=0.0, off=-350.0)
    photo[:, 800:] = photo[:, :800].copy()
    x = round(as_seen(whole, np.array([[0.0, 0.0]]))[0][0])
    photo[:, x : x + 100] = 90  # the left squares of the left one
    view = find_card(photo)
    assert isinstance(view, CardView)
    assert len(view.markers) == 4
    assert view.corners_px[:, 0].min() > 800


@pytest.mark.parametrize("bad", [np.zeros((200, 200, 3), np.uint8), np.zeros((200, 200), np.float32)])
def test_what_is_no_grey_picture_is_refused(bad):
    with pytest.raises(ValueError, match="uint8"):
        find_card(bad)


@pytest.mark.parametrize("printed", [0.0, 3.0, float("nan")])
def test_a_print_that_cannot_be_is_refused(printed):
    with pytest.raises(ValueError, match="print"):
        find_card(np.zeros((200, 200), np.uint8), printed_mm_per_mm=printed)
