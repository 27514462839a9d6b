"""Every slider of every page moves the right curve to the right place.

For each slider stands one number, read off the moved figure at a stated frequency, beside an independent formula.
A slider without one fails.
"""

import dataclasses

import numpy as np
import pytest
from scipy.special import j1

from lumpedbox import Air
from lumpedbox.sliders.kit.controls import Slider
from lumpedbox.sliders.kit.doors import CRACK
from lumpedbox.sliders.kit.places import BY_PLACES
from lumpedbox.sliders.kit.wirings import NOT_KNOWN
from lumpedbox.sliders.kit.words import OPEN_AIR
from lumpedbox.sliders.lessons.bass_meets_panels.page import WHAT
from lumpedbox.sliders.lessons.cabin_gain.page import DRIVEN
from lumpedbox.sliders.lessons.crossing_over import DRIVERS
from lumpedbox.sliders.lessons.free_steps.page import OWN as OWN_WAY
from lumpedbox.sliders.lessons.free_steps.page import STEPS
from lumpedbox.sliders.lessons.free_steps.page import WORST as WORST_WAY
from lumpedbox.sliders.lessons.sealed_or_vented import CAUTION_SPEED
from lumpedbox.sliders.lessons.set_the_levels.page import WHAT as PLAYS
from lumpedbox.sliders.lessons.set_the_levels.page import WHERE, WIRES
from lumpedbox.sliders.lessons.shared_channel.answering import ACROSS, OHMS, PAD
from lumpedbox.sliders.lessons.shared_channel.page import WITHOUT
from lumpedbox.sliders.lessons.vented_alignments import BY_HAND, RADIATOR
from lumpedbox.sliders.lessons.wedge import VENTED
from lumpedbox.sliders.lessons.which_box.page import ANOTHER, OWN
from lumpedbox.sliders.lessons.wire_and_fuse.options import BRANCH, LIGHTS, SECOND, UPGRADE, WIRE
from lumpedbox.tables import demo_cabins, demo_drivers, demo_readings, demo_sheets
from lumpedbox.units import litre
from tests import two_on_a_channel
from tests.sliders.conftest import cavity, heard_in_the_cabin
from tests.sliders.test_a_million_boxes import by_hand
from tests.sliders.test_sealed_door import level, pressure
from tests.sliders.test_wedge import net_by_hand


def read(page, curve, panel, near):
    """Read a curve off the figure at the drawn point nearest to a frequency: (frequency, value)."""
    frequency, values = page.scene.stack.values(curve, panel)
    index = np.argmin(np.abs(np.asarray(frequency) - near))
    return frequency[index], values[index]


def box_of(page, kind):
    values = page.values
    box = {"volume": values["volume"], "Ql": values["Ql"]}
    return {**box, "fb": values["fb"]} if kind == "vented" else box


def boxed_level(kind, near):
    def check(page, closed_form):
        frequency, shown = read(page, kind, "level", near)
        driver = demo_drivers()[page.values["driver"]]
        return shown, closed_form(driver, frequency, page.values["voltage"], **box_of(page, kind)).level

    return check


def vented_f3(near):
    """f3 by the textbook's box: half the power of the closed-form pass-band (Small 1973)."""

    def check(page, closed_form):
        tuning, shown = read(page, "box", "f3", near)
        return shown, by_hand(demo_drivers()[page.values["driver"]], page.values["volume"], tuning)[0]

    return check


def tuning_upright(page, closed_form):
    return page.scene.stack.values("tuning", "f3")[0][0], page.values["fb"]


def highest_peak(page, closed_form):
    return read(page, "most", "peak", 40.0)[1], page.values["most"]


def port_limit(page, closed_form):
    frequency, shown = read(page, "port", "level", 40.0)
    driver, values = demo_drivers()[page.values["driver"]], page.values
    exact = closed_form(driver, frequency, values["voltage"], **box_of(page, "vented"))
    speed = exact.port_flow / values["port_area"]
    return shown, exact.level + 20 * np.log10(CAUTION_SPEED / speed)


def door_level(near):
    """A door's level by the circuit that stands in tests/sliders/test_sealed_door.py."""

    def check(page, closed_form):
        frequency, shown = read(page, "hole", "level", near)
        return shown, float(level(pressure(page.values, frequency)))

    return check


def door_limit(page, closed_form):
    """A sixth of a wavelength in the longest side."""
    return page.scene.stack.values("validity", "level")[0][0], Air().sound_speed / (6 * page.values["longest_side"])


def upright(page, closed_form):
    """The upright line stands where the slider says."""
    return page.scene.stack.values("look", next(iter(page.scene.stack.axes)))[0][0], page.values["look"]


def open_level(page, closed_form):
    frequency, shown = read(page, "third", "level", 40.0)
    return shown, closed_form(demo_drivers()[page.values["third"]], frequency, page.values["voltage"]).level


def reading(curve, weighting):
    def check(page, closed_form):
        _, shown = read(page, curve, "reading", 20.0)
        return shown, page.values["level"] + 10 * np.log10(page.values["times"]) + weighting

    return check


