"""The arguments of `solve`, and every curve of a `Response`."""

import dataclasses

import numpy as np
import pandas as pd
import pytest

from lumpedbox import (
    Air,
    Cabin,
    Driver,
    Gain,
    HighPass,
    Inductor,
    InfiniteBaffle,
    Loudspeaker,
    LowPass,
    Peak,
    SealedBox,
    VentedBox,
    frequencies,
    in_series,
    reference_efficiency,
    solve,
)
from lumpedbox.units import cm2, litre, mH

FREQUENCY = np.geomspace(10, 500, 200)
CURVES = ("pressure", "level", "phase", "group_delay", "excursion", "impedance", "cone_velocity", "current")


@pytest.fixture
def family(driver):
    box = VentedBox(volume=np.array([[30], [50]]) * litre, fb=[25, 30, 40], port_area=80 * cm2, Ql=7)
    return Loudspeaker(driver=driver, box=box)


# frequencies


def test_frequencies_are_even_on_a_logarithmic_scale_and_hold_both_ends():
    found = frequencies(20, 200)
    assert (found[0], found[-1]) == (20, 200)
    assert np.log(found[1:] / found[:-1]) == pytest.approx(np.full(len(found) - 1, np.log(10) / (len(found) - 1)))
    assert found[1] / found[0] <= 2 ** (1 / 48)


def test_an_octave_has_as_many_steps_as_asked():
    assert len(frequencies(50, 100, per_octave=12)) == 13
    assert len(frequencies(50, 100)) == 49


@pytest.mark.parametrize(("low", "high"), [(200, 20), (50, 50)])
def test_frequencies_out_of_order_are_refused(low, high):
    with pytest.raises(ValueError, match=rf"^frequencies\.low must be below high, got {low} Hz and {high} Hz$"):
        frequencies(low, high)


@pytest.mark.parametrize("value", [0, -1, np.nan, np.inf])
def test_frequencies_must_be_positive_and_finite(value):
    with pytest.raises(ValueError, match=r"^frequencies\.low must be between 0\.001 and 1e\+06 Hz \(frequency\)"):
        frequencies(value, 100)


# solve's arguments


def test_one_frequency_counts_as_an_array_of_one(sealed):
    assert solve(sealed, 50).level.shape == (1,)
    assert np.array_equal(solve(sealed, 50).level, solve(sealed, [50]).level)


@pytest.mark.parametrize("value", [0, -3, np.nan, np.inf, "a", [1, 2], None])
def test_so_many_an_octave_is_one_positive_number(value):
    with pytest.raises((ValueError, TypeError), match=r"frequencies\.per_octave must be"):
        frequencies(20, 200, value)


@pytest.mark.parametrize("name", ["low", "high"])
def test_the_ends_are_single_numbers(name):
    with pytest.raises(TypeError, match=rf"frequencies\.{name} must be a single number .* got 2 of them"):
        frequencies(**{"low": 20, "high": 200, name: [20, 30]})


def test_masked_members_are_refused(sealed):
    with pytest.raises(TypeError, match=r"solve\.frequency must be .* a masked array: leave out the masked members"):
        solve(sealed, np.ma.array([20.0, 40.0], mask=[False, True]))


def test_a_cutoff_does_not_ask_for_order(sealed):
    up = frequencies(10, 400)
    assert solve(sealed, up[::-1]).f3 == solve(sealed, up).f3
    assert "4e+02" not in solve(sealed, up[::-1]).cutoff_in_words(90)
    with pytest.raises(TypeError, match=r"cutoff\.drop must be a single number"):
        solve(sealed, up).cutoff([3, 6])


def test_frequencies_may_stand_in_any_order(sealed):
    assert np.array_equal(solve(sealed, [20, 50, 30]).level, solve(sealed, [50, 20, 30]).level[[1, 0, 2]])


@pytest.mark.parametrize("value", [0, -20, np.nan, np.inf, [20, 0]])
def test_a_frequency_out_of_range_is_refused(sealed, value):
    with pytest.raises(ValueError, match=r"^solve\.frequency must be between 0\.001 and 1e\+06 Hz \(frequency\), got "):
        solve(sealed, value)


@pytest.mark.parametrize("value", [None, "50", [], True, 50j])
def test_what_is_no_frequency_is_refused(sealed, value):
    with pytest.raises(TypeError, match=r"^solve\.frequency must be a number or an array of numbers in Hz"):
        solve(sealed, value)


