"""Published figures on sieves, blends, surfaces, voids and permeability against the engine.

Long because: one table of the book a block, each with its source.
"""

import pytest

from quotes.engine.blend import (
    binder_for_film,
    bulk_voids,
    film_thickness,
    least_measure,
    sphere_surface,
    surface_by_factors,
)
from quotes.engine.errors import BlendError
from quotes.engine.grading import (
    US_FINENESS,
    Limits,
    combine,
    fineness_modulus,
    from_retained,
    grading,
    passing_at,
)
from quotes.engine.permeability import hazen, kozeny_carman, water_density
from quotes.engine.proportions import feasible_shares, share_window
from quotes.engine.sizes import UK_SIZES, designation, fuller
from tests.outside.sources import fact

SIZES = "https://www.northstonematerials.com/european_aggregate_sizes"
EXERCISE = "https://wizedu.com/questions/945595/mix-the-aggregates-given-the-results-of-sieve"
PAIR = (
    "https://askfilo.com/user-question-answers-smart-solutions/"
    "determine-the-blending-proportions-required-of-aggregate-a-3337313538323130"
)
FACTORS = "https://buildingcriteria1.tpub.com/ufc_3_250_03/ufc_3_250_030137.htm"
CORRECTION = "http://buildingcriteria1.tpub.com/ufc_3_250_03/ufc_3_250_030136.htm"


@fact(rows=3, source=SIZES, mark="seen")
def test_the_sizes_in_use_and_how_far_apart_they_must_be():
    """The thirteen sizes, their short spellings 6 and 32, and D/d of at least 1.4."""
    assert UK_SIZES == (1, 2, 4, 6.3, 8, 10, 12.5, 14, 16, 20, 31.5, 40, 63)
    assert str(designation("2/6")) == "2/6.3"
    assert str(designation("16/32")) == "16/31.5"
    with pytest.raises(BlendError, match=r"D/d 1\.25"):
        designation("8/10")


@fact(rows=4, source="the list of sizes and the ratio of 1.4", mark="derived")
def test_sizes_that_hold_and_one_that_does_not():
    """2/6.3, 1/4 and 2/4 are sizes; 2/5 is none, for 5 is not in the set."""
    for size in ("2/6.3", "1/4", "2/4"):
        assert str(designation(size)) == size
    with pytest.raises(BlendError):
        designation("2/5")


@fact(
    rows=2,
    source="http://www.dictionaryofconstruction.com/definition/fineness-modulus.html",
    mark="seen",
)
def test_sieves_between_those_of_the_series_are_not_summed():
    """The series doubles from 150 µm to 37.5 mm; a sieve of 12.5 mm does not count."""
    assert US_FINENESS == (37.5, 19, 9.5, 4.75, 2.36, 1.18, 0.6, 0.3, 0.15)
    plain = {37.5: 100, 19: 90, 9.5: 40, 4.75: 0}
    between = grading("with 12.5", {**plain, 12.5: 60})
    found = fineness_modulus(between, US_FINENESS).modulus
    assert found == pytest.approx(fineness_modulus(grading("plain", plain), US_FINENESS).modulus)
    assert found == pytest.approx((10 + 60 + 6 * 100) / 100)


@fact(
    rows=1,
    source=(
        "https://questions.zollege.in/exams/questions/"
        "if-the-weights-retained-on-the-2-36-mm-1-18-mm-600-697c7539fa808d4736926b5d"
    ),
    mark="seen",
)
def test_the_sieve_below_the_last_retained_counts():
    """Retained 30, 35, 15 and 20 % on 2.36, 1.18, 0.6 and 0.3 mm: 3.75 with the 150 µm sieve."""
    # The page leaves out the coarser sieves, on which nothing stayed.
    sand = from_retained("sand", {4.75: 0, 2.36: 30, 1.18: 35, 0.6: 15, 0.3: 20})
    assert fineness_modulus(sand, US_FINENESS).modulus == pytest.approx(3.75)
    assert fineness_modulus(sand, US_FINENESS[:-1]).modulus == pytest.approx(2.75)  # derived


@fact(rows=1, source=EXERCISE, mark="seen")
def test_the_fineness_of_a_blend_of_thirds():
    """Cumulative retained 0 to 100 on eight sieves: sum 463.33, modulus 4.633."""
    sieves = (31.5, 16, 8, 4, 2, 1, 0.5, 0.25)
    retained = (0, 23.33, 36.67, 48.33, 71.67, 87.50, 95.83, 100)
    blend = grading("thirds", {s: 100 - r for s, r in zip(sieves, retained, strict=True)})
    assert fineness_modulus(blend, sieves).modulus == pytest.approx(4.633, abs=5e-4)


