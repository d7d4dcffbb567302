"""The body model against the survey it comes from, and against textbook conditioning."""

from __future__ import annotations

import math
from typing import get_args

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import chi2, multivariate_normal

from geometry.core.errors import InvalidInput
from geometry.rider.body import (
    LANDMARKS,
    BodyModel,
    Landmark,
    Measurement,
    Sex,
    Way,
    fit_body_model,
    mean_bodies,
    measuring_error,
    possible_range,
    standard_model,
    to_model_scale,
    to_natural_scale,
)
from geometry.rider.body_estimate import UNUSUAL, condition
from geometry.rider.remedies import HumanMeasure

SEXES: tuple[Sex, ...] = ("man", "woman")

# [R] ANSUR II, all 6,068 people (Natick/TR-15/007): mean, SD [mm]. The model is
# fitted to a sample, so means may differ by 3 standard errors, spreads by 4 %.
PUBLISHED: dict[Landmark, dict[Sex, tuple[float, float]]] = {
    "stature": {"man": (1756.2, 68.6), "woman": (1628.5, 64.2)},
    "crotch_height": {"man": (845.9, 46.5), "woman": (782.3, 44.6)},
    "trochanterion_height": {"man": (900.9, 49.2), "woman": (845.4, 44.7)},
    "acromial_height": {"man": (1440.7, 63.3), "woman": (1335.1, 58.1)},
    "span": {"man": (1814.2, 84.6), "woman": (1660.3, 83.0)},
}


@pytest.mark.parametrize("sex", SEXES)
@pytest.mark.parametrize("landmark", PUBLISHED)
def test_moments_agree_with_the_published_whole_survey(landmark: Landmark, sex: Sex) -> None:
    mean, sd = PUBLISHED[landmark][sex]
    known = condition([], sex=sex)
    assert known.estimate(landmark)[0] == pytest.approx(mean, abs=3 * sd / math.sqrt(1400))
    assert known.estimate(landmark)[1] == pytest.approx(sd, rel=0.04)


def test_inseam_from_stature_alone_is_uncertain_by_24_mm() -> None:
    # [R] regression on ANSUR II: residual 24 mm. Stature is taken as known almost exactly.
    for sex in SEXES:
        known = condition([Measurement("stature", 1690.0, "measured")], sex=sex)
        assert known.estimate("crotch_height")[1] == pytest.approx(24.0, abs=1.0)


def test_told_stature_is_corrected_for_its_known_bias() -> None:
    # [R] ANSUR II self-reports: 22 mm high in men, 12 mm in women, SD 19 mm both.
    model = standard_model()
    biases: dict[Sex, float] = {"man": 22.0, "woman": 12.0}
    for sex, bias in biases.items():
        k = model.sexes.index(sex)
        mean, variance = model.means[k, 0], model.covariances[k, 0, 0]
        told = condition([Measurement("stature", mean + bias, "told")], sex=sex)
        assert told.estimate("stature")[0] == pytest.approx(mean, abs=1e-6)
        expected = math.sqrt(1.0 / (1.0 / variance + 1.0 / 19.0**2))
        assert told.estimate("stature")[1] == pytest.approx(expected, rel=1e-9)


# Assumed, but for told stature (ANSUR II, above): ± 1 σ in mm, of weight as a share.
ASSUMED: list[tuple[Way, Landmark, float]] = [
    ("trousers", "crotch_height", 18.0),
    ("told", "stature", 19.0),
    ("told", "crotch_height", 15.0),
    ("told", "span", 25.0),
    ("told", "weight", 0.03),
    ("told", "foot_length", 20.0),
    ("self_measured", "stature", 8.0),
    ("self_measured", "crotch_height", 10.0),
    ("self_measured", "sternal_notch_height", 10.0),
    ("self_measured", "span", 12.0),
    ("self_measured", "sitting_height", 12.0),
    ("self_measured", "foot_length", 4.0),
    ("self_measured", "weight", 0.015),
    ("self_measured", "knee_height", 12.0),
    ("measured", "stature", 4.0),
    ("measured", "crotch_height", 6.0),
    ("measured", "span", 8.0),
    ("measured", "foot_length", 3.0),
    ("measured", "weight", 0.01),
    ("measured", "knee_height", 8.0),
]


@pytest.mark.parametrize(("way", "landmark", "error"), ASSUMED)
def test_what_is_left_of_a_spread_after_a_number_is_given(
    way: Way, landmark: Landmark, error: float
) -> None:
    """The sum of both informations, of the model and of the number with its stated error."""
    model = standard_model()
    for sex in SEXES:
        k, at = model.sexes.index(sex), LANDMARKS.index(landmark)
        mean, variance = model.means[k, at], model.covariances[k, at, at]
        given = math.exp(mean) if landmark == "weight" else mean
        (left,) = np.diagonal(
            condition([Measurement(landmark, given, way)], sex=sex).covariances, axis1=1, axis2=2
        )
        assert left[at] == pytest.approx(1.0 / (1.0 / variance + 1.0 / error**2), rel=1e-9)


