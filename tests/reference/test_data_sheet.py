"""A driver from whatever a data sheet prints.

Sources: R. H. Small, "Direct-radiator loudspeaker system analysis", JAES 20(5) 383-395 (1972), whose worked synthetic
driver (no real product) is used with its values as derived; the formulas of the oracle below are written out here and
do not use the library's. Sensitivity: p = rho Bl Sd V / (2 pi r Re Mms), derived. Radiation mass of both sides of a
piston in a large panel 16/3 rho a^3 (Kinsler & Frey, from memory).
"""

import itertools

import numpy as np
import pytest

from lumpedbox import Air, Driver
from lumpedbox.units import cm2, gram, litre, mm

MADE_OF = ("Re", "Bl", "Mms", "Cms", "Rms", "Sd")
NOMINAL = 4.0


def printed(Re, Bl, Mms, Cms, Rms, Sd):
    """What a data sheet can print of a driver; SI and dB, at 20 C, in `Air()`."""
    rho, c = Air().density, Air().sound_speed
    ws, radius = (Mms * Cms) ** -0.5, np.sqrt(Sd / np.pi)
    Qes, Qms = ws * Mms * Re / Bl**2, ws * Mms / Rms
    per_volt = rho * Bl * Sd / (2 * np.pi * Re * Mms)
    return {
        "fs": ws / (2 * np.pi),
        "Qes": Qes,
        "Qms": Qms,
        "Qts": 1 / (1 / Qes + 1 / Qms),
        "Vas": rho * c**2 * Sd**2 * Cms,
        "Sd": Sd,
        "diameter": 2 * radius,
        "Re": Re,
        "Bl": Bl,
        "Mms": Mms,
        "Mmd": Mms - 16 / 3 * rho * radius**3,
        "Cms": Cms,
        "Rms": Rms,
        "sensitivity_2V83": 20 * np.log10(2.83 * per_volt / 20e-6),
        "sensitivity_1W": 20 * np.log10(np.sqrt(NOMINAL) * per_volt / 20e-6),
    }


NAMES = tuple(printed(*np.ones(5), 1e-2))


def logarithms(x):
    """Logarithms of all that can be printed, by the logarithms of what the driver is made of."""
    values = printed(*np.exp(x))
    return np.array([v * np.log(10) / 20 if n.startswith("sens") else np.log(v) for n, v in values.items()])


def slopes_at(x):
    """Derivatives of the logarithms of all that can be printed by those of what the driver is made of."""
    return np.stack([(logarithms(x + d) - logarithms(x - d)) / 2e-5 for d in 1e-5 * np.eye(6)], axis=-1)


def rank(names, slopes):
    """How many of the six things that make a driver those printed quantities settle."""
    return np.linalg.matrix_rank(slopes[[NAMES.index(name) for name in names]], tol=1e-5)


def random_driver(random):
    """A driver from a 25 mm tweeter to a 300 mm bass."""
    radius = random.uniform(0.0125, 0.14)
    Mms = 16 / 3 * 1.2 * radius**3 * random.uniform(3, 12)
    ws = 2 * np.pi * 40 * (0.1 / radius) ** 1.3 * np.exp(random.uniform(-0.4, 0.4))
    Re, Qes, Qms = random.choice([1.6, 3.4, 5.8, 7.2]), random.uniform(0.25, 1.1), random.uniform(1.5, 8)
    Bl, Rms = np.sqrt(ws * Mms * Re / Qes), ws * Mms / Qms
    return dict(zip(MADE_OF, (Re, Bl, Mms, 1 / (ws**2 * Mms), Rms, np.pi * radius**2), strict=True))


def read(sheet):
    return Driver.from_data_sheet(**sheet, rated_impedance=NOMINAL, Le=0.0)


