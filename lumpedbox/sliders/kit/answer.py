"""What a page answers: data that is put into words last, in the reader's units."""

from __future__ import annotations

from dataclasses import dataclass, field

from .systems import SYSTEMS
from .words import as_html

ONLY = ""  # the name of the column where there is but one
AT_A_GLANCE = 60  # words of headline and facts together, as they stand between spaces (ours)


@dataclass(frozen=True, slots=True)
class Said:
    """Words with numbers in them.

    Attributes
    ----------
    words : str
        With the names of the numbers in braces.
    numbers : dict
        Name: Number, or another `Said`.
    """

    words: str
    numbers: dict = field(default_factory=dict)

    def text(self, system):
        """Return the words in a system of units."""
        return self.words.format(**{name: number.text(system) for name, number in self.numbers.items()})

    def __str__(self):
        """Return the words in metric units."""
        return self.text(SYSTEMS[0])

    def in_both(self):
        """Return the words with each number in both systems of units, where these differ."""
        texts = {name: (number.text(system) for system in SYSTEMS) for name, number in self.numbers.items()}
        return self.words.format(**{name: " or ".join(dict.fromkeys(both)) for name, both in texts.items()})

    def __getitem__(self, name):
        """Return a number. [SI]"""
        return self.numbers[name].value


def say(words, **numbers):
    """Return words with the numbers that stand in them by name, in braces."""
    return Said(words, numbers)


def verbatim(text):
    """Return a text as it stands, such as a part's name: braces in it are only braces."""
    return Said(text.replace("{", "{{").replace("}", "}}"))


@dataclass(frozen=True, slots=True)
class Fact:
    """One line of the table under the picture.

    Attributes
    ----------
    name : str
        In plain words.
    values : dict
        Column: Said; a column is what the value is of, such as "sealed", or `ONLY`.
    """

    name: str
    values: dict

    def __getitem__(self, column):
        return self.values[column]


def fact(name, words, **numbers):
    """Return a fact of a table that has but one column."""
    return Fact(name, {ONLY: say(words, **numbers)})


@dataclass(frozen=True, slots=True)
class Answer:
    """What a page answers to its question.

    Attributes
    ----------
    headline : Said
        One sentence of at most 20 words: what to do, or what happens.
    facts : tuple of Fact
        At most six.
    details : tuple of Said
        Why, and how sure: a short paragraph each.
    conditions : Said
        For what all this is computed.
    cautions : tuple of Said
        Those that apply now.
    """

    headline: Said
    facts: tuple = ()
    details: tuple = ()
    conditions: Said = Said("")
    cautions: tuple = ()

    def __getitem__(self, name):
        """Return the fact of a name."""
        return next(fact for fact in self.facts if fact.name == name)

    @property
    def columns(self):
        """The columns of the facts, in their order."""
        return tuple(dict.fromkeys(column for fact in self.facts for column in fact.values))

    def said(self, system, start=None):
        """Return it in words, for a page.

        Parameters
        ----------
        system : str
        start : Answer, optional
            What it was at the start: a fact tells that too where it differs; the details tell it where that is much.

        Returns
        -------
        dict
        """

        def texts(paragraphs):
            return [paragraph.text(system) for paragraph in paragraphs]

        said = {
            "headline": self.headline.text(system),
            "columns": list(self.columns),
            "facts": [self._line(fact, system, start) for fact in self.facts],
            "details": texts(self.details),
            "conditions": self.conditions.text(system),
            "cautions": texts(self.cautions),
        }
        return _at_a_glance(said)

    def _line(self, fact, system, start):
        before = {old.name: old.values for old in start.facts}.get(fact.name, {}) if start else {}
        cells = [_cell(fact.values.get(column), before.get(column), system) for column in self.columns]
        return {"name": fact.name, "values": cells}

    def __str__(self):
        """Return the headline and the facts as lines of text, in metric units."""
        said = self.said(SYSTEMS[0])
        lines = [said["headline"]]
        for line in said["facts"]:
            cells = zip(said["columns"], line["values"], strict=True)
            told = ", ".join(f"{column} {cell['text']}".strip() for column, cell in cells if cell["text"])
            lines.append(f"  {line['name']}: {told}")
        return "\n".join(lines)

    def _repr_html_(self):
        said = self.said(SYSTEMS[0])
        heads = "".join(f"<th>{as_html(column)}</th>" for column in ("", *said["columns"]))
        rows = "".join(
            f"<tr><th>{as_html(line['name'])}</th>"
            + "".join(f"<td>{as_html(cell['text'])}</td>" for cell in line["values"])
            + "</tr>"
            for line in said["facts"]
        )
        return f"<p><b>{as_html(said['headline'])}</b></p><table><tr>{heads}</tr>{rows}</table>"


def _cell(now, before, system):
    text = now.text(system) if now else ""
    was = before.text(system) if before and now else text
    return {"text": text, "was": was if was != text else ""}


def words_at_a_glance(said):
    """Return how many words stand unfolded in what `Answer.said` returned, cautions and what "was" aside."""
    texts = [said["headline"], *said["columns"], *(line["name"] for line in said["facts"])]
    texts += [cell["text"] for line in said["facts"] for cell in line["values"]]
    return sum(len(text.split()) for text in texts)


def _at_a_glance(said):
    """Fold what is too much to read at once: the last of the facts."""
    kept, folded = list(said["facts"]), []
    while words_at_a_glance(said | {"facts": kept}) > AT_A_GLANCE and len(kept) > 1:
        folded = [kept.pop(), *folded]
    return said | {"facts": kept, "details": [*_told(said["columns"], folded), *said["details"]]}


def _told(columns, lines):
    """Return a paragraph for each line of facts that holds something: a sentence for each column."""
    told = []
    for line in lines:
        cells = [(column, cell) for column, cell in zip(columns, line["values"], strict=True) if cell["text"]]
        before = [f" (was {cell['was']})" if cell["was"] else "" for _, cell in cells]
        heads = [", ".join(filter(None, (line["name"], column))) for column, _ in cells]
        texts = zip(heads, (cell["text"] for _, cell in cells), before, strict=True)
        told.append(" ".join(f"{head}: {text}{was}." for head, text, was in texts))
    return [text for text in told if text]