def test_a_better_way_never_errs_more() -> None:
    ways: tuple[Way, ...] = ("told", "self_measured", "measured")
    for landmark in LANDMARKS:
        errors = [measuring_error(landmark, way) for way in ways]
        if landmark != "weight":
            assert errors == sorted(errors, reverse=True)
            assert measuring_error(landmark, "trousers") >= errors[1]


def test_an_inseam_of_trousers_is_45_mm_short_of_the_crotch() -> None:
    """From memory: 30 to 60 mm. Only the inseam of trousers is put right so."""
    for sex in SEXES:
        assert Measurement("crotch_height", 800.0, "trousers").bias(sex) == -45.0
        assert Measurement("crotch_height", 800.0, "told").bias(sex) == 0.0
        assert Measurement("stature", 1750.0, "measured").bias(sex) == 0.0
        assert Measurement("span", 1750.0, "told").bias(sex) == 0.0


def test_covariances_are_usable_after_rounding_to_printed_digits() -> None:
    for covariance in standard_model().covariances:
        spread = np.sqrt(np.diag(covariance))
        assert np.linalg.eigvalsh(covariance / np.outer(spread, spread))[0] > 0.005


def test_conditioning_agrees_with_a_regression_on_drawn_bodies() -> None:
    # An independent way: least squares over many drawn bodies with simulated errors.
    rng = np.random.default_rng(3)
    drawn = condition([], sex="man").draw(200_000, rng)
    read = np.stack(
        [
            drawn["stature"] + 22.0 + 19.0 * rng.standard_normal(len(drawn)),
            drawn["crotch_height"] + 10.0 * rng.standard_normal(len(drawn)),
            np.ones(len(drawn)),
        ],
        axis=1,
    )
    slope = np.linalg.lstsq(read, drawn["span"], rcond=None)[0]
    residual = float(np.std(drawn["span"] - read @ slope))
    given_numbers = [Measurement("stature", 1830.0, "told"), Measurement("crotch_height", 860.0)]
    mean, sd = condition(given_numbers, sex="man").estimate("span")
    assert mean == pytest.approx(float(np.array([1830.0, 860.0, 1.0]) @ slope), abs=1.0)
    assert sd == pytest.approx(residual, rel=0.01)


def test_sex_not_given_is_weighed_by_what_the_numbers_say() -> None:
    tall = condition([Measurement("stature", 1860.0, "told")])
    short = condition([Measurement("stature", 1540.0, "told")])
    assert dict(zip(tall.sexes, tall.weights, strict=True))["man"] > 0.98
    assert dict(zip(short.sexes, short.weights, strict=True))["woman"] > 0.95
    assert condition([]).weights.tolist() == pytest.approx([0.5, 0.5])


def test_leaving_sex_out_widens_the_estimate() -> None:
    number = [Measurement("stature", 1700.0, "measured")]
    both = condition(number).estimate("biacromial_breadth")[1]
    for sex in SEXES:
        assert condition(number, sex=sex).estimate("biacromial_breadth")[1] < both


def test_draws_have_the_believed_mean_and_spread_and_repeat_with_their_seed() -> None:
    known = condition([Measurement("stature", 1720.0, "told"), Measurement("weight", 70.0)])
    drawn = known.draw(50_000, np.random.default_rng(5))
    for landmark in LANDMARKS[:-1]:
        mean, sd = known.estimate(landmark)
        assert float(drawn[landmark].mean()) == pytest.approx(mean, abs=4 * sd / math.sqrt(50_000))
        assert float(drawn[landmark].std()) == pytest.approx(sd, rel=0.02)
    again = known.draw(50_000, np.random.default_rng(5))
    assert np.array_equal(drawn.values, again.values)


def test_weight_is_drawn_in_kilograms() -> None:
    drawn = condition([Measurement("weight", 80.0, "measured")]).draw(
        2000, np.random.default_rng(1)
    )
    assert float(np.median(drawn["weight"])) == pytest.approx(80.0, rel=0.01)


def test_numbers_beyond_the_data_bring_a_caution() -> None:
    child = condition([Measurement("stature", 1250.0, "measured")])
    assert [(c.code, c.landmark) for c in child.cautions] == [("beyond_data", "stature")]
    assert child.cautions[0].limit == pytest.approx(1464.0, abs=1.0)
    assert condition([Measurement("stature", 1750.0, "told")]).cautions == ()