def test_frequency_has_one_dimension(sealed):
    with pytest.raises(ValueError, match=r"^solve\.frequency must be one-dimensional in Hz, got shape \(1, 2\)$"):
        solve(sealed, [[20, 30]])


@pytest.mark.parametrize("name", ["voltage", "distance"])
@pytest.mark.parametrize("value", [0, -1, np.nan])
def test_voltage_and_distance_are_positive(sealed, name, value):
    with pytest.raises(ValueError, match=rf"^solve\.{name} must be between "):
        solve(sealed, 50, **{name: value})


def test_parts_in_the_wrong_place(sealed):
    with pytest.raises(TypeError, match=r"^solve\.loudspeaker must be Loudspeaker or System, got Driver Driver\("):
        solve(sealed.driver, 50)
    with pytest.raises(TypeError, match=r"^solve\.air must be Air, got float 1\.2$"):
        solve(sealed, 50, air=1.2)
    with pytest.raises(TypeError, match="unexpected keyword argument 'power'"):
        solve(sealed, 50, power=1)


def test_voltage_distance_and_air_may_be_families(sealed):
    response = solve(sealed, FREQUENCY, voltage=[[1.0], [2.0]], distance=[1.0, 2.0, 4.0])
    assert response.level.shape == (2, 3, 200)
    assert response.excursion.shape == (2, 3, 200)
    warm = solve(sealed, FREQUENCY, air=Air(temperature=[280, 300]))
    assert np.array_equal(warm.level[1], solve(sealed, FREQUENCY, air=Air(temperature=300)).level)


def test_an_efficient_driver_is_warned_about(driver):
    light = dataclasses.replace(driver, Mms=driver.Mms / 5)
    assert reference_efficiency(light) > 0.05 > reference_efficiency(driver)
    with pytest.warns(UserWarning, match="reference efficiency is above 5 %") as caught:
        response = solve(Loudspeaker(driver=light, box=InfiniteBaffle()), 100)
    assert caught[0].filename == __file__
    assert any("5 %" in remark for remark in response.remarks)


# Curves


@pytest.mark.parametrize("name", [*CURVES, "port_flow", "port_velocity", "input_power", "radiated_power"])
def test_every_curve_has_the_familys_shape_then_frequency(family, name):
    assert getattr(solve(family, FREQUENCY), name).shape == (2, 3, 200)


@pytest.mark.parametrize("name", ["f3", "f6", "f10", "reference_level", "validity_limit"])
def test_single_numbers_have_the_familys_shape(vented, family, name):
    assert np.shape(getattr(solve(vented, FREQUENCY), name)) == ()
    found = getattr(solve(family, FREQUENCY), name)
    assert np.broadcast_shapes(np.shape(found), (2, 3)) == (2, 3)


@pytest.mark.parametrize("name", ["pressure", "cone_velocity", "impedance", "port_flow", "current", "input_power"])
def test_results_are_read_only(vented, name):
    with pytest.raises(ValueError, match="read-only"):
        getattr(solve(vented, FREQUENCY), name)[0] = 0


def test_level_and_phase_are_those_of_the_pressure(vented):
    response = solve(vented, FREQUENCY)
    assert response.level == pytest.approx(20 * np.log10(abs(response.pressure) / 20e-6), abs=1e-9)
    assert response.phase == pytest.approx(np.angle(response.pressure, deg=True), abs=1e-9)
    assert np.all(abs(response.phase) <= 180)


def test_excursion_and_port_speed_are_peak_values(vented):
    """x = sqrt(2) |v|/w and u = sqrt(2) |U|/S of r.m.s. phasors."""
    response = solve(vented, FREQUENCY)
    w = 2 * np.pi * FREQUENCY
    assert response.excursion == pytest.approx(np.sqrt(2) * abs(response.cone_velocity) / w, rel=1e-12)
    assert response.port_velocity == pytest.approx(np.sqrt(2) * abs(response.port_flow) / (80 * cm2), rel=1e-12)


def test_far_below_resonance_the_cone_follows_the_force(driver):
    """At rest: x = Bl V/Re Cms, peak sqrt(2) times (statics)."""
    response = solve(Loudspeaker(driver=driver, box=InfiniteBaffle()), 0.01, voltage=1.0)
    assert response.excursion[0] == pytest.approx(np.sqrt(2) * driver.Bl / driver.Re * driver.Cms, rel=1e-5)


