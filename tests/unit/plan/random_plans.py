"""Random plans as text, small enough to try every order of their stages."""

import numpy as np

DRIVERS = ("165 mm panel", "130 mm step well", "200 mm panel", "120 mm panel", "200 mm step well, tired")
BASS = ("200 mm bass", "250 mm bass", "250 mm shallow bass")
SOURCES = ("head unit of the minibus", "four channels from the stores")
CABIN = '[cabin]\nuse = "small hatchback"\near = ["1.15 m", "0.4 m", "0.9 m"]\n'


def opening(name, place, volume, hole):
    x, y, z = place
    at = f'["{x:.2f} m", "{y:.2f} m", "{z:.2f} m"]'
    return f'[opening.{name}]\nplace = {at}\nvolume = "{volume:.0f} L"\nhole = "{hole:.0f} cm2"\n'


def stage(name, change, after, cost):
    names = ", ".join(f'"{other}"' for other in after)
    return f"[stage.{name}]\nafter = [{names}]\ncost = {cost}\n{change}\n"


def random_plan(seed, stages, cabin=True):
    """Return the text of a plan of some stages, each after up to one earlier one at random."""
    draw = np.random.default_rng(seed)
    pick = draw.choice
    openings = [
        opening("left", (0.7, 0.05, 0.4), draw.uniform(15, 40), draw.uniform(20, 200)),
        opening("right", (0.7, 1.30, 0.4), draw.uniform(15, 40), draw.uniform(20, 200)),
        opening("boot", (2.1, 0.9, 0.2), draw.uniform(20, 60), 0),
    ]
    channels = "".join(
        f'[channel.{name}]\nsource = "{source}"\nfeeds = ["{name}"]\n'
        for name, source in (("left", SOURCES[0]), ("right", SOURCES[0]), ("boot", SOURCES[1]))
    )
    found = pick(DRIVERS)
    have = f'[have]\nleft = "{found}"\nright = "{found}"\n'
    small, bass, corner = pick(DRIVERS), pick(BASS), draw.integers(60, 160)
    changes = {
        "seal": 'set = { left.hole = "0 cm2", right.hole = "0 cm2" }',
        "swap": f'put = {{ left = "{small}", right = "{small}" }}',
        "box": f'put = {{ boot = "{bass}" }}\nfilter = {{ boot = ["low-pass {corner} Hz, 24 dB/octave"] }}',
        "filter": f'filter = {{ left = ["high-pass {corner} Hz, 12 dB/octave"], '
        f'right = ["high-pass {corner} Hz, 12 dB/octave"] }}',
        "power": f'move = {{ left = "{SOURCES[1]}", right = "{SOURCES[1]}" }}',
        "line": 'line = { left = ["1 ohm in series"], right = ["1 ohm in series"] }',
        "shelf": f'filter = {{ left = ["shelf {draw.uniform(-6, 6):.1f} dB below {corner} Hz"] }}',
    }
    names = list(draw.permutation(list(changes)))[:stages]
    told = []
    for number, name in enumerate(names):
        earlier = [str(pick(names[:number]))] if number and draw.random() < 0.4 else []
        told.append(stage(name, changes[name], earlier, int(draw.integers(0, 4)) * 40))
    return "".join([CABIN if cabin else "", *openings, channels, have, *told])