@pytest.mark.parametrize("seed", range(60))
def test_a_random_part_of_a_sheet_settles_a_driver_or_says_what_would(seed, agreement):
    random = np.random.default_rng(seed)
    driver = random_driver(random)
    whole, slopes = printed(**driver), slopes_at(np.log(list(driver.values())))
    names = tuple(random.permutation(NAMES)[: random.integers(1, 12)])
    if rank(names, slopes) == 6:
        found, report = read({name: whole[name] for name in names})
        off = max(abs(getattr(found, name) / value - 1) for name, value in driver.items())
        agreement("driver from a random part of its data sheet", "Small 1972, derived", off, 1e-6)
        assert off < 1e-6
        assert report.contradictory == ()
        assert set(report.given) | set(report.implied) >= set(NAMES)
        assert report.implied == pytest.approx({n: whole[n] for n in NAMES if n not in names}, rel=1e-6)
        return
    with pytest.raises(ValueError, match=r"is not enough to work out a driver: add ") as error:
        read({name: whole[name] for name in names})
    addition = tuple(str(error.value).partition(": add ")[2].partition(" or ")[0].split(" and "))
    assert set(addition).isdisjoint(names)
    assert rank((*names, *addition), slopes) == 6
    for fewer in itertools.combinations([n for n in NAMES if n not in names], len(addition) - 1):
        assert rank((*names, *fewer), slopes) < 6, "a smaller addition would have done"
    read({name: whole[name] for name in (*names, *addition)})


def test_the_one_wrong_entry_is_named_first():
    """In at least 95 of 100 sheets that print everything and have one entry wrong by 10 % or more."""
    named = 0
    for seed in range(100):
        random = np.random.default_rng(1000 + seed)
        sheet = printed(**random_driver(random))
        wrong, share = random.choice(NAMES), np.exp(random.choice([-1, 1]) * random.uniform(0.1, 0.7))
        right = sheet[wrong]
        sheet[wrong] = right + 20 * np.log10(share) if wrong.startswith("sens") else right * share
        _, report = read(sheet)
        named += bool(report.contradictory) and report.contradictory[0].name == wrong
        if report.contradictory and report.contradictory[0].name == wrong:
            assert report.contradictory[0].implied == pytest.approx(right, rel=1e-6)
    assert named >= 95


def test_rounding_as_printed_is_no_contradiction():
    for seed in range(20):
        sheet = printed(**random_driver(np.random.default_rng(seed)))
        rounded = {n: round(v, 1) if n.startswith("sens") else float(f"{v:.3g}") for n, v in sheet.items()}
        assert read(rounded).report.contradictory == ()


# The synthetic driver of the reference: Re 3.4 ohm, fs 35 Hz, Qms 5, Qes .45, Vas 60 l, Sd 330 cm2 -> Qts .412844,
# Cms .388478 mm/N, Mms 53.2277 g, Rms 2.34108, Bl 9.40429; 93.3444 dB at sqrt(8) V, 89.6283 dB at 1 W in Re. [derived]
SHEET = {"Re": 3.4, "fs": 35, "Qms": 5, "Qes": 0.45, "Vas": 60 * litre, "Sd": 330 * cm2}


def test_the_synthetic_driver():
    driver, report = Driver.from_data_sheet(**SHEET)
    # Cms, Mms and Bl go with the stiffness of the air, 1.2041 x 343.2^2 Pa in that reference
    air = Air().stiffness / (1.2041 * 343.2**2)
    assert driver.Bl / air**0.5 == pytest.approx(9.40429, rel=1e-4)
    assert report.implied["Qts"] == pytest.approx(0.412844, rel=2e-6)
    assert report.implied["Mms"] / gram / air == pytest.approx(53.2277, rel=2e-4)
    # the pressure goes with rho Bl / Mms
    lift = 20 * np.log10(Air().density / 1.2041 / air**0.5)
    assert report.implied["sensitivity_1W"] - lift == pytest.approx(89.6283, abs=2e-3)
    at_root_8 = report.implied["sensitivity_2V83"] - 20 * np.log10(2.83 / np.sqrt(8))
    assert at_root_8 - lift == pytest.approx(93.3444, abs=2e-3)