def closed(quantity, near):
    """Filling of factor k is a box k times as large (Small 1972): the closed form knows no filling."""

    def check(page, closed_form):
        frequency, shown = read(page, "sealed", "level" if quantity == "level" else "excursion", near)
        values = page.values
        seems = {"volume": values["volume"] * values["filling"], "Ql": values["Ql"]}
        exact = closed_form(demo_drivers()[values["driver"]], frequency, values["voltage"], **seems)
        return shown, exact.level if quantity == "level" else 1000 * exact.excursion

    return check


def of_two_heard(of, near):
    """Level of A or B by the textbook's closed or vented box (Small 1972, 1973), with the usual leaks: Ql = 7."""

    def check(page, closed_form):
        frequency, shown = read(page, of, "level", near)
        values = page.values
        tuned = {"fb": values[f"fb_{of}"]} if values[f"box_{of}"] == "vented" else {}
        driver = demo_drivers()[values[f"driver_{of}"]]
        return shown, closed_form(driver, frequency, 2.83, volume=values[f"volume_{of}"], Ql=7, **tuned).level

    return check


def planned_ohms(near):
    """Impedance of the textbook's closed or vented box (Small 1972, 1973), with the leaks that the page stands at."""

    def check(page, closed_form):
        frequency, shown = read(page, "plan", "curve", near)
        values = page.values
        tuned = {"fb": values["fb"]} if values["box"] == "vented" else {}
        driver = demo_drivers()[values["driver"]]
        return shown, 1 / abs(
            closed_form(driver, frequency, 1.0, volume=values["volume"], Ql=values["Ql"], **tuned).current
        )

    return check


def measured_ohms(page, closed_form):
    """The reading at 60 Hz is as many times the resistor in line as the volts are."""
    return float(page.scene.marks["curve"].get_ydata()[2]), page.values["line"] * 0.4 / 0.2


def boarded(near):
    """The litres between the boards by hand (tests/sliders/test_wedge.py), closed, with the usual leaks: Ql = 7."""

    def check(page, closed_form):
        frequency, shown = read(page, "built", "level", near)
        driver = demo_drivers()[page.values["driver"]]
        return shown, closed_form(driver, frequency, 2.83, volume=net_by_hand(page.values), Ql=7).level

    return check


def ported(page, closed_form):
    """fb = c / 2 pi sqrt(S / V l), with 0.6127 and 0.8217 radii of air beyond a free and a flush end (from memory)."""
    frequency, shown = read(page, "built", "level", 30.0)
    driver, values, radius = demo_drivers()[page.values["driver"]], page.values, 30e-3
    volume, air = net_by_hand(values), Air()
    long = values["length"] + (0.6127 + 0.82167) * radius
    fb = air.sound_speed / (2 * np.pi) * np.sqrt(np.pi * radius**2 / (volume * long))
    return shown, closed_form(driver, frequency, 2.83, volume=volume, fb=fb, Ql=7).level


# Ohms of a metre of 2.5, 4, 16 and 25 mm2 of stranded copper: IEC 60228, class 5 (from memory).
OHM_PER_METRE = {2.5: 7.98e-3, 4: 4.95e-3, 16: 1.21e-3, 25: 0.78e-3}


def ohms(values, of=""):
    return OHM_PER_METRE[round(values[f"{of}area"] * 1e6, 6)] * values[f"{of}length"]


def volts_lost(page, closed_form):
    """I R with I = P / (eta V): up to the amplifier, or with a branch up to the end of that."""
    values, lights = page.values, page.values["more"] in (LIGHTS, SECOND)
    _, shown = read(page, "branch" if lights else "own", "lost", values["area"] * 1e6)
    current = values["power"] / values["efficiency"] / values["battery"]
    if not lights:
        return shown, current * (ohms(values) + values["back"])
    branch = values["branch_power"] / values["battery"]
    branch /= values["branch_efficiency"] if values["more"] == SECOND else 1
    return shown, (current + branch) * ohms(values) + branch * ohms(values, "branch_")


def level_at(curve, name):
    """A bound of the fuse stands where the slider says."""
    return lambda page, closed_form: (read(page, curve, "current", 16.0)[1], page.values[name])


def fuses_drawn(page, closed_form):
    """Fuses are drawn where the second maker's figure leaves room: 60 W at 0.65 and 13.8 V are 6.7 A, so 10 A."""
    return float(len(page.scene.stack.values("fuse", "current")[0]) > 0), float(page.values["branch_maker"] >= 10)


def size_upright(page, closed_form):
    return page.scene.stack.values("size", "lost")[0][0], page.values["area"] * 1e6


def cost_of_the_wire(page, closed_form):
    """20 log of the share of the volts that is left, where the amplifier clips."""
    values = page.values
    current = int(values["channels"]) * values["power"] / values["efficiency"] / values["battery"]
    share = 1 - current * (ohms(values) + values["back"]) / values["battery"]
    return read(page, "wire", "cost", 100.0)[1], -20 * np.log10(share)


def in_a_panel(near, **parts):
    """The driver of the sheet with one quantity multiplied as the slider of that name says, in a large panel."""

    def check(page, closed_form):
        frequency, shown = read(page, "volts", "level", near)
        driver = demo_sheets()[page.values["sheet"]].driver
        other = {name: getattr(driver, name) * page.values[slider] for name, slider in parts.items()}
        return shown, closed_form(dataclasses.replace(driver, **other), frequency, 2.83).level

    return check