@fact(rows=1, source=EXERCISE, mark="seen")
def test_masses_retained_become_per_cents():
    """200, 300, 200 and 100 g are 25, 37.5, 25 and 12.5 %."""
    found = from_retained("A2", {8: 200, 4: 300, 2: 200, 1: 100})
    retained = [100 - p for _, p in found.passing]
    steps = [b - a for a, b in zip([0, *retained], retained, strict=False)]
    assert steps == pytest.approx([25, 37.5, 25, 12.5])


@fact(rows=2, source=EXERCISE, mark="seen")
def test_shares_that_make_99_are_refused_and_the_sums_agree():
    """34, 27 and 38 % make 99: refused; scaled to the whole, the printed sums follow."""
    a = (100, 94.85, 34.74, 7.63, 0, 0, 0, 0, 0, 0, 0)
    b = (100, 100, 97.66, 84.7, 1.36, 0.4, 0, 0, 0, 0, 0)
    c = (100, 100, 100, 100, 99.24, 82.75, 24.7, 13.91, 10.72, 9.84, 7.33)
    # The page numbers its sieves from the coarsest; here they are called 11 to 1 mm.
    parts = [
        grading(name, {11 - n: value for n, value in enumerate(row)})
        for name, row in (("A", a), ("B", b), ("C", c))
    ]
    with pytest.raises(BlendError, match="make 99 %"):
        combine(list(zip((0.34, 0.27, 0.38), parts, strict=True)))
    whole = combine(list(zip((0.34 / 0.99, 0.27 / 0.99, 0.38 / 0.99), parts, strict=True)))
    assert [0.99 * p for _, p in whole.passing] == pytest.approx(
        [
            99,
            97.249,
            76.1798,
            63.4632,
            38.0784,
            31.553,
            9.386,
            5.2858,
            4.0736,
            3.7392,
            2.7854,
        ],
        abs=6e-4,
    )


PAIR_SIEVES = (12.5, 9.5, 4.75, 2.36, 0.6, 0.3, 0.15, 0.075)
PAIR_A = grading("A", dict(zip(PAIR_SIEVES, (90, 59, 16, 3, 0, 0, 0, 0), strict=True)))
PAIR_B = grading("B", dict(zip(PAIR_SIEVES, (100, 100, 96, 82, 51, 36, 21, 9), strict=True)))
PAIR_LIMITS = [
    Limits(s, low, high)
    for s, (low, high) in zip(
        PAIR_SIEVES,
        ((80, 90), (70, 90), (50, 70), (35, 50), (18, 29), (13, 23), (8, 16), (7, 10)),
        strict=True,
    )
]


@fact(rows=1, source=PAIR, mark="seen")
@fact(rows=8, source="share of A at each sieve of the pair above", mark="derived")
@pytest.mark.parametrize(
    ("row", "window"),
    [
        (0, (1.0, 1.0)),
        (1, (0.244, 0.732)),
        (2, (0.325, 0.575)),
        (3, (0.405, 0.595)),
        (4, (0.431, 0.647)),
        (5, (0.361, 0.639)),
        (6, (0.238, 0.619)),
        (7, (0.0, 0.222)),
    ],
)
def test_the_shares_that_each_sieve_allows(row, window):
    """Two aggregates and an envelope of eight sieves."""
    assert share_window(PAIR_A, PAIR_B, PAIR_LIMITS[row]) == pytest.approx(window, abs=6e-4)


@fact(rows=2, source="the eight windows of the pair above", mark="derived")
def test_a_pair_that_no_proportion_can_save():
    """No share of A satisfies all eight sieves; without the outer two, 0.4314 to 0.575 do."""
    found = feasible_shares([PAIR_A, PAIR_B], PAIR_LIMITS)
    assert not found.possible
    assert found.outside > 0
    inner = feasible_shares([PAIR_A, PAIR_B], PAIR_LIMITS[1:-1])
    assert inner.possible
    assert 0.4314 <= inner.shares[0] <= 0.575
    windows = [share_window(PAIR_A, PAIR_B, limits) for limits in PAIR_LIMITS[1:-1]]
    assert max(w[0] for w in windows) == pytest.approx(0.4314, abs=5e-5)
    assert min(w[1] for w in windows) == pytest.approx(0.575)


@fact(
    rows=1,
    source=(
        "https://www.bartleby.com/solution-answer/chapter-2-problem-215ctp-fundamentals-of-"
        "geotechnical-engineering-mindtap-course-list-5th-edition/9781305635180/"
        "in-concrete-work-fuller-and-thompson-1907-suggested-that-a-dense-packing-of-grains-"
        "can-be/a171cf72-4fa6-11e9-8385-02ee952b546e"
    ),
    mark="seen",
)
@pytest.mark.parametrize(("power", "passing"), [(0.3, 81.2252), (0.5, 70.7107), (0.6, 65.9754)])
def test_the_curve_of_fuller_and_thompson(power, passing):
    """p = 100 (d/D)^n with n from 0.3 to 0.6: half the largest size."""
    assert fuller(5, 10, power) == pytest.approx(passing, abs=1e-4)