def test_level_within_travel(sealed):
    response = solve(sealed, FREQUENCY)
    within = response.level_within_travel
    again = solve(sealed, 50.0, voltage=2.83 * sealed.driver.xmax / np.interp(50, FREQUENCY, response.excursion))
    assert np.interp(50, FREQUENCY, within) == pytest.approx(again.level[0], abs=0.01)
    unknown = dataclasses.replace(sealed, driver=dataclasses.replace(sealed.driver, xmax=None))
    with pytest.raises(ValueError, match=r"^Driver\.xmax is missing \(linear travel, one way\)"):
        _ = solve(unknown, 50).level_within_travel


def test_group_delay_is_minus_the_slope_of_the_phase(vented):
    """Against a central difference of the unwrapped phase, good to the square of its step."""
    frequency = np.linspace(15, 300, 20_001)
    response = solve(vented, frequency)
    slope = -np.gradient(np.unwrap(np.radians(response.phase)), 2 * np.pi * frequency)
    assert response.group_delay[1:-1] == pytest.approx(slope[1:-1], abs=1e-7)


def test_group_delay_is_unknown_where_there_is_no_sound(sealed):
    response = solve(sealed, [0.01, 0.03, 100.0])
    assert np.isnan(response.group_delay).tolist() == [True, True, False]


def test_a_sealed_box_has_no_port_to_speak_of(sealed, driver):
    response = solve(sealed, FREQUENCY)
    words = r"^SealedBox\.port is missing \(the port that port_flow needs\): a SealedBox has none; use a VentedBox$"
    for name in ("port_flow", "port_velocity"):
        with pytest.raises(ValueError, match=words):
            getattr(response, name)
    with pytest.raises(ValueError, match=r"^InfiniteBaffle\.port is missing"):
        _ = solve(Loudspeaker(driver=driver, box=InfiniteBaffle()), 50).port_flow


def test_port_speed_needs_an_area_and_says_so(driver):
    response = solve(Loudspeaker(driver=driver, box=VentedBox(volume=50 * litre, fb=30)), FREQUENCY)
    assert np.isfinite(response.port_flow).all()
    with pytest.raises(
        ValueError, match=r"^VentedBox\.port_area is missing \(area of the port\): give port_area, or a p"
    ):
        _ = response.port_velocity


# Openings and power


@pytest.mark.parametrize(
    "box", [SealedBox(volume=0.03, Ql=7, Qa=20), VentedBox(volume=0.05, fb=30, Ql=7, Qa=20, Qp=30)]
)
def test_outward_flows_sum_to_what_is_heard(driver, box):
    """p = s rho U0/(2 pi r), U0 the sum of all outward flows (simple source on a wall)."""
    response = solve(Loudspeaker(driver=driver, box=box, source_resistance=0.2), FREQUENCY, distance=1.7)
    total = sum(aperture.flow for aperture in response.apertures)
    s, air = 2j * np.pi * FREQUENCY, Air()
    assert response.pressure == pytest.approx(s * air.density * total / (2 * np.pi * 1.7), rel=1e-9)


def test_apertures_are_named_and_have_their_areas(driver, port):
    lossy = Loudspeaker(driver=driver, box=VentedBox(volume=0.05, port=port, Ql=7), position=(1, 2, 0))
    cone, vent, leak = solve(lossy, FREQUENCY).apertures
    assert (cone.name, vent.name, leak.name) == ("cone", "port", "leak")
    assert (cone.area, vent.area, leak.area) == (driver.Sd, port.area, None)
    assert cone.place == vent.place == leak.place == (1, 2, 0)
    assert [a.name for a in solve(Loudspeaker(driver=driver, box=SealedBox(volume=0.03)), 50).apertures] == ["cone"]


def test_the_port_moves_against_the_cone_below_its_tuning_and_with_it_above(vented):
    """Below the tuning the air only passes through; above, both openings push at once."""
    response = solve(vented, [8.0, 128.0])
    cone, vent, _ = (aperture.flow for aperture in response.apertures)
    assert (vent / cone).real[0] < -0.9
    assert 0 < (vent / cone).real[1] < 0.2


