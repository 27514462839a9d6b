"""Files with a measured impedance: read in their units, and refused by name."""

import numpy as np
import pytest

from lumpedbox.measure import Measured, driver_from_impedance, read_impedance

GOOD = "frequency [Hz],impedance [ohm],phase [deg]\n20,5,30\n40,20,0\n80,5,-45\n"


@pytest.fixture
def file(tmp_path):
    def written(text, encoding="utf-8"):
        path = tmp_path / "woofer.csv"
        path.write_bytes(text.encode(encoding))
        return path

    return written


def test_magnitude_and_phase_become_one_complex_impedance(file):
    found = read_impedance(file("# by hand\n" + GOOD))
    assert isinstance(found, Measured)
    assert found.frequency.tolist() == [20, 40, 80]
    assert found.impedance == pytest.approx([5 * np.exp(1j * np.pi / 6), 20, 5 * np.exp(-1j * np.pi / 4)])
    assert found.magnitude == pytest.approx([5, 20, 5])


@pytest.mark.parametrize(
    "text",
    [
        "frequency [kHz],magnitude [kohm],phase [rad]\n0.02,0.005,0.5235988\n0.04,0.02,0\n0.08,0.005,-0.7853982\n",
        "phase [deg],frequency [Hz],impedance [ohm]\n30,20,5\n0,40,20\n-45,80,5\n",
    ],
)
def test_units_stand_in_the_headings(file, text):
    assert read_impedance(file(text)).impedance == pytest.approx(read_impedance(file(GOOD)).impedance, rel=1e-6)


def test_without_a_phase_it_is_a_magnitude(file):
    found = read_impedance(file("frequency [Hz],impedance [ohm]\n20,5\n40,20\n"))
    assert not np.iscomplexobj(found.impedance)


def test_two_voltages_of_one_meter(file):
    """Ohm's law, by hand: 0.4 V across the driver, 0.1 V across 10 ohm, so 40 ohm; a wrong meter cancels."""
    path = file("frequency [Hz],driver [mV],resistor [mV]\n40,400,100\n80,300,200\n")
    assert read_impedance(path, resistor=10.0).impedance.tolist() == [40.0, 15.0]
    wrong = file("frequency [Hz],driver [V],resistor [V]\n40,0.32,0.08\n80,0.24,0.16\n")
    assert read_impedance(wrong, resistor=10.0).impedance == pytest.approx([40.0, 15.0])
    with pytest.raises(ValueError, match=r"woofer\.csv holds volts: give read_impedance\.resistor"):
        read_impedance(wrong)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "holds no table"),
        ("frequency [Hz],impedance [ohm]\n", "no readings below"),
        ("frequency [Hz],level [dB]\n20,80\n", "is a level curve: an impedance is in"),
        ("frequency [Hz],impedance [dB]\n20,80\n", "is a level curve"),
        ("frequency [Hz],Z [ohm]\n20,5\n", "'Z \\[ohm\\]' is not known: choose from frequency, impedance"),
        ("frequency,impedance [ohm]\n20,5\n", "'frequency' has no unit"),
        ("frequency [Hz],impedance\n20,5\n", "'impedance' has no unit"),
        ("frequency [rad/s],impedance [ohm]\n20,5\n", "is a rotation speed"),
        ("impedance [ohm]\n5\n", "no heading 'frequency"),
        ("frequency [Hz],phase [deg]\n20,5\n", "exactly one of these"),
        ("frequency [Hz],impedance [ohm],magnitude [ohm]\n20,5,5\n", "exactly one of these"),
        ("frequency [Hz],driver [V]\n20,5\n", "exactly one of these"),
        ("frequency [Hz],impedance [ohm],impedance [ohm]\n20,5,5\n", "appears in two headings"),
        ("frequency [Hz];impedance [ohm]\n20;5\n", "not ';' \\(semicolons\\)"),
        ("frequency [Hz],impedance [ohm]\n20,5,2\n", "row 2: there are 3 cells under 2 headings"),
        ('frequency [Hz],impedance [ohm]\n20,"5,2"\n', "row 2: impedance \\[ohm\\] must be a number.*did you mean 5.2"),
        ("frequency [Hz],impedance [ohm]\n20,5\n40,\n", "row 3: impedance \\[ohm\\] is empty: leave the whole row out"),
        ("frequency [Hz],impedance [ohm]\n20,5 ohm\n", "leave the unit out of the cell"),
        ("frequency [Hz],impedance [ohm]\n20,-5\n", "column impedance: must be between 0.001"),
        ("frequency [Hz],impedance [ohm]\n0,5\n", "column frequency: must be between 0.001"),
        ("frequency [Hz],impedance [ohm],phase [deg]\n20,5,0.5\n40,20,0\n80,5,-0.8\n", "is it in \\[rad\\]"),
        ("frequency [Hz],impedance [ohm],phase [deg]\n20,2.2,0.3\n40,3.3,0\n80,2.3,-0.3\n", "is it in \\[rad\\]"),
        ("frequency [Hz],impedance [ohm],phase [rad]\n20,5,30\n40,20,0\n80,5,-45\n", "column phase: must be between"),
    ],
)
def test_what_is_wrong_is_named(file, text, said):
    with pytest.raises(ValueError, match=said) as refused:
        read_impedance(file(text))
    assert str(refused.value).startswith("woofer.csv")


def test_another_encoding_and_a_missing_file_are_named(file, tmp_path):
    with pytest.raises(ValueError, match="Save it again as 'CSV UTF-8'"):
        read_impedance(file("# Höhe\n" + GOOD, "latin-1"))
    with pytest.raises(ValueError, match=r"nothing\.csv is not there"):
        read_impedance(tmp_path / "nothing.csv")


def test_a_file_goes_straight_into_the_fit(file):
    f = np.geomspace(15, 500, 40)
    rows = "".join(f"{a},{3.4 + 20 / (1 + (8 * (a / 45 - 45 / a)) ** 2)}\n" for a in f)
    read = read_impedance(file("frequency [Hz],impedance [ohm]\n" + rows))
    alone = driver_from_impedance(free_air=read, Sd=0.0137)
    by_hand = driver_from_impedance(free_air=(read.frequency, read.impedance), Sd=0.0137)
    assert alone.values == by_hand.values
    heavier = read_impedance(
        file(
            "frequency [kHz],impedance [ohm]\n"
            + "".join(f"{a / 1000},{3.4 + 20 / (1 + (9 * (a / 36 - 36 / a)) ** 2)}\n" for a in f)
        )
    )
    joined = driver_from_impedance(free_air=read, added_mass=(0.01, heavier), Sd=0.0137)
    assert joined.values == driver_from_impedance(free_air=read, added_mass=(0.01, *heavier), Sd=0.0137).values
