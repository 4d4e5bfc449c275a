import numpy as np
import pytest

from ledger.measuring.plane import fit_plane
from ledger.measuring.pose import pose_of
from tests.ledger.measuring.making import FOCAL, SIZE, made_view, setup

MM = np.array([(x, y) for x in (0.0, 13.0, 65.0, 78.0) for y in (0.0, 13.0, 26.0, 39.0)])
ORIGIN = (40.0, 20.0)
WAYS = np.tile([[-1.0, -1.0], [1.0, 1.0]], (8, 1))


def seen(scene, mm):
    return scene.camera.seen(np.column_stack([mm, np.zeros(len(mm))]))


def fitted(px, expected_px=0.1):
    return fit_plane(MM, px, WAYS, ORIGIN, expected_px=expected_px)


def test_points_of_a_plane_are_fitted_exactly_there_and_back():
    px = seen(setup(tilt=30.0), MM)
    plane = fitted(px).plane
    assert plane.to_px(MM) == pytest.approx(px, abs=1e-6)
    assert plane.to_mm(px) == pytest.approx(MM, abs=1e-6)


def test_the_matrix_given_out_takes_pixels_to_millimetres():
    px = seen(setup(tilt=30.0), MM)
    flat = np.column_stack([px, np.ones(len(px))]) @ fitted(px).plane.px_to_mm.T
    assert flat[:, :2] / flat[:, 2:] == pytest.approx(MM, abs=1e-6)


def test_a_shift_of_all_points_along_their_ways_is_not_taken_for_the_plane():
    px = seen(setup(tilt=20.0), MM)
    fit = fitted(px + 0.7 * WAYS)
    assert fit.shift_px == pytest.approx(0.7, abs=0.02)
    assert fit.plane.to_px(MM) == pytest.approx(px, abs=0.05)


def test_the_covariance_is_that_of_a_simulation():
    """Fits to points with drawn noise (JCGM 101), against the covariance that one fit states."""
    px = seen(setup(tilt=25.0), MM)
    rng = np.random.default_rng(2)
    drawn = np.array([fitted(px + rng.normal(0, 0.2, px.shape), 0.2).plane.parameters for _ in range(600)])
    stated = np.mean(
        [
            np.sqrt(np.diag(fitted(px + rng.normal(0, 0.2, px.shape), 0.2).plane.covariance))
            for _ in range(50)
        ],
        axis=0,
    )
    assert drawn.std(axis=0) == pytest.approx(stated, rel=0.15)


def test_a_spread_beyond_what_was_expected_claims_less_than_it_shows():
    rng = np.random.default_rng(3)
    px = seen(setup(tilt=25.0), MM) + rng.normal(0, 0.5, (16, 2))
    usual, beyond = (fitted(px, expected) for expected in (0.5, 0.1))
    assert beyond.misfit > 4 > usual.misfit
    assert np.all(np.diag(beyond.plane.covariance) > 3 * np.diag(usual.plane.covariance))


def test_points_in_one_line_are_no_plane():
    line = np.column_stack([np.arange(16.0), np.zeros(16)])
    with pytest.raises(ValueError, match="no plane"):
        fit_plane(line, line, WAYS, (0.0, 0.0), expected_px=0.1)


def test_the_uncertainty_of_the_scale_at_a_pixel_is_that_of_a_simulation():
    px = seen(setup(tilt=25.0), MM)
    rng = np.random.default_rng(4)
    at = np.array([200.0, 1000.0])
    planes = [fitted(px + rng.normal(0, 0.2, px.shape), 0.2).plane for _ in range(500)]
    drawn = [plane.mm_per_px(plane.to_mm(at[None])[0]) for plane in planes]
    stated = [plane.u_mm_per_px(at) for plane in planes[:40]]
    assert np.std(drawn) == pytest.approx(float(np.mean(stated)), rel=0.15)


@pytest.mark.parametrize("tilt", [0.0, 20.0, 40.0])
def test_the_pose_is_the_camera_s(tilt):
    scene = setup(tilt=tilt)
    pose = pose_of(made_view(scene.camera.homography).plane, SIZE, FOCAL)
    assert pose.tilt_deg == pytest.approx(tilt, abs=0.01)
    assert pose.height_mm == pytest.approx(-scene.camera.eye[2], rel=1e-4)
    assert pose.foot_mm == pytest.approx(scene.camera.eye[:2], abs=0.05)


def test_a_usual_focal_length_is_less_certain_than_a_known_one():
    plane = made_view(setup().camera.homography).plane
    known, usual = (pose_of(plane, SIZE, focal) for focal in (FOCAL, None))
    assert usual.height_mm == pytest.approx(known.height_mm, rel=0.01)
    assert usual.u_height_mm > 5 * known.u_height_mm