def test_radiated_power_in_the_pass_band(driver):
    """eta0 times the power in Re (R. H. Small, JAES 20(5) 1972, from memory); the coil carries no inductance."""
    response = solve(Loudspeaker(driver=driver, box=InfiniteBaffle()), 8000.0)
    assert response.radiated_power[0] == pytest.approx(driver.eta0 * 2.83**2 / driver.Re, rel=1e-3)
    assert response.input_power[0] == pytest.approx(2.83**2 / driver.Re, rel=1e-3)


def test_the_places_where_power_goes_have_names(driver):
    box = VentedBox(volume=0.05, fb=30, Ql=7, Qa=20, Qp=30)
    found = solve(Loudspeaker(driver=driver, box=box, source_resistance=0.2), FREQUENCY).dissipation
    assert set(found) == {"source resistance", "coil resistance", "suspension loss", "absorption", "port loss", "leak"}
    assert all(np.all(power >= 0) for power in found.values())


# Reference level and cutoffs


def test_the_reference_level_is_that_of_the_pass_band(driver):
    """p = rho Bl Sd V/(2 pi r Re Mms) (derived); here read off far above resonance."""
    behind = Loudspeaker(driver=driver, box=SealedBox(volume=0.03), source_resistance=0.6)
    response = solve(behind, 20_000.0, voltage=5.0, distance=2.0)
    assert response.level[0] == pytest.approx(response.reference_level, abs=1e-3)


def test_cutoffs_of_a_sealed_box_follow_the_closed_form(driver):
    """Small 1972 (from memory): f3/fc = sqrt((b + sqrt(b^2 + 4))/2), b = 1/Q^2 - 2; 6 and 10 dB likewise (derived)."""
    alpha = driver.Vas / (30 * litre)
    fc, Q = driver.fs * np.sqrt(1 + alpha), driver.Qts * np.sqrt(1 + alpha)
    response = solve(Loudspeaker(driver=driver, box=SealedBox(volume=30 * litre)), frequencies(5, 500))
    for found, drop in [
        (response.f3, 10 * np.log10(2)),
        (response.f6, 6),
        (response.f10, 10),
        (response.cutoff(20), 20),
    ]:
        k = 10 ** (drop / 10)
        y = max(np.roots([1, 1 / Q**2 - 2, 1 - k]).real)  # y = (fc/f)^2: |G|^-2 = 1 + (1/Q^2 - 2) y + y^2
        assert found == pytest.approx(fc / np.sqrt(y), rel=1e-8)


def test_cutoffs_do_not_depend_on_the_grid(vented):
    grids = (frequencies(5, 500), frequencies(7.77, 333, per_octave=3), np.linspace(8, 400, 37))
    found = [solve(vented, grid).f3 for grid in grids]
    assert found == pytest.approx([found[0]] * 3, rel=1e-8)


def test_where_there_is_no_cutoff_it_is_not_a_number_and_the_reason_is_said(sealed):
    above = solve(sealed, frequencies(200, 500))
    assert np.isnan(above.f3)
    assert above.cutoff_in_words() == "Look at frequencies below 100 Hz, where the reference band begins."
    higher = solve(sealed, frequencies(90, 500))
    assert higher.cutoff_in_words() == (
        "From 90 to 100 Hz the level never rises through 3.01 dB down: look at lower frequencies."
    )
    below = solve(sealed, frequencies(2, 5))
    assert np.isnan(below.f3)
    assert below.cutoff_in_words(6) == "From 2 to 5 Hz the level never comes within 6 dB of the reference level."


def test_a_cutoff_in_words(sealed):
    response = solve(sealed, FREQUENCY)
    assert response.cutoff_in_words(10) == f"The level is 10 dB down at {response.f10:.4g} Hz."


def test_of_two_crossings_the_higher_one_counts():
    """A box far too large for its driver: a hump at the tuning, a dip, and only then the pass-band."""
    driver = Driver.from_thiele_small(fs=35, Qes=0.5, Qms=5, Vas=60 * litre, Sd=330 * cm2, Re=3.4)
    response = solve(Loudspeaker(driver=driver, box=VentedBox(volume=200 * litre, fb=15)), frequencies(5, 500))
    over = response.level >= response.reference_level - 10 * np.log10(2)
    rising = response.frequency[1:][over[1:] & ~over[:-1]]
    assert len(rising) == 2
    assert response.f3 == pytest.approx(rising[1], rel=2 ** (1 / 48) - 1)