def test_numbers_rarely_seen_together_bring_a_caution() -> None:
    # Trousers are labelled some 6 cm shorter than a crotch height; such a slip must show.
    slip = [Measurement("stature", 1850.0, "told"), Measurement("crotch_height", 760.0)]
    assert [c.code for c in condition(slip).cautions] == ["unusual_together"]
    right = [Measurement("stature", 1850.0, "told"), Measurement("crotch_height", 890.0)]
    assert condition(right).cautions == ()


def test_weight_beyond_the_data_is_reported_in_kilograms() -> None:
    heavy = condition([Measurement("weight", 160.0)]).cautions
    assert heavy[0].landmark == "weight"
    assert heavy[0].limit == pytest.approx(128.2, abs=0.5)


@pytest.mark.parametrize("value", [math.nan, math.inf, 0.0, -1700.0, 170.0, 17_000.0])
def test_a_slip_of_unit_is_refused_with_the_field_and_the_remedy(value: float) -> None:
    with pytest.raises(InvalidInput) as caught:
        Measurement("stature", value)
    assert caught.value.field == "stature"
    lowest, highest = possible_range("stature")
    right = HumanMeasure(lowest=lowest, highest=highest, unit="millimetres")
    assert caught.value.remedy == right


@pytest.mark.parametrize("landmark", ["stature", "knee_height", "foot_length"])
def test_lengths_from_two_fifths_to_half_as_much_again_are_bodies(landmark: Landmark) -> None:
    """Of the mean of men and women; beyond them a number is in another unit [CP]."""
    mean = float(np.mean([condition([], sex=sex).estimate(landmark)[0] for sex in SEXES]))
    for share, may in ((0.399, False), (0.401, True), (1.499, True), (1.501, False)):
        if may:
            assert Measurement(landmark, share * mean).value == share * mean
        else:
            with pytest.raises(InvalidInput):
                Measurement(landmark, share * mean)


def test_weights_from_10_to_350_kg_are_bodies() -> None:
    assert possible_range("weight") == (10.0, 350.0)
    for weight in (9.95, 350.5):
        with pytest.raises(InvalidInput) as caught:
            Measurement("weight", weight)
        right = HumanMeasure(lowest=10.0, highest=350.0, unit="kilograms")
        assert caught.value.remedy == right


# Computed from the sample, 0.5th and 99.5th percentile: stature 1464.03 mm in women, 1947.085
# in men; crotch height 674.12 and 971. Told statures run 22 mm high in men, trousers 45 mm short.
@pytest.mark.parametrize(
    ("number", "limit"),
    [
        (Measurement("stature", 1464.1, "measured"), None),
        (Measurement("stature", 1463.9, "measured"), 1464.03),
        (Measurement("stature", 1947.0, "measured"), None),
        (Measurement("stature", 1947.2, "measured"), 1947.085),
        (Measurement("stature", 1969.0, "told"), None),
        (Measurement("stature", 1969.2, "told"), 1969.085),
        (Measurement("crotch_height", 925.9, "trousers"), None),
        (Measurement("crotch_height", 926.1, "trousers"), 926.0),
    ],
)
def test_a_number_beyond_either_sex_s_data_is_told_with_its_edge(
    number: Measurement, limit: float | None
) -> None:
    found = condition([number]).cautions
    assert [c.limit for c in found if c.code == "beyond_data"] == pytest.approx(
        [] if limit is None else [limit]
    )


def test_of_one_sex_only_its_own_data_count() -> None:
    (tall,) = condition([Measurement("stature", 1800.0, "measured")], sex="woman").cautions
    assert tall.limit == pytest.approx(1789.97)
    (short,) = condition([Measurement("stature", 1500.0, "measured")], sex="man").cautions
    assert short.limit == pytest.approx(1579.305)


def test_how_rarely_numbers_go_together_is_told_for_the_likelier_sex() -> None:
    """Mahalanobis distances by numpy, for both; nine numbers are held to the limit of eight."""
    model = standard_model()
    tall = [Measurement("stature", 1850.0, "measured"), Measurement("crotch_height", 760.0)]
    distances = []
    for k in range(2):
        off = np.array([1850.0, 760.0]) - model.means[k, :2]
        spread = model.covariances[k, :2, :2] + np.diag([4.0**2, 10.0**2])
        distances.append(float(off @ np.linalg.inv(spread) @ off))
    believed = condition(tall)
    (caution,) = believed.cautions
    assert caution.value == pytest.approx(distances[int(np.argmax(believed.weights))])
    assert caution.limit == 13.82
    nine = [
        Measurement(landmark, float(mean + 1.5 * spread))
        for landmark, mean, spread in zip(
            LANDMARKS[:9], model.means[0], np.sqrt(np.diag(model.covariances[0])), strict=False
        )
    ]
    nine[1] = Measurement("crotch_height", nine[1].value - 62.0)
    found = condition(nine, sex="man")
    numbers = np.array([m.value for m in nine])
    noise = np.diag([measuring_error(m.landmark, "self_measured") ** 2 for m in nine])
    off = numbers - model.means[0, :9]
    distance = float(off @ np.linalg.inv(model.covariances[0, :9, :9] + noise) @ off)
    assert 10.83 < distance < 26.12
    assert found.cautions == ()