@fact(
    rows=1,
    source="https://ro.scribd.com/document/411927283/MS2-NMAS-Definition",
    mark="seen",
)
def test_the_chart_of_powers_runs_to_the_maximum_size():
    """The line of greatest density raises sizes to 0.45 and ends at 100 % of the maximum size."""
    assert fuller(19, 19) == 100
    assert fuller(12.5, 19) == pytest.approx(100 * (12.5 / 19) ** 0.45)


@fact(rows=36, source="100 (d/D)^0.45", mark="derived")
@pytest.mark.parametrize(
    ("largest", "row"),
    [
        (
            19,
            {
                12.5: 82.8, 10: 74.9, 9.5: 73.2, 8: 67.8, 6.3: 60.9, 4.75: 53.6, 4: 49.6,
                2.36: 39.1, 2: 36.3, 1.18: 28.6, 1: 26.6, 0.6: 21.1, 0.3: 15.5, 0.15: 11.3,
                0.075: 8.3,
            },
        ),
        (10, {9.5: 97.7, 8: 90.4, 6.3: 81.2, 4: 66.2, 2: 48.5, 1: 35.5, 0.3: 20.6}),
        (8, {6.3: 89.8, 4.75: 79.1, 4: 73.2, 2: 53.6, 1: 39.2, 0.6: 31.2, 0.15: 16.7}),
        (6.3, {4.75: 88.1, 4: 81.5, 2.36: 64.3, 2: 59.7, 1: 43.7, 0.3: 25.4, 0.075: 13.6}),
    ],
)  # fmt: skip
def test_values_of_the_chart_of_powers(largest, row):
    """Per cent passing on the line of greatest density."""
    for sieve, passing in row.items():
        assert fuller(sieve, largest) == pytest.approx(passing, abs=0.051)


MIDDLE = grading(
    "type 2",
    {9.5: 100, 4.75: 95, 2.36: 77.5, 1.18: 57.5, 0.6: 40, 0.3: 24, 0.15: 15.5, 0.075: 10},
)


@fact(rows=8, source=FACTORS, mark="seen")
@pytest.mark.parametrize(
    ("sieve", "factor"),
    [
        (9.5, 0.00409),
        (4.75, 0.00409),
        (2.36, 0.00819),
        (1.18, 0.01639),
        (0.6, 0.02867),
        (0.3, 0.06144),
        (0.15, 0.12289),
        (0.075, 0.32771),
    ],
)
def test_the_factors_of_the_surface_table(sieve, factor):
    """Each factor is what one more per cent through its sieve adds."""
    less = {s: p - (0.5 if s == sieve else 0) for s, p in MIDDLE.passing}
    fewer = surface_by_factors(grading("less", less)).value
    assert surface_by_factors(MIDDLE).value - fewer == pytest.approx(0.5 * factor, abs=1e-9)


@fact(rows=1, source=CORRECTION, mark="seen")
def test_the_surface_is_corrected_for_density():
    """CSA = SA x 2.65 / apparent specific gravity."""
    plain = surface_by_factors(MIDDLE).value
    assert surface_by_factors(MIDDLE, 2800).value == pytest.approx(plain * 2.65 / 2.8)


@fact(
    rows=1,
    source="https://ufgscriteria.tpub.com/UFC3-250-03hi/UFC3-250-03hi0075.htm",
    mark="seen",
)
@fact(rows=3, source="the surface table over that grading's middle", mark="derived")
def test_surface_film_and_binder_of_a_published_grading():
    """Surface 10.178 m²/kg; 8 µm want 8.142 %; 7 % of density 1.02 make 6.743 µm."""
    surface = surface_by_factors(MIDDLE).value
    assert surface == pytest.approx(10.178, abs=5e-4)
    assert 100 * binder_for_film(8e-6, surface, 1000) == pytest.approx(8.142, abs=1e-3)
    assert film_thickness(7, 1020, surface, 100).value * 1e6 == pytest.approx(6.743, abs=1e-3)


@fact(
    rows=1,
    source=(
        "https://eng.auburn.edu/research/centers/ncat/newsroom/2017-spring/film-thickness.html"
    ),
    mark="seen",
)
def test_film_thickness_is_volume_over_surface():
    """TF = volume of binder / (surface x mass of aggregate)."""
    assert film_thickness(6.0, 1000, 6.0, 100).value == pytest.approx(10e-6)


