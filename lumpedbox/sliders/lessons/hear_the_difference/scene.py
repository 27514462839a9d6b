"""Two loudspeakers over frequency, and what is left of their difference once both are equally loud."""

from __future__ import annotations

import numpy as np

from ....figures.stack import Panel
from ....parts.box import USUAL_LEAKAGE, InfiniteBaffle, SealedBox, VentedBox
from ....parts.loudspeaker import Loudspeaker
from ....parts.network import Capacitor, in_series, l_pad
from ....parts.small_signal import PRINTED_VOLTAGE
from ....parts.system import Channel, System
from ....response import frequencies, solve
from ....response.sound import programme, weighted_bands
from ....units import cm2, uF
from ...kit import facts
from ...kit.answer import Answer, Fact, say, verbatim
from ...kit.scene import Scene
from ...kit.systems import FREQUENCY, LEVEL, VOLTAGE
from .listening import RATE, SECONDS, A, B

GRID = frequencies(20, 16000, per_octave=12)
SEALED, VENTED = "sealed", "vented"
NO_TWEETER, BARE, PADS = "none", "no pad", {"3 dB pad": 3.0, "6 dB pad": 6.0, "9 dB pad": 9.0}
CAPACITOR, PORT_AREA = 6.8 * uF, 50 * cm2  # before the tweeter; of a vented box
NOISE, BASS_LINE, OWN = "noise", "bass line", "my own file"
LOUDNESS, SETTING = "loudness", "volume setting"
BASS, TREBLE = 40.0, 8000.0  # Hz, where the two are compared
HARDLY = 1.0  # dB, below which few hear a difference (common practice, no source)
NONE = 0.05  # dB, which would be told as 0.0
COUNT = int(RATE * SECONDS)
REACHES, TURNED, MOST = "bass reaches down to", "turned", "differs most at"
AT_BASS, AT_TREBLE = "against A at 40 Hz", "against A at 8000 Hz"