def test_a_single_frequency_has_no_cutoff(sealed):
    assert np.isnan(solve(sealed, 50).f3)


def test_members_with_and_without_a_cutoff(driver):
    family = Loudspeaker(driver=driver, box=SealedBox(volume=[5 * litre, 1000 * litre]))
    found = solve(family, frequencies(80, 500)).f3
    assert np.isfinite(found[0])
    assert np.isnan(found[1])


def test_words_are_about_one_loudspeaker(family):
    with pytest.raises(ValueError, match=r"needs a single loudspeaker, got a family of shape \(2, 3\)$"):
        solve(family, FREQUENCY).cutoff_in_words()


@pytest.mark.parametrize("value", [0, -3, 101, np.nan])
def test_a_fall_must_be_a_fall(sealed, value):
    with pytest.raises(ValueError, match=r"^Response\.cutoff\.drop must be between 0\.01 and 100 dB \(fall below the"):
        solve(sealed, FREQUENCY).cutoff(value)


def test_a_coil_in_the_line_leaves_the_reference_level_alone(sealed):
    """Reactances are left out of it, resistances are not."""
    plain = solve(sealed, FREQUENCY).reference_level
    choke = in_series(Inductor(inductance=1 * mH))
    lossy = in_series(Inductor(inductance=1 * mH, resistance=sealed.driver.Re))
    assert solve(dataclasses.replace(sealed, network=choke), FREQUENCY).reference_level == pytest.approx(plain)
    assert solve(dataclasses.replace(sealed, network=lossy), FREQUENCY).reference_level == pytest.approx(plain - 6.0206)


# Step


def test_the_step_of_a_second_order_high_pass(driver):
    """Inverse transform of s/(s^2 + w0 s/Q + w0^2): exp(-a t) (cos wd t - a/wd sin wd t), a = w0/2Q (derived)."""
    response = solve(Loudspeaker(driver=driver, box=InfiniteBaffle()), 50.0)
    time, pressure = response.step_response(duration=0.1, bandwidth=20_000)
    w0 = 2 * np.pi * driver.fs
    a = w0 / 2 / driver.Qts
    wd = np.sqrt(complex(w0**2 - a**2))
    expected = (np.exp(-a * time) * (np.cos(wd * time) - a / wd * np.sin(wd * time))).real
    height = 20e-6 * 10 ** (response.reference_level / 20)
    later = time > 1e-3  # the first moments belong to the limit of the band
    assert pressure[later] / height == pytest.approx(expected[later], abs=1e-4)


def test_a_step_in_a_tight_cabin_stays(driver):
    """Without a leak the air stays compressed by what the cone displaced at rest (adiabatic compression)."""
    cabin = Cabin(length=2, width=1.5, height=1, leak=0, flex=1)
    inside = Loudspeaker(driver=driver, box=SealedBox(volume=30 * litre), cabin=cabin)
    time, pressure = solve(inside, 50.0, voltage=1.0).step_response(duration=1.0, bandwidth=500)
    Cab = 30 * litre / Air().stiffness
    stiffness = 1 / driver.Cms + driver.Sd**2 / Cab
    moved = driver.Sd * driver.Bl / driver.Re / stiffness
    assert pressure[-1] == pytest.approx(Air().stiffness * moved / 3.0, rel=1e-3)
    assert time[-1] == pytest.approx(1.0, abs=1e-3)


def test_steps_of_a_family(family):
    time, pressure = solve(family, 50.0).step_response(duration=0.05, bandwidth=1000)
    assert pressure.shape == (2, 3, len(time))
    alone = solve(family.member((1, 2)), 50.0).step_response(duration=0.05, bandwidth=1000)[1]
    assert pressure[1, 2] == pytest.approx(alone, abs=1e-12 * abs(alone).max())


# Remarks, limits, tables


def test_the_limit_of_the_model(driver):
    """k a = 1 of the cone, or a sixth of a wavelength in the longest side (common practice, no source)."""
    c = Air().sound_speed
    small = solve(Loudspeaker(driver=driver, box=SealedBox(volume=1 * litre)), 50)
    assert small.validity_limit == pytest.approx(min(c / (2 * np.pi * driver.radius), c / 0.6))
    long = solve(Loudspeaker(driver=driver, box=SealedBox(volume=30 * litre, longest_side=1.5)), 50)
    assert long.validity_limit == pytest.approx(c / 9)
    assert solve(Loudspeaker(driver=driver, box=InfiniteBaffle()), 50).validity_limit == pytest.approx(
        c / (2 * np.pi * driver.radius)
    )


