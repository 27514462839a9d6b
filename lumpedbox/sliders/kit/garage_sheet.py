"""One page of paper to pin over the workbench, and the picture with its title and conditions."""

from __future__ import annotations

import bisect
import itertools
import re

from matplotlib.figure import Figure

from ...figures.cautions import CAUTIONS
from ...units import inch, mm
from .paper import (
    GAP,
    INK,
    SOFT,
    Placed,
    Style,
    balanced,
    beside,
    column_width,
    columns,
    lines,
    paragraph,
    rule,
    space,
    stacked,
    table,
)
from .systems import SYSTEMS

PAPERS = {SYSTEMS[0]: (210 * mm / inch, 297 * mm / inch), SYSTEMS[1]: (8.5, 11.0)}  # A4 and Letter, upright. [inch]
MARGIN = 0.55  # inch
SCALES = (1.0, 0.95, 0.9)  # of the letters, before any of the details is left out
SHRINKS = 0.95  # by this, again and again, where all the rest is still too much for a page
LOW, HIGH = 3.0, 5.4  # inch, of the picture
INVENTED = "invented, for the demonstration"
MORE = "More on the page itself."
SENTENCE = re.compile(r"(?<=[.!?])\s+")


class _Sheet:
    """The blocks of a sheet, with letters of some scale."""

    def __init__(self, taken, scale):
        self.taken, self.scale = taken, scale
        self.said = taken.answer.said(taken.system, taken.start)
        self.width = PAPERS[taken.system][0] - 2 * MARGIN
        self.room = PAPERS[taken.system][1] - 2 * MARGIN
        self.sentences = [
            (number, sentence)
            for number, text in enumerate(self.said["details"])
            for sentence in SENTENCE.split(text.strip())
        ]

    def style(self, size, bold=False, ink=INK):
        return Style(size * self.scale, bold, ink)

    def gap(self):
        return space(0.14 * self.scale)

    def over_the_picture(self):
        """Return the question, the answer, the parts and the facts."""
        question = paragraph(self.taken.question, self.width, self.style(11, ink=SOFT))
        headline = balanced(self.said["headline"], self.width, self.style(16, bold=True))
        return stacked([question, headline, self.gap(), self._parts_and_facts(), self.gap()])

    def _parts_and_facts(self):
        parts = [(label, _marked(text, self.taken.invented)) for label, text in self.taken.parts]
        facts = [(line["name"], *map(_with_was, line["values"])) for line in self.said["facts"]]
        head = ("", *self.said["columns"]) if any(self.said["columns"]) else None
        style = self.style(9.5)
        if not facts or not parts:
            return table(facts or parts, self.width, style, head=head)
        share = 0.4 * self.width
        left, right = table(parts, share - GAP, style), table(facts, self.width - share - GAP, style, head=head)
        return beside([(0.0, left), (share + GAP, right)])

    def caption(self):
        """Return the conditions, and what is invented and not marked among the parts."""
        conditions = [self.said["conditions"], _unmarked(self.taken)]
        return stacked([paragraph(text, self.width, self.style(8.5, ink=SOFT)) for text in conditions if text])

    def feed(self):
        """Return the pieces of a feed in their order, with what to mind at each."""
        if not self.taken.feed:
            return space(0)
        title = paragraph("The feed, piece by piece", self.width, self.style(9.5, bold=True))
        return stacked([self.gap(), title, table(self.taken.feed, self.width, self.style(8.5))])

    def kept(self):
        """Return the facts of what was kept beside those of now, where they differ."""
        if not self.taken.kept:
            return space(0)
        head = ("Kept for comparison", "now", *(name for name, _ in self.taken.kept))
        compared = table(_compared(self.taken), self.width, self.style(8.5), head=head)
        alike = paragraph("All that is not listed here is the same in each.", self.width, self.style(7.5, ink=SOFT))
        return stacked([self.gap(), compared, rule(self.width), alike])

    def details(self, shown):
        """Return so many sentences of the details, and where the rest is."""
        if not self.sentences:
            return space(0)
        style, across = self.style(8.5), column_width(self.width)
        grouped = itertools.groupby(self.sentences[:shown], key=lambda numbered: numbered[0])
        texts = [" ".join(sentence for _, sentence in group) for _, group in grouped]
        texts += [MORE] if shown < len(self.sentences) else []
        broken = [line for text in texts for line in _breakable(lines(text, across, style))]
        title = paragraph("Why, and how sure", self.width, self.style(9.5, bold=True))
        return stacked([self.gap(), title, columns(broken, self.width)])

    def details_within(self, height):
        """Return as many of the details as fit into a height [inch], or where to read them."""
        longer = range(1, len(self.sentences))
        return self.details(bisect.bisect_right(longer, height, key=lambda shown: self.details(shown).height))

    def cautions(self):
        """Return the cautions that apply now, and the usual ones."""
        title = paragraph("Cautions", self.width, self.style(9.5, bold=True))
        now = [paragraph(text, self.width, self.style(8.5, bold=True)) for text in self.said["cautions"]]
        style, bold, across, apart = self.style(7.5), self.style(7.5, bold=True), column_width(self.width), space(0.03)
        label = max(bold.width(topic) for topic in CAUTIONS) + GAP / 2
        usual = []
        for topic, text in CAUTIONS.items():
            hung = [(0.0, paragraph(topic, label, bold)), (label, paragraph(text, across - label, style))]
            usual.append(stacked([beside(hung), apart]))
        return stacked([self.gap(), rule(self.width), title, *now, apart, columns(usual, self.width)])

    def foot(self):
        """Return when it was made, and the way back to the page."""
        style = self.style(7, ink=SOFT)
        made = paragraph(f"Made with lumpedbox on {self.taken.made.isoformat()}.", self.width, style)
        address = self.taken.address
        way = paragraph(f"Open this page again: {address}", self.width, style, link=address) if address else space(0)
        return stacked([space(0.06), made, way])