def rewound(page, closed_form):
    """Wound for k times the ohms, every impedance of the coil grows by k: at 2.83 V it plays 10 lg k softer throughout,
    and at 1 W as loud as ever."""
    frequency, shown = read(page, "volts", "level", 63.0)
    driver = demo_sheets()[page.values["sheet"]].driver
    before = closed_form(driver, frequency, 2.83).level
    assert read(page, "watt", "level", 63.0)[1] == pytest.approx(before + 10 * np.log10(4 / 2.83**2))  # of 4 ohm
    return shown, before - 10 * np.log10(page.values["coil"])


def behind_a_capacitor(page, frequency):
    """Voltage across the tweeter and its impedance, by the divider of capacitor, pad and driver."""
    values, driver = page.values, demo_drivers()[page.values["tweeter"]]
    k, s = 10 ** (values["lift"] / 20), 2j * np.pi * frequency
    driver = dataclasses.replace(driver, Mms=driver.Mms / k, Rms=driver.Rms / k, Cms=driver.Cms * k)
    moving = s * driver.Mms + driver.Rms + 1 / (s * driver.Cms)
    impedance = driver.Re + s * driver.Le + driver.Bl**2 / moving
    left = 10 ** (-values["pad"] / 20)
    loaded, series = impedance, 0.0
    if left < 1:
        series, shunt = 4 * (1 - left), 4 * left / (1 - left)  # of a pad for 4 ohm
        loaded = impedance * shunt / (impedance + shunt)
    whole = 1 / (s * values["capacitor"]) + series + loaded
    return driver, values["voltage"] * loaded / whole


def tweeter_as_modelled(page, closed_form):
    frequency, shown = read(page, "tweeter", "level", 1000.0)
    driver, volts = behind_a_capacitor(page, frequency)
    return shown, closed_form(driver, frequency, abs(volts)).level


def tweeter_as_printed(page, closed_form):
    """Above the model's limit the printed level, by the voltage that is left across the tweeter."""
    frequency, shown = read(page, "tweeter", "level", 8000.0)
    driver, volts = behind_a_capacitor(page, frequency)
    return shown, driver.sensitivity + page.values["lift"] + 20 * np.log10(abs(volts) / 2.83)


def woofer_off_axis(page, closed_form):
    """A rigid piston loses 2 J1(x) / x, x = k a sin(angle) (L. L. Beranek, "Acoustics", 1954, from memory)."""
    frequency, shown = read(page, "woofer", "level", 2000.0)
    driver = demo_drivers()[page.values["woofer"]]
    reach = np.sqrt(driver.Sd / np.pi) * np.sin(np.radians(page.values["angle"]))
    x = 2 * np.pi * frequency / Air().sound_speed * reach
    lost = 20 * np.log10(abs(2 * j1(x) / x)) if x else 0.0
    return shown, driver.sensitivity + 20 * np.log10(page.values["voltage"] / 2.83) + lost


def at_the_ear(page, closed_form, frequency):
    """Pressures of the bass box and of two panels: textbook drivers, Butterworth filters of order 2 twice (Linkwitz
    1976, from memory), 1/r, and the ways and delays as angles."""
    values, s = page.values, 2j * np.pi * frequency
    x, cabin = s / (2 * np.pi * values["corner"]), demo_cabins()[values["cabin"]]
    low, drivers = 1 / (x**2 + np.sqrt(2) * x + 1) ** 2, demo_drivers()
    bass = closed_form(drivers[values["bass"]], frequency, 2.83, volume=values["volume"], Ql=7.0).pressure
    panels = 2 * closed_form(drivers[values["panels"]], frequency, 2.83).pressure
    sources = (
        (bass * low * 10 ** (values["level"] / 20), values["bass_way"], max(-values["delay"], 0)),
        (panels * low * x**4, values["panels_way"], max(values["delay"], 0)),
    )
    return [
        pressure * cavity(cabin, frequency, way) / way * np.exp(-s * (way / Air().sound_speed + delay))
        for pressure, way, delay in sources
    ]


def together_at(near):
    """Level of both; below 144 Hz, where the minibus leaves the phases their meaning."""

    def check(page, closed_form):
        frequency, shown = read(page, "sum", "level", near)
        return shown, 20 * np.log10(abs(sum(at_the_ear(page, closed_form, frequency))) / 20e-6)

    return check


def cancelled(page, closed_form):
    frequency, shown = read(page, "sum", "cancelled", 70.0)
    bass, panels = at_the_ear(page, closed_form, frequency)
    return shown, 20 * np.log10((abs(bass) + abs(panels)) / abs(bass + panels))


def crossed(page, frequency):
    """Woofer and tweeter of the pass-band's level behind Butterworth filters of order 2, the tweeter's way as an angle
    (S. Butterworth 1930, from memory)."""
    values, x = page.values, 1j * frequency / page.values["corner"]
    loud, D = demo_drivers()[values["woofer"]].sensitivity, x**2 + np.sqrt(2) * x + 1
    way = np.exp(-2j * np.pi * frequency * values["further"] / Air().sound_speed)
    return 10 ** (loud / 20) / D, 10 ** (loud / 20) * x**2 / D * way