def test_remarks_are_sentences(sealed):
    response = solve(sealed, FREQUENCY)
    assert response.remarks[0] == (
        f"The model holds up to about {response.validity_limit:.0f} Hz; above that, the curves are only a sketch."
    )
    assert len(response.remarks) == 1
    unknown = dataclasses.replace(sealed, driver=dataclasses.replace(sealed.driver, xmax=None))
    assert solve(unknown, 50).remarks[-1] == (
        "Driver.xmax is not known, so nothing is said about running out of travel."
    )


def said(response, word):
    """Return the only remark with a word in it."""
    (sentence,) = [remark for remark in response.remarks if word in remark]
    return sentence


def test_travel_beyond_xmax_is_remarked(sealed):
    response = solve(sealed, FREQUENCY, voltage=40.0)
    worst = response.excursion.argmax()
    times = response.excursion[worst] / sealed.driver.xmax
    assert times > 1
    assert said(response, "xmax").startswith(f"At {FREQUENCY[worst]:.4g} Hz the cone moves {times:.3g} times its xmax.")
    least = 40.0 / times
    assert not any("xmax" in remark for remark in solve(sealed, FREQUENCY, voltage=0.999 * least).remarks)
    family = solve(sealed, FREQUENCY, voltage=[1.0, 40.0])
    assert said(family, "xmax") == said(response, "xmax")


def test_air_too_fast_in_the_port_is_remarked(vented):
    """17 m/s: guidance, common practice, no source."""
    response = solve(vented, FREQUENCY, voltage=60.0)
    fastest = response.port_velocity.argmax()
    speed = response.port_velocity[fastest]
    assert f"At {FREQUENCY[fastest]:.4g} Hz the air in the port reaches {speed:.0f} m/s" in said(response, "port")
    slow = solve(vented, FREQUENCY, voltage=60.0 * 16.9 / speed)
    assert not any("port" in remark for remark in slow.remarks)
    unknown = dataclasses.replace(vented, box=VentedBox(volume=50 * litre, fb=32))
    assert not any("port" in remark for remark in solve(unknown, FREQUENCY, voltage=60.0).remarks)


def test_what_a_cabin_model_leaves_out_is_remarked(sealed):
    inside = dataclasses.replace(sealed, cabin=Cabin(length=5, width=1.8, height=1.7))
    response = solve(inside, FREQUENCY)
    assert f"first resonance is near {inside.cabin.first_resonance():.0f} Hz" in said(response, "first resonance")
    assert "assumes" in said(response, "group delay")
    # so small a cabin resonates only above where the loudspeaker's own model ends
    small = solve(dataclasses.replace(sealed, cabin=Cabin(length=0.5, width=0.5, height=0.5)), FREQUENCY)
    assert not any("first resonance" in remark for remark in small.remarks)


def test_filters_that_tilt_the_reference_band_are_remarked(sealed):
    low_pass = dataclasses.replace(sealed, filters=(LowPass(frequency=80, order=4),))
    response = solve(low_pass, FREQUENCY)
    # Butterworth: 10 log (1 + (f/80)^8) at 315 less that at 100 Hz
    tilt = 10 * np.log10((1 + (315 / 80) ** 8) / (1 + (100 / 80) ** 8))
    assert response.filter_tilt == pytest.approx(tilt, rel=1e-6)
    assert f"change the level by {tilt:.0f} dB between 100 and 315 Hz" in said(response, "filters")
    assert len(solve(dataclasses.replace(sealed, filters=(Gain(level=-6),)), FREQUENCY).remarks) == 1


def test_behind_a_filter_that_slopes_through_the_reference_band_there_is_no_f3_within_it(sealed):
    behind = dataclasses.replace(sealed, filters=(HighPass(frequency=3000),))
    response = solve(behind, frequencies(5, 20_000))
    assert np.isnan(response.f3)
    assert response.cutoff_in_words() == "The level is still too low at 100 Hz, where the reference band begins."


