import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.engine import blend as subject
from quotes.engine.errors import BlendError, EngineError
from quotes.engine.grading import grading

STONE = grading("stone", {6.3: 100, 4: 50, 2: 0})


@given(d=st.floats(0.0005, 0.02), rho=st.floats(2000, 3200))
def test_the_surface_of_spheres_is_area_over_mass(d, rho):
    ball = math.pi * d**2 / (rho * math.pi * d**3 / 6)
    assert subject.sphere_surface(d, rho) == pytest.approx(ball)


def test_between_two_sieves_the_middle_size_counts():
    found = subject.surface_by_spheres(STONE)
    # 6/(2650 d) at the geometric means 5.020 and 2.828 mm, half each.
    expected = 0.5 * 6 / (2650 * math.sqrt(6.3e-3 * 4e-3)) + 0.5 * 6 / (2650 * math.sqrt(8) / 1000)
    assert found.value == pytest.approx(expected)
    assert found.workings[0].source == "geometry of spheres"


def test_dust_needs_a_finest_size():
    dusty = grading("dusty", {4: 100, 2: 10})
    with pytest.raises(BlendError) as refused:
        subject.surface_by_spheres(dusty)
    assert refused.value.code == "unknown_sieve"
    assert subject.surface_by_spheres(dusty, finest=1).value > 0


def test_a_coarsest_sieve_that_holds_stone_back_is_refused():
    with pytest.raises(BlendError) as refused:
        subject.surface_by_spheres(grading("open", {4: 90, 2: 0}))
    assert refused.value.code == "unknown_sieve"


def test_finer_stone_has_more_surface_by_either_way():
    fine = grading("fine", {6.3: 100, 4: 80, 2: 40, 1: 10, 0.5: 0})
    assert subject.surface_by_spheres(fine).value > subject.surface_by_spheres(STONE).value
    assert subject.surface_by_factors(fine).value > subject.surface_by_factors(STONE).value


@given(resin=st.floats(1, 20), more=st.floats(0.01, 5))
def test_more_resin_is_a_thicker_film(resin, more):
    def film(mass):
        return subject.film_thickness(mass, 1080, 0.6, 105).value

    assert film(resin + more) > film(resin)
    assert film(resin) * 0.6 * 105 * 1080 == pytest.approx(resin)


def test_film_and_binder_are_inverse():
    share = subject.binder_for_film(8e-6, 10, 1020)
    assert subject.film_thickness(share * 100, 1020, 10, 100).value == pytest.approx(8e-6)


def test_voids_of_a_laid_mix():
    # Solids: 7 kg at 1080 and 105 kg at 2650 make 112 kg in 0.0461041 m3, 2429.3 kg/m3.
    found = subject.voids_of_mix(1778, 7, 1080, [(105, 2650)])
    assert found.value == pytest.approx(1 - 1778 / (112 / (7 / 1080 + 105 / 2650)))
    assert found.workings[0].result == "26.8 %"


def test_a_mix_denser_than_its_solids_is_refused():
    with pytest.raises(BlendError) as refused:
        subject.voids_of_mix(2500, 7, 1080, [(105, 2650)])
    assert refused.value.code == "too_dense"


def test_bulk_density_and_its_voids():
    assert subject.bulk_density(6.2, 2.0, 0.0028) == pytest.approx(1500)
    assert subject.bulk_voids(1500, 2.65, 1000) == pytest.approx(1 - 1500 / 2650)


@pytest.mark.parametrize(
    "call",
    [
        lambda: subject.bulk_density(2, 2, 0.0028),
        lambda: subject.bulk_voids(2700, 2.65),
        lambda: subject.least_measure(76),
        lambda: subject.film_thickness(0, 1080, 0.6, 105),
        lambda: subject.sphere_surface(float("nan")),
    ],
)
def test_what_cannot_be_is_refused(call):
    with pytest.raises(EngineError):
        call()


def test_lighter_stone_has_more_surface_a_kilo():
    plain = subject.surface_by_factors(STONE).value
    assert subject.surface_by_factors(STONE, 1325).value == pytest.approx(2 * plain)
