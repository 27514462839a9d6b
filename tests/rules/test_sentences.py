"""Words as to a friend in the garage: no sentence over 25 words, and none that sounds translated.

The check reads the public docstrings and all other texts of the package, and the words and texts of the notebooks. Of a
text that is put together at run time it sees the pieces.
"""

import ast
import functools
import inspect
import json
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
LONGEST = 25  # words of a sentence

# What sounds translated, and what to say instead.
TRANSLATED = {
    r"\bhumps?\b": "peak",
    r"\bsag(s|ged|ging)?\b": "droop",
    r"\breckon(s|ed|ing)?\b": "take as, work out, count",
    r"(?<!there )\b(is|are|was|were) no (family|logarithm|number|polynomial|port|power|sequence|such|unit|voltage)\b": (
        "is not a ..."
    ),
    r"\bwho (asks|comes|wants?|wishes) to\b|\b(as|by|for|of|than|with) who\b": "anyone who, whoever",
    r"\b(called|made|named|call \w+ of them) otherwise\b": "differently, by another name",
    r"\bhow (it|they) (is|are) called\b": "what it is called",
    r"\bhangs? (behind|from|on)\b": "is connected to, depends on",
    r"\bbehind (a|its|the) (=|first|headings?|last|name|number|seed)": "after, below",
    r"\bhalf of the power\b.*\b(is|was) left\b|\b(is|was) half of the power left\b": "3 dB down, f3",
    r"\b(after|at|by|for|gives?|in) some \d": "about",
    r"\bsettles? (a|no|one|the) (driver|part)\b": "is enough to work out a driver",
    r"\b(go|goes) together to no\b": "no ... has",
    r"\bstands? twice\b": "appears twice",
    r"\bstands? [+-]?\d[\d.]* dB\b": "is ... dB above",
    r"\bparted by\b": "separated by",
    r"\bkeeps? (it|them|this) from being\b": "say what would happen instead: a bigger box would ...",
    r"\bwhat keeps\b.*\bis (a|the)\b": "say what to do: to keep ..., set ...",
    r"\b(has|have) it (above|at|below)\b": "applies at",
    r"\bmay be had\b": "you can get",
    r"\bpassed over\b": "ignored",
    r"\bof (a|one) watt\b": "for a watt, from a watt",
    r"\bso many times the\b": "multiplied by, a multiple of",
}

IN_LISTS = {"Attributes", "Parameters", "Raises", "Returns", "Warns", "Yields"}  # sections of names and their words
NO_SENTENCES = {"Examples", "References"}
EQUATION = re.compile(r"^( *)\.\. math::.*\n?(\1 +.*\n?|\n)*", re.MULTILINE)
CODE = re.compile(r"```.*?```|``.*?``|`[^`]*`|:math:`[^`]*`|\$\$.*?\$\$|\$[^$]*\$", re.DOTALL)
LINK = re.compile(r"\[([^\]]*)\]\([^)]*\)")
SKIPPED = re.compile(r"<[^>]*>|\[[^\[\]]*\]|\*+|\b_|_\b")  # tags, units in brackets, marks of stress
UNIT = (
    r"(dB/octave|dB|[kmu]?Hz|[cmk]?m[23²³]?|[kmu]?W|m?V|[uµm]?F|[um]?H|m?s|ohm|k?g|litres?|volts?|watts?|L|K|Pa|°C|%)"
)
QUANTITY = re.compile(rf"(\d[\d.,]*) {UNIT}(?![\w/])")
ITEM = re.compile(r"^\s*([*-]|\d+\.|#+|\|[-| ]*\|$)\s+", re.MULTILINE)  # of a list or a table, or a heading
END = re.compile(r"(?<!\b[A-PR-Z])(?<!\.[a-z])(?<=[.!?])[\"')]*\s+(?=\(?[\"'A-Z\d])")  # but for R. H. and r.m.s.
PROGRAM = re.compile(r"[{}]\s*$|;\s*\n|^\s*(import|from) |=>|\\[dsw(]", re.MULTILINE)


def paragraphs(text):
    """Return the paragraphs, headings, items and cells of a text in words; code and formulas become a word each."""
    in_words = LINK.sub(r"\1", CODE.sub("Xx", text))
    return [SKIPPED.sub("", one) for one in re.split(r"\n\s*\n|\|", ITEM.sub("\n\n", in_words))]


def sentences(paragraph):
    return END.split(" ".join(paragraph.split()))


def words(sentence):
    """Count words; a number alone is none, and a number with its unit is one."""
    return sum(bool(re.search(r"[^\W\d_]", word)) for word in QUANTITY.sub(r"\1\2", sentence).split())


def prose(docstring):
    """Return a docstring without equations, names of parameters, sources and examples."""
    lines, kept, section = EQUATION.sub("\n", inspect.cleandoc(docstring)).split("\n"), [], ""
    for line, below in zip(lines, [*lines[1:], ""], strict=True):
        if re.fullmatch(r"-{3,}", below):
            section = line
        elif section not in NO_SENTENCES and not re.fullmatch(r"-{3,}", line):
            kept.append("" if section in IN_LISTS and line[:1] not in ("", " ") else line)
    return "\n".join(kept)


def docstrings(tree):
    """Yield (line, text) of the docstrings of a module and of what is public in it."""
    for node in ast.walk(tree):
        if isinstance(node, (ast.Module, ast.ClassDef, ast.FunctionDef)):
            text = ast.get_docstring(node, clean=False)
            if text and not getattr(node, "name", "").startswith("_"):
                yield node.body[0].lineno, prose(text)


def is_string(node):
    return isinstance(node, ast.Constant) and isinstance(node.value, str)