def crossed_level(near):
    def check(page, closed_form):
        frequency, shown = read(page, "sum", "level", near)
        return shown, 20 * np.log10(abs(sum(crossed(page, frequency))))

    return check


def allowed(curve, near):
    """Level at which travel, port or amplifier (75 W into 4 ohm) is used up: the textbook's vented box at one volt."""

    def check(page, closed_form):
        frequency, shown = read(page, curve, "level", near)
        values, driver = page.values, demo_drivers()[page.values["driver"]]
        box = {"volume": values["volume"], "fb": values["fb"], "Ql": 7.0}
        one_volt = closed_form(driver, frequency, 1.0, **box)
        speed = one_volt.port_flow / values["port_area"]
        volts = {"travel": driver.xmax / one_volt.excursion, "port": 17.0 / speed, "amplifier": np.sqrt(75 * 4)}
        return shown, one_volt.level + 20 * np.log10(volts[curve])

    return check


def closed_shape(near):
    """Level over the pass-band, fs = 30 Hz, Vas = 60 litres, no losses: a filter of second order (Small 1972, from
    memory) whose stiffness is the box's too."""

    def check(page, closed_form):
        frequency, shown = read(page, "box", "level", near)
        values, s = page.values, 1j * frequency / 30.0
        stiffness = 1 + 60 * litre / values["volume"]
        return shown, 20 * np.log10(abs(s**2 / (s**2 + s / values["Qts"] + stiffness)))

    return check


def closed_to(Qtc, near):
    """The same filter by the Qtc that is asked for, and fc = fs Qtc / Qts (Small 1972, from memory)."""

    def check(page, closed_form):
        frequency, shown = read(page, "box", "level", near)
        s = 1j * frequency / (30.0 * Qtc / page.values["Qts"])
        return shown, 20 * np.log10(abs(s**2 / (s**2 + s / Qtc + 1)))

    return check


def aligned(near):
    """Level over the pass-band, fs = 30 Hz, Vas = 60 litres, no losses: Thiele's and Small's function of fourth order
    (1961, 1973), and with a passive radiator Small's of 1974 (from memory; derived): in the place of the mass of the
    port stands the radiator, 1 + (fp/s)^2 of its mass, which is (1 + delta) / delta of the port's."""

    def check(page, closed_form):
        frequency, shown = read(page, "box", "level", near)
        values, s = page.values, 1j * frequency / 30.0
        Q, alpha, h = values["Qts"], 60 * litre / values["volume"], values["fb"] / 30.0
        through, below = h**2, 1.0
        if values["opening"] == RADIATOR:
            delta = values["delta"]
            through, below = h**2 * delta / (1 + delta), 1 + (h / s) ** 2 / (1 + delta)
        air = alpha / (1 + through / s**2 / below)  # stiffness of the box, over the suspension's
        cone = 1 / (s**2 + s / Q + 1 + air)
        return shown, 20 * np.log10(abs(s**2 * cone / (1 + through / s**2 / below)))

    return check


def best_of(kind, near):
    """Level of the box that is recommended, as it is described: the textbook's box at the volts that are used."""

    def check(page, closed_form):
        frequency, shown = read(page, kind, "level", near)
        values, speaker = page.values, page.scene.designs[kind].loudspeaker
        box = {"volume": speaker.box.volume, "Ql": 7.0}
        if kind == "vented":
            box["fb"] = float(speaker.box.port.tuning(speaker.box.volume))
        driver = dataclasses.replace(speaker.driver, Re=speaker.driver.Re + speaker.source_resistance)
        return shown, closed_form(driver, frequency, values["voltage"], **box).level

    return check


def band_mean(page, curve, low, high):
    """Mean square of a drawn level over a band, every octave alike, at 24 points an octave as the page says. [dB]"""
    band = np.geomspace(low, high, round(24 * np.log2(high / low)) + 1)
    level = np.interp(np.log(band), np.log(page.scene.stack.values(curve, "level")[0]), read_all(page, curve))
    return 10 * np.log10(np.mean(10 ** (level / 10)))


def read_all(page, curve):
    return page.scene.stack.values(curve, "level")[1]


def against_front(name, low, high):
    """The drawn level of an output stands as far from the front's as its slider says."""

    def check(page, closed_form):
        shown = band_mean(page, name, low, high) - band_mean(page, "front", 160, 800)
        return shown, page.values[f"{name}_level"]

    return check


def source_reads(frequency, volume):
    """The invented readings between two settings of the volume, in decibels. [dB re 1 V]"""
    table = demo_readings()
    columns = [np.interp(np.log(frequency), *np.array([(np.log(f), v) for f, v in table[at].points]).T) for at in table]
    return np.array([np.interp(volume, list(table), row) for row in np.transpose(columns)])


def low_pass_of_the_bass(frequency):
    """A Linkwitz-Riley filter of fourth order at 80 Hz: 1 / (1 + (f/fc)^4) (Linkwitz 1976, from memory)."""
    return 1 / (1 + (np.asarray(frequency) / 80.0) ** 4)


def shape_of_the_source(page, closed_form):
    """Volts of the bass at 50 Hz over those at 100 Hz: the source's readings, and the low-pass."""
    (low, first), (high, second) = (read(page, "bass", "volts", near) for near in (50.0, 100.0))
    reads, filtered = source_reads([low, high], page.values["setting"]), low_pass_of_the_bass([low, high])
    return first / second, 10 ** ((reads[0] - reads[1]) / 20) * filtered[0] / filtered[1]