def _with_was(cell):
    return f"{cell['text']} (was {cell['was']})".strip() if cell["was"] else cell["text"]


def _marked(text, invented):
    return f"{text} ({INVENTED})" if text in invented else text


def _unmarked(taken):
    """Say of invented parts that they are, where they do not stand in the list of parts."""
    listed = {text for _, text in taken.parts}
    return _said_to_be_invented(name for name in taken.invented if name not in listed)


def _said_to_be_invented(names):
    told = ", ".join(names)
    return f"{INVENTED.capitalize()}: {told}." if told else ""


def _compared(taken):
    """Return the rows of facts that are not alike now and in all that was kept."""
    answers = [taken.answer, *(answer for _, answer in taken.kept)]
    told = [
        {(fact.name, column): said.text(taken.system) for fact in answer.facts for column, said in fact.values.items()}
        for answer in answers
    ]
    rows = [
        (f"{name}, {column}" if column else name, *(texts.get((name, column), "") for texts in told))
        for name, column in dict.fromkeys(key for texts in told for key in texts)
    ]
    return [row for row in rows if len(set(row[1:])) > 1]


def _breakable(blocks):
    """Return the lines of a paragraph as they may go on in the next column, never one line alone."""
    if len(blocks) < 4:
        return [stacked([*blocks, space(0.04)])]
    return [stacked(blocks[:2]), *blocks[2:-2], stacked([*blocks[-2:], space(0.04)])]


def _fitted(taken):
    """Return the blocks over the picture, under it and at the foot, small and few enough to leave room for it."""
    for scale in itertools.chain(SCALES, (SCALES[-1] * SHRINKS**n for n in itertools.count(1))):
        sheet = _Sheet(taken, scale)
        over, kept = sheet.over_the_picture(), sheet.kept()
        caption = stacked([sheet.caption(), sheet.feed()])
        foot = stacked([sheet.cautions(), sheet.foot()])
        spare = sheet.room - LOW * scale - sum(block.height for block in (over, caption, kept, foot))
        details = sheet.details(len(sheet.sentences))
        if details.height > spare and scale <= SCALES[-1]:
            details = sheet.details_within(spare)
        if details.height <= spare:
            return over, stacked([caption, kept, details]), foot
    return None


def sheet(taken):
    """Return one page of paper as a figure.

    Parameters
    ----------
    taken : Taken

    Returns
    -------
    matplotlib.figure.Figure
    """
    width, height = PAPERS[taken.system]
    over, under, foot = _fitted(taken)
    high = min(HIGH, height - 2 * MARGIN - over.height - under.height - foot.height)
    page = Figure(figsize=(width, height))
    top = MARGIN + over.height
    _draw(page, over, MARGIN, MARGIN, order=1)
    page.add_artist(Placed(taken.figure(width - 2 * MARGIN, high), MARGIN, height - top - high, order=2))
    _draw(page, under, MARGIN, top + high, order=3)
    _draw(page, foot, MARGIN, height - MARGIN - foot.height, order=3)
    return page


def titled(taken, width=8.2, high=5.0):
    """Return the picture as a figure, with the question over it and its conditions under it.

    Parameters
    ----------
    taken : Taken
    width, high : float
        Of the picture alone. [inch]

    Returns
    -------
    matplotlib.figure.Figure
    """
    edge, across = 0.12, width - 0.24
    over = paragraph(taken.question, across, Style(11, bold=True))
    said = [taken.answer.conditions.text(taken.system), _said_to_be_invented(taken.invented)]
    under = stacked([paragraph(text, across, Style(8, ink=SOFT)) for text in said if text])
    page = Figure(figsize=(width, 3 * edge + over.height + high + under.height))
    _draw(page, over, edge, edge, order=1)
    page.add_artist(Placed(taken.figure(width, high), 0.0, 2 * edge + under.height, order=2))
    _draw(page, under, edge, page.get_figheight() - edge - under.height, order=3)
    return page


def _draw(page, block, x, y, order):
    for mark in block.at(x, y):
        mark.draw_on(page, order)