class TwoHeard(Scene):
    """Level of two loudspeakers, and the difference that is left to hear, over one frequency axis."""

    alternative_text = "Level of loudspeakers A and B against frequency, and B against A as they are heard"
    grid = GRID

    def __init__(self, drivers, tweeter, cabins):
        self._drivers, self._tweeter, self._cabins = drivers, tweeter, cabins
        self.music, self._bands = None, {}
        pens = {A: ("first", "A"), B: ("second", "B"), "heard": ("third", "B against A")}
        super().__init__(pens, kept=(A, B, "heard"))

    def panels(self, system):
        """Return the two panels, which have no other units in the US."""
        return (
            Panel("level", "level [dB re 20 µPa] at 1 m", 60.0, 110.0, tops=(130.0,)),
            Panel("heard", "B against A, as heard [dB]", -20.0, 20.0),
        )

    def take_in(self, music):
        """Take in samples of one's own. [1]"""
        self.music = music
        self._bands.pop(OWN, None)

    def parts(self, values, of):
        """Return the system of A or B."""
        common, volume = {"cabin": self._cabins[values[f"cabin_{of}"]]}, values[f"volume_{of}"]
        vented = values[f"box_{of}"] == VENTED
        tuned = {"fb": values[f"fb_{of}"], "port_area": PORT_AREA}
        box = (
            VentedBox(volume=volume, Ql=USUAL_LEAKAGE, **tuned)
            if vented
            else SealedBox(volume=volume, Ql=USUAL_LEAKAGE)
        )
        speakers = [Loudspeaker(driver=self._drivers[values[f"driver_{of}"]], box=box, name="woofer", **common)]
        if (fitted := values[f"tweeter_{of}"]) != NO_TWEETER:
            speakers.append(self._with_pad(PADS.get(fitted, 0.0), common))
        return System(channels=(Channel(loudspeakers=tuple(speakers)),))

    def _with_pad(self, pad, common):
        network = in_series(Capacitor(capacitance=CAPACITOR))
        if pad:
            network = network + l_pad(attenuation=pad, impedance=self._tweeter.nominal_resistance)
        return Loudspeaker(driver=self._tweeter, box=InfiniteBaffle(), name="tweeter", network=network, **common)

    def bands(self, music):
        """Return the power of a programme around each frequency, as the ear weighs it. [1]"""
        if music == OWN and self.music is None:
            music = NOISE
        if music not in self._bands:
            played = self.music if music == OWN else programme(music, RATE, COUNT)
            self._bands[music] = weighted_bands(played, RATE, GRID)
        return self._bands[music]

    def curves(self, values):
        """Solve both, and find what is left of their difference."""
        self.heard = {of: solve(self.parts(values, of), GRID, PRINTED_VOLTAGE) for of in (A, B)}
        self.levels = {of: np.asarray(response.treble_level) for of, response in self.heard.items()}
        bands = self.bands(values["music"])
        loud = {of: 10 * np.log10(np.sum(bands * 10 ** (level / 10))) for of, level in self.levels.items()}
        self.louder = float(loud[B] - loud[A])
        self.turned = -self.louder if values["equal"] == LOUDNESS else 0.0
        self.left = self.levels[B] - self.levels[A] + self.turned
        return {A: {"level": self.levels[A]}, B: {"level": self.levels[B]}, "heard": {"heard": self.left}}

    def left_at(self, frequency):
        """Return by how much B is louder than A, as both are heard. [dB]"""
        return float(np.interp(np.log(frequency), np.log(GRID), self.left))

    def answer(self, values):
        """Say what is left to hear."""
        most = int(np.argmax(np.abs(self.left)))
        return Answer(
            headline=self._headline(values),
            facts=(
                Fact(REACHES, {of: facts.reach(response) for of, response in self.heard.items()}),
                Fact(TURNED, {B: _up_or_down(self.turned)}),
                Fact(AT_BASS, {B: _more_or_less(self.left_at(BASS))}),
                Fact(AT_TREBLE, {B: _more_or_less(self.left_at(TREBLE))}),
                Fact(
                    MOST,
                    {B: say("{f}: {d}", f=FREQUENCY(float(GRID[most])), d=_more_or_less(float(self.left[most])))},
                ),
            ),
            details=tuple(self._details(values)),
            conditions=self._conditions(values),
        )

    def _headline(self, values):
        if values["equal"] == SETTING and abs(self.louder) >= HARDLY:
            who = "B sounds louder" if self.louder > 0 else "A sounds louder"
            words = f"At one volume setting {who} by {{by}}: the louder one seems better, whatever it is."
            return say(words, by=LEVEL(abs(self.louder)))
        begins = "Equally loud" if values["equal"] == LOUDNESS else "At one volume setting"
        if np.max(np.abs(self.left)) < HARDLY:
            return say(f"{begins}, the two differ by less than {{least}}: few would hear that.", least=LEVEL(HARDLY))
        bass, treble = self.left_at(BASS), self.left_at(TREBLE)
        words = f"{begins}, B has {{bass}} at {{low}} and {{treble}} at {{high}}."
        return say(
            words,
            bass=_more_or_less(bass),
            treble=_more_or_less(treble),
            low=FREQUENCY(BASS),
            high=FREQUENCY(TREBLE),
        )

    def _details(self, values):
        yield say(
            "Equally loud means: what is played has the same level through both, weighted by the contour of ISO 226 "
            "at 60 phon. At low frequencies the ear is less sensitive, so bass counts less."
        )
        yield say("Through what is played now, B is {louder}, against A, at one setting.", louder=_louder(self.louder))
        if values["music"] == OWN and self.music is None:
            yield say("No file is chosen yet: the numbers hold for noise.")
        yield say(
            "What headphones cannot do: they do not shake your body, and they put the sound in your head, not in a "
            "vehicle. They add their own response, and many are weak below 40 Hz."
        )
        yield say("A woofer without a tweeter has more treble here than a real one: its cone moves as one piece.")
        yield say(
            "Not in the sound: distortion, port noise, what gives first when it is loud, road noise, and resonances of "
            "a cabin."
        )
        yield say(
            "The curves end at 20 Hz and 16 kHz; below, their slope goes on. The phase is the least there can be."
        )

    def _conditions(self, values):
        return say(
            "{a} and {b} with {volts} at 1 m, on axis; A: {where_a}, B: {where_b}. A vented box has a port of 50 cm². "
            "A tweeter stands behind 6.8 µF.",
            a=verbatim(values[f"driver_{A}"]),
            b=verbatim(values[f"driver_{B}"]),
            volts=VOLTAGE(PRINTED_VOLTAGE),
            where_a=verbatim(values[f"cabin_{A}"]),
            where_b=verbatim(values[f"cabin_{B}"]),
        )


def _more_or_less(level):
    return _said(level, "{by} more", "as much", "{by} less")


def _up_or_down(level):
    return _said(level, "up by {by}", "not at all", "down by {by}")


def _louder(level):
    return _said(level, "{by} louder", "as loud", "{by} softer")


def _said(level, above, alike, below):
    """Say a level, or that there is none to speak of. [dB]"""
    if abs(level) < NONE:
        return say(alike)
    return say(above if level > 0 else below, by=LEVEL(abs(level)))