def gain_turned_up(page, closed_form):
    """With the bass knob all the way up, at 0.2 V, its bridged amplifier (34.64 V) makes 173.2 times its input."""
    frequency, shown = read(page, "bass", "volts", 63.0)
    arrives = 10 ** ((source_reads([frequency], page.values["setting"])[0] + page.values["trim"]) / 20) * 20 / 21
    return shown, arrives * low_pass_of_the_bass(frequency) * 2 * 300**0.5 / 0.2


def lowest_tone(page, closed_form):
    """The upright line where the slider stands."""
    return page.scene.stack.values("lowest", "level")[0][0], page.values["lowest"]


def woofer_of_two(circuit):
    """The woofer's level near 100 Hz, in series with a tweeter, by Kirchhoff's laws (tests/two_on_a_channel.py)."""

    def check(page, closed_form):
        frequency, shown = read(page, "woofer", "level", 100.0)
        drivers = [demo_drivers()[page.values[name]] for name in ("woofer", "second")]
        two = two_on_a_channel.TwoOnAChannel(*drivers, "series", frequency, **circuit(page.values))
        return shown, closed_form(drivers[0], frequency, 2.83 * abs(two.at_woofer)).level

    return check


def in_the_cabin(near):
    """Level at the ear in the minibus by the sum over its resonances, one by one."""

    def check(page, closed_form):
        frequency, shown = read(page, "modes", "level", near)
        driver = demo_drivers()[page.values["driver"]]
        volume = driver.Vas / (0.5 / driver.Qts**2 - 1)  # for Qtc = 0.71
        return shown, heard_in_the_cabin(page.values, driver, frequency, volume, leak=12.0)

    return check


def load_that_fits_a_reading(page, closed_form):
    """Two coils of 3.4 and 3.3 ohm read 6.7 in series, 1.7 in parallel, and 3.35 as two series pairs."""
    frequency, shown = read(page, "sum", "impedance", 1000.0)
    drivers = [demo_drivers()[page.values[name]] for name in ("woofer", "second")]
    loads = [abs(two_on_a_channel.TwoOnAChannel(*drivers, how, frequency).load) for how in ("series", "parallel")]
    return shown, {3.4: loads[0] / 2, 6.5: loads[0], 1.8: loads[1]}[round(page.values["reading"], 1)]


BOUGHT = {4.0: (1.5, 6.8), 6.0: (2.0, 3.9)}  # the pad's two equations into 4 ohm, to IEC 60063 (from memory)