@fact(rows=5, source="6 / (2650 d)", mark="derived")
@pytest.mark.parametrize(
    ("mm", "surface"), [(1, 2.264), (2, 1.132), (3, 0.755), (4, 0.566), (6, 0.377)]
)
def test_surfaces_of_spheres(mm, surface):
    """Geometric surface of spheres of density 2650."""
    assert sphere_surface(mm / 1000) == pytest.approx(surface, abs=5e-4)


@fact(rows=4, source="http://www.transcalc.com/aashtot19bulkdensityaggregate", mark="seen")
@pytest.mark.parametrize(("mm", "litres"), [(12.5, 2.8), (25, 9.3), (37.5, 14), (75, 28)])
def test_measures_by_largest_size(mm, litres):
    """The least measure for a bulk density test."""
    assert least_measure(mm) * 1000 == pytest.approx(litres)


@fact(rows=7, source='scribd 426412189, "Density and Voids of Aggregates"', mark="seen")
@pytest.mark.parametrize(
    ("degc", "density"),
    [
        (15.6, 999.01),
        (18.3, 998.54),
        (21.1, 997.97),
        (23.0, 997.54),
        (23.9, 997.32),
        (26.7, 996.59),
        (29.4, 995.83),
    ],
)
def test_densities_of_water(degc, density):
    """Water from 15.6 to 29.4 °C."""
    assert water_density(degc) == pytest.approx(density, abs=0.03)


@fact(
    rows=2,
    source="https://benthamopen.com/FULLTEXT/TOCIEJ-13-118/TABLE/T3/",
    mark="seen",
)
@pytest.mark.parametrize(("loose", "rodded"), [(1417.5, 1495), (1456, 1577)])
def test_rodding_leaves_fewer_voids(loose, rodded):
    """Coarse and fine samples: rodded is denser than loose."""
    assert bulk_voids(rodded, 2.65) < bulk_voids(loose, 2.65)


@fact(
    rows=1,
    source="https://www.groundwatersoftware.com/calculator_6_hydraulic_conductivity.htm",
    mark="seen",
)
def test_a_calculators_example_of_kozeny_carman():
    """n 0.30, d10 0.1 mm, 10 °C: 2.3e-5 m/s."""
    assert kozeny_carman(0.30, 1e-4, 10).conductivity == pytest.approx(2.297e-5, rel=2e-3)


@fact(
    rows=1,
    source="https://www.equationencyclopedia.com/equation/kozeny-carman-equation",
    mark="seen",
)
def test_kozeny_carman_is_square_in_the_grain():
    """Coefficient 180; square in the grain."""
    one, two = kozeny_carman(0.3, 1e-3), kozeny_carman(0.3, 2e-3)
    assert two.conductivity == pytest.approx(4 * one.conductivity)
    assert kozeny_carman(0.3, 1e-3, coefficient=180) == one


@fact(
    rows=1,
    source=(
        "https://geosx-geosx.readthedocs-hosted.com/en/latest/coreComponents/constitutive/"
        "docs/KozenyCarmanPermeability.html"
    ),
    mark="seen",
)
def test_a_coefficient_of_150_is_in_use_too():
    """With 150 instead of 180 the conductivity is a fifth higher."""
    usual, other = kozeny_carman(0.3, 1e-3), kozeny_carman(0.3, 1e-3, coefficient=150)
    assert other.conductivity == pytest.approx(1.2 * usual.conductivity)


@fact(rows=3, source="Kozeny-Carman, 3 mm stone at 20 °C", mark="derived")
@pytest.mark.parametrize(("voids", "speed"), [(0.20, 6.1e-3), (0.25, 1.36e-2), (0.30, 2.69e-2)])
def test_open_stone_by_kozeny_carman(voids, speed):
    """A laminar formula, too high for open stone, and the engine says so."""
    found = kozeny_carman(voids, 3e-3, 20)
    assert found.conductivity == pytest.approx(speed, rel=5e-3)
    assert not found.in_range


@fact(rows=1, source="Hazen, K in cm/s = C d10² in mm with C about 1", mark="memory")
def test_hazen():
    """d10 of 0.5 mm: 0.25 cm/s."""
    assert hazen(0.5e-3, 2).conductivity == pytest.approx(0.0025)


def test_a_sieve_of_the_series_that_the_sheet_leaves_out_is_read_between():
    """numpy's straight line over the logarithm of the aperture agrees."""
    import numpy as np

    one = grading("one", {8: 100, 4: 60, 2: 5, 1: 0})
    for sieve in (6.3, 5.0, 3.0, 1.5):
        expected = np.interp(np.log(sieve), np.log([1, 2, 4, 8]), [0, 5, 60, 100])
        assert passing_at(one, sieve) == pytest.approx(float(expected))