def test_percentiles_of_a_fit_leave_one_in_two_hundred_out_at_either_end() -> None:
    drawn = condition([], sex="man").draw(20_000, np.random.default_rng(3))
    fitted = fit_body_model({"man": drawn.values})
    values = np.sort(drawn["stature"])
    assert fitted.low[0, 0] == pytest.approx(values[100], abs=np.diff(values)[95:105].max())
    assert fitted.high[0, 0] == pytest.approx(values[-101], abs=np.diff(values)[-105:-95].max())
    assert np.mean(drawn["stature"] < fitted.low[0, 0]) == pytest.approx(0.005, abs=1e-12)


def test_every_landmark_accepts_its_mean() -> None:
    for body in mean_bodies().values:
        for landmark, value in zip(LANDMARKS, body, strict=True):
            low, high = possible_range(landmark)
            assert low < value < high


def test_fitting_recovers_the_model_that_drew_the_bodies() -> None:
    drawn = condition([], sex="woman").draw(100_000, np.random.default_rng(2))
    fitted: BodyModel = fit_body_model({"woman": drawn.values})
    original = standard_model()
    spread = np.sqrt(np.diag(original.covariances[1]))
    assert np.allclose(fitted.means[0], original.means[1], atol=5 * spread / math.sqrt(100_000))
    assert np.allclose(np.sqrt(np.diag(fitted.covariances[0])), spread, rtol=0.015)


def test_scales_are_inverse_of_each_other() -> None:
    bodies = mean_bodies().values
    assert np.allclose(to_natural_scale(to_model_scale(bodies)).values, bodies, rtol=1e-12)


@given(
    stature=st.floats(1450.0, 2000.0),
    way=st.sampled_from(get_args(Way)),
    inseam_share=st.floats(0.44, 0.52),
)
def test_another_number_never_widens_a_single_model(
    stature: float, way: Way, inseam_share: float
) -> None:
    first = Measurement("stature", stature, way)
    second = Measurement("crotch_height", stature * inseam_share)
    for sex in SEXES:
        one, two = condition([first], sex=sex), condition([first, second], sex=sex)
        for landmark in LANDMARKS:
            assert two.estimate(landmark)[1] <= one.estimate(landmark)[1] + 1e-9


@given(stature=st.floats(1500.0, 1900.0), more=st.floats(5.0, 100.0))
def test_a_taller_rider_is_believed_longer_everywhere(stature: float, more: float) -> None:
    for sex in SEXES:
        short = condition([Measurement("stature", stature)], sex=sex)
        tall = condition([Measurement("stature", stature + more)], sex=sex)
        assert all(tall.estimate(name)[0] > short.estimate(name)[0] for name in LANDMARKS)


def test_what_is_unusual_together_is_the_thousandth_of_a_chi_square() -> None:
    """Against scipy's distribution, to the two decimals that tables print."""
    assert list(UNUSUAL) == list(range(2, 9))
    for freedom, limit in UNUSUAL.items():
        assert limit == pytest.approx(chi2.ppf(0.999, freedom), abs=0.005)


def test_the_chance_of_a_sex_follows_from_the_densities_of_both() -> None:
    """Bayes' rule with scipy's normal densities, for a height and an arm span."""
    given = (Measurement("stature", 1700.0, "measured"), Measurement("span", 1730.0, "measured"))
    model, believed = standard_model(), condition(given)
    rows = [LANDMARKS.index(m.landmark) for m in given]
    densities = []
    for k, sex in enumerate(model.sexes):
        noise = np.diag([m.error() ** 2 for m in given])
        middle = model.means[k][rows] + [m.bias(sex) for m in given]
        spread = model.covariances[k][np.ix_(rows, rows)] + noise
        densities.append(multivariate_normal.pdf([m.value for m in given], middle, spread))
    assert believed.weights == pytest.approx(np.array(densities) / sum(densities), rel=1e-9)


def test_nothing_told_leaves_the_model_as_it_is() -> None:
    believed, model = condition([]), standard_model()
    assert believed.means == pytest.approx(model.means)
    assert believed.covariances == pytest.approx(model.covariances)