# Of a slider: where it is moved to [SI], and what gives (the number shown, the number by formula).
CHECKS = {
    ("bass_meets_panels", "corner"): (97.0, together_at(90.0)),
    ("bass_meets_panels", "delay"): (-3e-3, cancelled),
    ("bass_meets_panels", "level"): (3.5, together_at(70.0)),
    ("bass_meets_panels", "bass_way"): (1.85, together_at(80.0)),
    ("bass_meets_panels", "panels_way"): (2.15, together_at(100.0)),
    ("bass_meets_panels", "volume"): (0.0545, together_at(40.0)),
    ("cabin_gain", "length"): (4.6, in_the_cabin(70.0)),
    ("cabin_gain", "width"): (1.7, in_the_cabin(100.0)),
    ("cabin_gain", "height"): (1.7, in_the_cabin(110.0)),
    ("cabin_gain", "damping"): (0.2, in_the_cabin(100.0)),
    ("cabin_gain", "box_x"): (4.55, in_the_cabin(40.0)),
    ("cabin_gain", "box_y"): (1.0, in_the_cabin(90.0)),
    ("cabin_gain", "box_z"): (0.7, in_the_cabin(80.0)),
    ("cabin_gain", "ear_x"): (3.15, in_the_cabin(40.0)),
    ("cabin_gain", "ear_y"): (0.9, in_the_cabin(90.0)),
    ("cabin_gain", "ear_z"): (0.8, in_the_cabin(100.0)),
    ("crossing_over", "corner"): (2200.0, crossed_level(1600.0)),
    ("crossing_over", "further"): (-0.045, crossed_level(2500.0)),
    ("how_loud", "volume"): (0.0445, allowed("amplifier", 50.0)),
    ("how_loud", "fb"): (41.0, allowed("travel", 60.0)),
    ("how_loud", "port_area"): (0.0081, allowed("port", 40.0)),
    ("a_million_boxes", "volume"): (0.0245, vented_f3(40.0)),
    ("a_million_boxes", "fb"): (33.0, tuning_upright),
    ("a_million_boxes", "most"): (3.5, highest_peak),
    ("which_box", "volume"): (0.0245, best_of("vented", 36.0)),
    ("which_box", "depth"): (0.26, best_of("vented", 36.0)),
    ("which_box", "port_length"): (0.26, best_of("vented", 36.0)),
    ("which_box", "port_area"): (0.002, best_of("vented", 36.0)),
    ("which_box", "voltage"): (8.0, best_of("sealed", 50.0)),
    ("which_box", "lowest"): (42.0, lowest_tone),
    ("which_box", "f3"): (45.0, best_of("vented", 36.0)),
    ("which_box", "ripple"): (0.35, best_of("sealed", 40.0)),
    ("which_box", "port_speed"): (11.0, best_of("vented", 36.0)),
    ("sealed_or_vented", "volume"): (0.0345, boxed_level("sealed", 40.0)),
    ("sealed_or_vented", "fb"): (47.0, boxed_level("vented", 45.0)),
    ("sealed_or_vented", "voltage"): (4.0, boxed_level("vented", 100.0)),
    ("sealed_or_vented", "port_area"): (31e-4, port_limit),
    ("sealed_or_vented", "Ql"): (15.0, boxed_level("vented", 36.0)),
    ("sealed_door", "volume"): (0.0215, door_level(63.0)),
    ("sealed_door", "longest_side"): (0.75, door_limit),
    ("sealed_door", "hole_area"): (0.0102, door_level(50.0)),
    ("sealed_door", "crack_thickness"): (1.4e-3, door_level(30.0)),
    ("sealed_door", "crack_length"): (1.3, door_level(30.0)),
    ("sealed_door", "path"): (0.52, door_level(40.0)),
    ("closed_alignments", "Qts"): (0.55, closed_shape(50.0)),
    ("closed_alignments", "volume"): (0.0345, closed_shape(40.0)),
    ("closed_alignments", "Qtc"): (1.2, closed_to(1.2, 90.0)),
    ("closed_box", "volume"): (0.0345, closed("level", 40.0)),
    ("closed_box", "filling"): (1.3, closed("level", 40.0)),
    ("closed_box", "voltage"): (4.0, closed("excursion", 20.0)),
    ("closed_box", "Ql"): (15.0, closed("level", 36.0)),
    ("vented_alignments", "Qts"): (0.55, aligned(30.0)),
    ("vented_alignments", "volume"): (0.0174, aligned(50.0)),
    ("vented_alignments", "fb"): (41.0, aligned(40.0)),
    ("vented_alignments", "delta"): (1.3, aligned(24.0)),
    ("data_sheet", "mass"): (1.6, in_a_panel(200.0, Mms="mass")),
    ("data_sheet", "coil"): (0.5, rewound),
    ("data_sheet", "motor"): (1.4, in_a_panel(100.0, Bl="motor")),
    ("data_sheet", "compliance"): (1.8, in_a_panel(20.0, Cms="compliance")),
    ("data_sheet", "area"): (1.5, in_a_panel(40.0, Sd="area")),
    ("shared_channel", "capacitor"): (15e-6, woofer_of_two(lambda values: {"capacitor": values["capacitor"]})),
    ("shared_channel", "reading"): (6.5, load_that_fits_a_reading),
    ("shared_channel", "resistor"): (
        10.0,
        woofer_of_two(lambda values: {"capacitor": values["capacitor"], "resistor": values["resistor"]}),
    ),
    ("shared_channel", "pad"): (
        6.0,
        woofer_of_two(lambda values: {"capacitor": values["capacitor"], "pad": BOUGHT[values["pad"]]}),
    ),
    ("small_woofers", "look"): (63.0, upright),
    ("small_woofers", "voltage"): (6.5, open_level),
    ("loud_tweeter", "pad"): (6.5, tweeter_as_modelled),
    ("loud_tweeter", "capacitor"): (5e-6, tweeter_as_modelled),
    ("loud_tweeter", "lift"): (3.5, tweeter_as_printed),
    ("loud_tweeter", "angle"): (25.0, woofer_off_axis),
    ("loud_tweeter", "voltage"): (7.5, tweeter_as_printed),
    ("set_the_levels", "setting"): (28.0, shape_of_the_source),
    ("set_the_levels", "trim"): (-32.0, gain_turned_up),
    ("set_the_levels", "rear_level"): (-3.5, against_front("rear", 160, 800)),
    ("set_the_levels", "bass_level"): (2.5, against_front("bass", 40, 80)),
    ("thin_wire", "power"): (60.0, cost_of_the_wire),
    ("thin_wire", "efficiency"): (0.8, cost_of_the_wire),
    ("thin_wire", "battery"): (14.4, cost_of_the_wire),
    ("thin_wire", "area"): (4e-6, cost_of_the_wire),
    ("thin_wire", "length"): (4.0, cost_of_the_wire),
    ("thin_wire", "back"): (10e-3, cost_of_the_wire),
    ("thin_wire", "look"): (60.0, upright),
    ("free_steps", "look"): (200.0, upright),
    ("as_planned", "volume"): (0.03, planned_ohms(45.0)),
    ("as_planned", "fb"): (30.0, planned_ohms(45.0)),
    ("as_planned", "Ql"): (5.0, planned_ohms(50.0)),
    ("as_planned", "line"): (8.2, measured_ohms),
    ("hear_the_difference", "volume_A"): (0.02, of_two_heard("A", 40.0)),
    ("hear_the_difference", "volume_B"): (0.05, of_two_heard("B", 40.0)),
    ("hear_the_difference", "fb_A"): (45.0, of_two_heard("A", 50.0)),
    ("hear_the_difference", "fb_B"): (30.0, of_two_heard("B", 40.0)),
    ("wedge", "height"): (0.5, boarded(30.0)),
    ("wedge", "depth"): (0.36, boarded(30.0)),
    ("wedge", "top"): (0.1, boarded(30.0)),
    ("wedge", "width"): (0.2, boarded(30.0)),
    ("wedge", "board"): (12e-3, boarded(30.0)),
    ("wedge", "length"): (0.15, ported),
    ("wire_and_fuse", "battery"): (14.4, volts_lost),
    ("wire_and_fuse", "power"): (360.0, volts_lost),
    ("wire_and_fuse", "efficiency"): (0.8, volts_lost),
    ("wire_and_fuse", "maker"): (60.0, level_at("maker", "maker")),
    ("wire_and_fuse", "area"): (25e-6, size_upright),
    ("wire_and_fuse", "length"): (4.0, volts_lost),
    ("wire_and_fuse", "rating"): (100.0, level_at("rating", "rating")),
    ("wire_and_fuse", "back"): (4e-3, volts_lost),
    ("wire_and_fuse", "branch_power"): (100.0, volts_lost),
    ("wire_and_fuse", "branch_efficiency"): (0.8, volts_lost),
    ("wire_and_fuse", "branch_maker"): (5.0, fuses_drawn),
    ("wire_and_fuse", "branch_area"): (4e-6, volts_lost),
    ("wire_and_fuse", "branch_length"): (3.0, volts_lost),
    ("wire_and_fuse", "branch_rating"): (30.0, level_at("branch rating", "branch_rating")),
    # IEC 61672-1: A-weighting at 20 Hz is -50.39 dB (analytic, as in the standard's annex; from memory).
    ("decibels", "times"): (20.0, reading("A", -50.39)),
    ("decibels", "look"): (250.0, upright),
    # IEC 61672-1: C-weighting at 20 Hz is -6.22 dB (from memory).
    ("decibels", "level"): (75.0, reading("C", -6.22)),
}