def test_a_watt_goes_into_the_rated_impedance():
    """10 log10(4 / 3.4) = 0.7058 dB more than into Re."""
    one, four = (Driver.from_data_sheet(**SHEET, rated_impedance=z).report.implied for z in (None, 4))
    assert four["sensitivity_1W"] - one["sensitivity_1W"] == pytest.approx(0.7058, abs=1e-4)


def test_a_low_impedance_gains_only_on_paper():
    """Of one driver wound for 2 and for 8 ohm, 2.83 V differ by 6.0206 dB and 1 W does not (10 lg 4, derived)."""
    eight = Driver.from_data_sheet(**SHEET | {"Re": 6.8}, rated_impedance=8).report.implied
    two = Driver.from_data_sheet(**SHEET | {"Re": 1.7}, rated_impedance=2).report.implied
    assert two["sensitivity_2V83"] - eight["sensitivity_2V83"] == pytest.approx(6.0206, abs=1e-4)
    assert two["sensitivity_1W"] == pytest.approx(eight["sensitivity_1W"], abs=1e-9)


def test_traps_are_asked_about():
    sheet = SHEET | {"xmax": 12 * mm, "power": 300}
    driver, report = Driver.from_data_sheet(**sheet)
    said = " ".join(report.questions)
    for trap in ("one way, or peak to peak", "r.m.s. (continuous), or a maximum", "Into which impedance", "4 ohm"):
        assert trap in said
    assert (driver.xmax, driver.power) == (12 * mm, 300)
    told = {"xmax_counted": "peak to peak", "power_counted": "maximum", "rated_impedance": 4, "Le": 1e-3}
    driver, report = Driver.from_data_sheet(**sheet, **told)
    assert report.questions == ()
    assert (driver.xmax, driver.power) == (6 * mm, None)
    assert "Is it really rated 8 ohm?" in " ".join(Driver.from_data_sheet(**SHEET, rated_impedance=8).report.questions)


def test_what_is_assumed_is_said():
    said = " ".join(Driver.from_data_sheet(**SHEET).report.assumed)
    assert all(name in said for name in ("Le is not given", "xmax is not given", "rated impedance is not given"))


def test_a_weak_point_is_said():
    """Sd from Mms less Mmd only: one percent of either is many of their difference."""
    whole = printed(**dict(zip(MADE_OF, (3.4, 9.4, 0.053, 0.39e-3, 2.3, 0.033), strict=True)))
    names = ("fs", "Qes", "Qms", "Re", "Mms", "Mmd")
    driver, report = Driver.from_data_sheet(**{name: whole[name] for name in names})
    assert driver.Sd == pytest.approx(0.033, rel=1e-6)
    assert any(line.startswith("Sd is only loosely determined") for line in report.assumed)
    assert not any("loosely determined" in line for line in Driver.from_data_sheet(**SHEET).report.assumed)


FULL = ("fs", "Qes", "Qms", "Qts", "Vas", "Sd", "Re", "Bl", "Mms", "Cms")


def falsified(**factors):
    """The report on a full and consistent sheet, one of its values multiplied by a factor."""
    whole = printed(**dict(zip(MADE_OF, (3.4, 5.2, 0.0134, 0.563e-3, 1.08, 0.0137), strict=True)))
    sheet = {name: whole[name] for name in FULL}
    return Driver.from_data_sheet(**{name: value * factors.get(name, 1.0) for name, value in sheet.items()})


@pytest.mark.parametrize(
    ("name", "factor", "said"),
    [
        ("Sd", 1 / 6.4516, "as if square inches had been taken for cm²"),
        ("Vas", 1 / 28.3168, "as if cubic feet had been taken for litres"),
        ("Cms", 0.1, "as if the decimal point had slipped"),
        ("Mms", 0.001, "as if the decimal point had slipped"),
        ("Bl", 2.0, "as if one value were for one coil and another for two"),
    ],
)
def test_a_slip_of_the_unit_is_named(name, factor, said):
    """One square inch is 6.4516 cm2, a cubic foot 28.3168 litres (NIST SP 811); one coil has half of both's Bl."""
    driver, report = falsified(**{name: factor})
    assert report.contradictory[0].name == name
    assert said in str(report.contradictory[0])
    assert driver.Sd == pytest.approx(0.0137, rel=1e-6)
    assert driver.Mms == pytest.approx(0.0134, rel=1e-6)