def filled(node):
    """Return the text of an f-string: a number for what has a format, else a word."""
    return "".join(part.value if is_string(part) else "1" if part.format_spec else "Xx" for part in node.values)


def strings(node):
    """Yield (line, text) of every string that is not a docstring."""
    children = ast.iter_child_nodes(node)
    if isinstance(node, ast.JoinedStr):
        yield node.lineno, filled(node)
        children = [part.value for part in node.values if not is_string(part)]
    elif is_string(node):
        yield node.lineno, node.value
    for child in children:
        if not (isinstance(child, ast.Expr) and is_string(child.value)):
            yield from strings(child)


def of_python(source):
    """Return (line, text) of all that a module says; a string without a blank is a key, and some are programs."""
    tree = ast.parse(source)
    texts = [(line, text) for line, text in strings(tree) if " " in text.strip() and not PROGRAM.search(text)]
    return [*docstrings(tree), *texts]


def of_notebook(source):
    """Return (cell, text) of all that a notebook says."""
    found = []
    for number, cell in enumerate(json.loads(source)["cells"], start=1):
        text = "".join(cell["source"])
        texts = [text] if cell["cell_type"] == "markdown" else [one for _, one in of_python(text)]
        found += [(f"cell {number}", one) for one in texts]
    return found


def faults(texts):
    """Return the sentences that are too long, and the phrases that sound translated, of some (place, text)."""
    long, translated = [], []
    for place, text in texts:
        for sentence in (one for paragraph in paragraphs(text) for one in sentences(paragraph)):
            if words(sentence) > LONGEST:
                long.append(f"{place}: {words(sentence)} words: {sentence}")
            for phrase, better in TRANSLATED.items():
                found = re.finditer(phrase, sentence, re.IGNORECASE)
                translated += [f"{place}: {match[0]!r} (rather: {better}): {sentence}" for match in found]
    return long, translated


@functools.cache
def by_file():
    """Return the faults by file."""
    modules = [path for path in sorted((ROOT / "lumpedbox").rglob("*.py")) if "_shipped" not in path.parts]
    read = dict.fromkeys(modules, of_python) | dict.fromkeys(sorted((ROOT / "notebooks").glob("*.ipynb")), of_notebook)
    return {str(path.relative_to(ROOT)): faults(of(path.read_text(encoding="utf-8"))) for path, of in read.items()}


@pytest.mark.parametrize("kind", [0, 1], ids=["25 words", "English"])
def test_sentences_are_short_and_english(kind):
    assert [f"{name}, {fault}" for name, found in by_file().items() for fault in found[kind]] == []


LONG = "so " * 24 + "it goes"


@pytest.mark.parametrize(
    ("text", "long"),
    [
        (f"{LONG}.", 1),
        (f"{LONG}. It goes on. {LONG}.", 2),
        (f"{LONG[3:]} 2.83 V 20 {'5 ' * 9}.", 1),
        (f"{LONG[3:]} 7 20 30.", 0),
        (f"{'so ' * 12}it goes. {'So ' * 12}it goes.", 0),
        (f"* {'so ' * 20}\n* {'so ' * 20}", 0),
        (f"`{LONG}` and ${LONG}$", 0),
    ],
)
def test_a_long_sentence_would_be_found(text, long):
    assert len(faults([(1, text)])[0]) == long


def test_a_docstring_is_read_without_what_is_not_a_sentence():
    text = (
        f"Do it.\n\n.. math:: {LONG}\n   {LONG}\n\nParameters\n----------\n{LONG} : float\n    Length. [m]\n\n"
        f"Notes\n-----\nSaid.\n\nReferences\n----------\n{LONG}\n\nExamples\n--------\n>>> {LONG}\n"
    )
    assert " ".join(prose(text).split()) == "Do it. Length. [m] Said."


@pytest.mark.parametrize(
    ("source", "long"),
    [
        (f'"""{LONG}"""', 1),
        (f'def f():\n    """{LONG}"""', 1),
        (f'def _f():\n    """{LONG}"""', 0),
        (f'raise ValueError("{LONG}")', 1),
        (f'raise ValueError(f"{{a}} {LONG[3:]} {{b:g}}")', 1),
        (f'raise ValueError(f"{LONG[3:]} {{b:g}}")', 0),
        (f'Slider(label="{LONG}")', 1),
    ],
)
def test_a_long_sentence_of_a_module_would_be_found(source, long):
    assert len(faults(of_python(source))[0]) == long


def test_a_notebook_would_be_read():
    cells = [{"cell_type": "markdown", "source": ["A hump. "]}, {"cell_type": "code", "source": ["ask('a sag here')"]}]
    assert [fault[:6] for fault in faults(of_notebook(json.dumps({"cells": cells})))[1]] == ["cell 1", "cell 2"]


@pytest.mark.parametrize(
    "phrase",
    [
        "a hump of 2 dB",
        "the level sags",
        "half of the power is left at 61 Hz",
        "Where is half of the power left?",
        "Nothing keeps it from being better",
        "What keeps the cone within its travel is a high-pass",
        "800 to 8000 Hz stand +0.5 dB against 100 Hz",
        "Which limit has it at 40 Hz?",
        "the guide for who wants to change it",
        "one watt is reckoned into Re",
        "with a broken n it is no polynomial",
        "this does not settle a driver",
        "there is no value behind the = here",
        "the same driver made otherwise",
    ],
)
def test_a_phrase_that_sounds_translated_would_be_found(phrase):
    assert len(faults([(1, phrase)])[1]) >= 1


@pytest.mark.parametrize("phrase", ["There is no such file.", "It is no longer there.", "behind the cone", "otherwise"])
def test_plain_english_is_left_alone(phrase):
    assert faults([(1, phrase)]) == ([], [])