SOME = 3  # of a long list of options are tried
# What must be set first, so that a control is in view and shows.
NEEDED = {
    ("bass_meets_panels", "volume"): {"show": WHAT},
    **{("bass_meets_panels", name): {"show": WHAT} for name in ("bass", "panels", "cabin")},
    **{("cabin_gain", name): {"shown": DRIVEN} for name in ("length", "width", "height", "damping", "boot", "driver")},
    **{
        ("bass_meets_panels", f"{of}_place"): {"show": WHAT, "cabin": "small hatchback" + BY_PLACES}
        for of in ("bass", "panels")
    },
    **{
        (page, "place"): {"cabin": "small hatchback" + BY_PLACES}
        for page in ("closed_box", "sealed_or_vented", "small_woofers", "how_loud", "sealed_door")
    },
    ("crossing_over", "tweeter"): {"load": DRIVERS},  # resistances sound alike whichever tweeter they stand for
    ("shared_channel", "meter"): {"wiring": NOT_KNOWN},
    ("shared_channel", "reading"): {"wiring": NOT_KNOWN, "meter": OHMS, "fitted": WITHOUT},
    ("shared_channel", "resistor"): {"cure": ACROSS},
    ("shared_channel", "pad"): {"cure": PAD},
    ("free_steps", "one"): {"one": WORST_WAY},  # else one's own way is that of the start
    **{("free_steps", name): {"one": OWN_WAY} for name in STEPS},
    ("vented_alignments", "Qts"): {"family": BY_HAND},  # else volume and tuning go along: test_vented_alignments.py
    ("vented_alignments", "delta"): {"family": BY_HAND, "opening": RADIATOR},
    ("vented_alignments", "family"): {"family": BY_HAND, "volume": 30 * litre, "Qts": 0.3},  # which all of them suit
    **{("sealed_door", name): {"cabin": OPEN_AIR} for name in ("volume", "longest_side", "hole_area", "path")},
    ("sealed_door", "crack_thickness"): {"cabin": OPEN_AIR, "door_opening": CRACK, "crack_length": 3.0},
    ("sealed_door", "crack_length"): {"cabin": OPEN_AIR, "door_opening": CRACK, "crack_thickness": 0.4e-3},
    **{("which_box", name): {"limits": OWN} for name in ("aim", "lowest", "ripple", "port_speed", "port_length")},
    ("set_the_levels", "trim"): {"signal": WIRES},
    **{("set_the_levels", name): {"show": PLAYS} for name in ("front", "rear", "bass")},
    ("set_the_levels", "cabin"): {"show": WHERE},
    **{
        ("set_the_levels", f"{of}_place"): {"show": WHERE, "cabin": "small hatchback" + BY_PLACES}
        for of in ("front", "rear", "bass")
    },
    ("which_box", "f3"): {"limits": OWN, "aim": "a small box"},
    ("which_box", "load"): {"amplifier": ANOTHER},
    ("wedge", "length"): {"port": VENTED},
    ("as_planned", "fb"): {"box": "vented"},
    ("as_planned", "line"): {
        "ohms": "frequency [Hz], driver [V], resistor [V]\n"
        "30, 0.2, 0.4\n45, 0.5, 0.3\n60, 0.4, 0.2\n75, 0.2, 0.2\n90, 0.2, 0.3\n99, 0.2, 0.4",
    },
    ("as_planned", "speaker"): {"planned": "after: bass box"},
    ("as_planned", "cabin"): {"measured": "level in the vehicle"},
    ("as_planned", "place"): {"measured": "level in the vehicle", "cabin": "small hatchback" + BY_PLACES},
    ("as_planned", "levels"): {"measured": "level in the vehicle"},
    ("hear_the_difference", "fb_A"): {"box_A": "vented"},
    **{
        ("hear_the_difference", f"{name}_B"): {"side": "loudspeaker B"}
        for name in ("driver", "box", "volume", "fb", "tweeter", "cabin")
    },
    ("wire_and_fuse", "maker"): {"maker": 80.0},
    **{("wire_and_fuse", name): {"step": WIRE} for name in ("area", "metal", "length", "source", "rating", "back")},
    ("wire_and_fuse", "more"): {"step": BRANCH},
    ("wire_and_fuse", "stage_done"): {"step": UPGRADE},
    ("wire_and_fuse", "branch_efficiency"): {"step": BRANCH, "more": SECOND},
    ("wire_and_fuse", "branch_maker"): {"step": BRANCH, "more": SECOND, "branch_maker": 40.0},
    **{
        ("wire_and_fuse", f"branch_{name}"): {"step": BRANCH, "more": LIGHTS}
        for name in ("power", "area", "length", "rating")
    },
}
# Choices that may change no curve, and what they change instead.
NOT_DRAWN = {
    ("bass_meets_panels", "show"): "hidden",
    ("loud_tweeter", "wiring"): "answer",  # until it is known, it is drawn in parallel
    ("shared_channel", "wiring"): "answer",  # until it is known, what fits the reading is drawn
    ("shared_channel", "meter"): "answer",  # until it is read, parallel is drawn
    ("cabin_gain", "shown"): "hidden",
    ("hear_the_difference", "side"): "hidden",
    ("hear_the_difference", "music"): "answer",  # noise stands in for a file until there is one
    ("bass_meets_panels", "panels_place"): "answer",  # its twin is opposite: left and right are the same pair
    ("sealed_door", "sensors"): "answer",
    ("set_the_levels", "show"): "hidden",
    **{("set_the_levels", f"{of}_place"): "answer" for of in ("front", "rear")},  # its twin is opposite
    ("small_woofers", "amplifier"): "answer",
    ("which_box", "limits"): "hidden",
    ("wire_and_fuse", "step"): "hidden",
    ("wire_and_fuse", "vehicle"): "answer",
    ("wire_and_fuse", "source"): "answer",  # whose rating it is, where it holds all the same
    ("which_box", "load"): "answer",  # the same volts are other watts, and only a load that is too low keeps a box out
}
# Choices that the invented parts never bring into view, and where they are tested.
ELSEWHERE = {
    ("loud_tweeter", "beside_own"): "tests/sliders/test_loud_tweeter.py",
    **{("set_the_levels", name): "tests/sliders/test_set_the_levels.py" for name in ("amplifier", "head_unit")},
}