@pytest.mark.parametrize(("name", "alike"), [("Sd", "Vas"), ("Bl", "Re"), ("Vas", "Sd"), ("Qms", "Qts")])
def test_what_would_explain_it_as_well_is_named_too(name, alike):
    """Vas and Sd appear together in one equation of such a sheet, and so do Bl and Re; 37 % is no slip of a unit."""
    _, report = falsified(**{name: 1.37})
    entry = report.contradictory[0]
    assert {name, alike} <= {entry.name, *entry.alike}
    assert " would explain it too" in str(entry)
    assert entry.name != "Re", "an ohmmeter tells it"


def test_what_cannot_be_is_asked_about():
    """Vas of 530 litres for a 165 mm: less mass than the air that moves along, and 17 % efficiency."""
    sheet = {"fs": 58, "Qes": 0.6, "Qms": 4.5, "Sd": 137 * cm2, "Re": 3.4, "rated_impedance": 4}
    doubtful = Driver.from_data_sheet(**sheet, Vas=530 * litre).report.questions
    assert any("The moving mass would be 0.37" in line for line in doubtful)
    assert any("% of the power would become sound" in line for line in doubtful)
    assert Driver.from_data_sheet(**sheet, Vas=15 * litre).report.questions == ()
    with pytest.raises(ValueError, match=r"Qts = 0\.7 must be below Qes and Qms, got 0\.6: are they exchanged"):
        Driver.from_data_sheet(fs=58, Qts=0.7, Qes=0.6, Vas=15 * litre, Sd=137 * cm2, Re=3.4)
    basket = Driver.from_data_sheet(fs=58, Qes=0.6, Qms=4.5, Vas=15 * litre, diameter=0.165, Re=3.4, rated_impedance=4)
    assert any("165 mm the cone, from mid-surround" in line for line in basket.report.questions)


def test_sensitivities_of_two_kinds():
    """2 ohm: 2.83 V are 4 W, 6.02 dB more than 1 W (10 log 8/R)."""
    whole = printed(**dict(zip(MADE_OF, (1.7, 5.2, 0.0134, 0.563e-3, 1.08, 0.0137), strict=True)))
    sheet = {name: whole[name] for name in ("fs", "Qes", "Qms", "Vas", "Sd", "Re")} | {"rated_impedance": 2}
    right = Driver.from_data_sheet(**sheet).report.implied["sensitivity_1W"]
    alike = Driver.from_data_sheet(**sheet, sensitivity_1W=right, sensitivity_2V83=right)
    assert any("2.83 V is 4 W, so the two should differ by +6.0 dB" in line for line in alike.report.questions)
    exchanged = Driver.from_data_sheet(**sheet, sensitivity_2V83=right)
    assert "as if the levels at 1 W and at 2.83 V had been exchanged" in str(exchanged.report.contradictory[0])
    assert exchanged.driver.sensitivity == pytest.approx(right + 20 * np.log10(2.83) - 10 * np.log10(2)), "by the rest"


@pytest.mark.parametrize(
    ("sheet", "said"),
    [
        ({}, "nothing is given: add fs and "),
        (SHEET | {"Sd": 330}, r"Driver\.from_data_sheet\.Sd must be .* got 330: did you mean 330 \* cm2"),
        (SHEET | {"Qts": [0.4, 0.5]}, r"Driver\.from_data_sheet\.Qts must be a single number"),
        (SHEET | {"xmax": 6 * mm, "xmax_counted": "peak"}, "did you mean 'peak to peak'"),
        (SHEET | {"sensitivity_2V83": 2.83}, r"sensitivity_2V83 must be between 50 and 130 dB"),
    ],
)
def test_refusals(sheet, said):
    with pytest.raises((ValueError, TypeError), match=said):
        Driver.from_data_sheet(**sheet)