def test_a_driver_that_begins_above_100_hz_has_its_f3_there(driver):
    """Small 1972 (from memory), in closed form; a change of level alone leaves it where it is."""
    small = Loudspeaker(driver=driver, box=SealedBox(volume=1.5 * litre))
    alpha = driver.Vas / (1.5 * litre)
    fc, Q = driver.fs * np.sqrt(1 + alpha), driver.Qts * np.sqrt(1 + alpha)
    b = 1 / Q**2 - 2
    f3 = fc * np.sqrt((b + np.sqrt(b**2 + 4)) / 2)
    assert f3 > 100
    for filters in ((), (Gain(level=-6),)):
        response = solve(dataclasses.replace(small, filters=filters), frequencies(5, 2000))
        assert response.f3 == pytest.approx(f3, rel=1e-7)


def test_a_treble_filter_is_no_bass_limit(sealed):
    """A dip at 3 kHz that ends above it leaves f3 where the bass begins."""
    plain = solve(sealed, frequencies(5, 20_000)).f3
    dipped = dataclasses.replace(sealed, filters=(Peak(frequency=3000, level=-10, Q=2),))
    assert solve(dipped, frequencies(5, 20_000)).f3 == pytest.approx(plain, rel=2e-3)


def test_a_step_too_long_to_hold_is_refused(sealed):
    with pytest.raises(ValueError, match=r"^step_response\.duration times bandwidth must be at most 1e\+06 "):
        solve(sealed, FREQUENCY).step_response(10.0, 1e6)


def test_the_lowest_impedance_does_not_depend_on_the_frequencies(vented):
    narrow, wide = solve(vented, [30.0, 33.0]), solve(vented, frequencies(5, 20_000, 200))
    assert narrow.lowest_impedance == wide.lowest_impedance
    assert narrow.lowest_impedance == pytest.approx(np.abs(wide.impedance).min(), rel=1e-4)


def test_a_table_is_read_back_by_another_library(vented, tmp_path):
    response = solve(vented, FREQUENCY)
    response.to_csv(tmp_path / "curves.csv")
    table = pd.read_csv(tmp_path / "curves.csv")
    assert list(table) == [
        "frequency [Hz]",
        "level [dB]",
        "phase [deg]",
        "group delay [ms]",
        "excursion [mm]",
        "impedance [ohm]",
        "impedance phase [deg]",
        "port speed [m/s]",
    ]
    assert table["frequency [Hz]"].to_numpy() == pytest.approx(FREQUENCY, rel=1e-14)
    assert table["level [dB]"].to_numpy() == pytest.approx(response.level, rel=1e-14)
    assert table["excursion [mm]"].to_numpy() == pytest.approx(response.excursion * 1e3)
    assert table["group delay [ms]"].to_numpy() == pytest.approx(response.group_delay * 1e3)
    z = table["impedance [ohm]"] * np.exp(1j * np.radians(table["impedance phase [deg]"]))
    assert z.to_numpy() == pytest.approx(response.impedance)


def test_the_table_of_a_family_has_its_members_one_after_another(family, tmp_path):
    response = solve(family, [20.0, 40.0])
    response.to_csv(tmp_path / "curves.csv")
    table = pd.read_csv(tmp_path / "curves.csv")
    assert table["member"].tolist() == [0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 5, 5]
    assert table["level [dB]"].to_numpy() == pytest.approx(response.level.ravel(), rel=1e-14)


def test_a_table_has_no_port_speed_that_is_not_known(sealed, driver):
    bare = Loudspeaker(driver=driver, box=VentedBox(volume=50 * litre, fb=30))
    assert "port speed [m/s]" not in solve(bare, FREQUENCY).columns()
    assert "port speed [m/s]" not in solve(sealed, FREQUENCY).columns()


def test_a_driver_of_the_other_door_gives_the_same_curves():
    sheet = Driver.from_thiele_small(fs=35, Qes=0.45, Qms=5, Vas=60 * litre, Sd=330 * cm2, Re=3.4)
    made = Driver(**{name: getattr(sheet, name) for name in ("Re", "Bl", "Mms", "Cms", "Rms", "Sd")})
    found = [solve(Loudspeaker(driver=d, box=SealedBox(volume=0.03)), FREQUENCY).level for d in (sheet, made)]
    assert np.array_equal(*found)