def needing(pages, page_name, control):
    """A page with a control in view, where it shows."""
    page = pages(page_name)
    page.put(**NEEDED.get((page_name, control), {}))
    assert page.message == ""
    return page


def test_every_slider_has_a_check(pages, page_name):
    sliders = {name for name, control in pages(page_name).controls.items() if isinstance(control, Slider)}
    assert {slider for page, slider in CHECKS if page == page_name} == sliders


@pytest.mark.parametrize(("page_name", "slider"), CHECKS)
def test_slider(pages, closed_form, page_name, slider):
    page, (value, check) = needing(pages, page_name, slider), CHECKS[page_name, slider]
    assert slider not in page.board.hidden
    before, said, still = page.picture.pixels(), page.board.answer, check(page, closed_form)
    page.board.moved = {"number": -1, "places": {slider: value}}  # as the browser tells it
    page.rest()
    assert page.message == ""
    assert np.any(page.picture.pixels() != before), "the picture does not change"
    assert page.board.answer != said, "the answer does not change"
    shown, exact = check(page, closed_form)
    assert shown != still[0], "the number read does not change"
    # 0.02 dB, or half a percent of a frequency: the accuracy promised to the reader of a figure
    assert shown == pytest.approx(exact, abs=0.02) or "look" in slider
    assert shown == pytest.approx(exact, rel=0.005)


@pytest.mark.long
def test_every_choice_changes_the_picture(pages, page_name):
    choices = [name for name, control in pages(page_name).controls.items() if not isinstance(control, Slider)]
    for choice in choices:
        page = needing(pages, page_name, choice)
        if choice in page.board.hidden:
            assert (page_name, choice) in ELSEWHERE
            continue
        changes = NOT_DRAWN.get((page_name, choice), "answer")
        offered = page.controls[choice].spec(page.values, page.system).get("options", ())
        others = [option for option in offered if option != page.values[choice]]
        for option in others[:: max(1, len(others) // SOME)]:
            page = needing(pages, page_name, choice)
            before, shown = page.picture.pixels(), getattr(page.board, changes)
            page.put(**{choice: option})
            assert page.message == ""
            drawn = np.any(page.picture.pixels() != before)
            assert drawn or (page_name, choice) in NOT_DRAWN, (choice, option)
            assert getattr(page.board, changes) != shown, (choice, option)
