"""Words and figures as they stand on paper."""

from __future__ import annotations

import re
import unicodedata
from collections import Counter
from collections.abc import Sequence

from limbwright.core.findings import Finding
from limbwright.core.sources import Basis, Source
from limbwright.core.wording import words

NONE = "–"
"""What stands where there is no figure."""
BASIS_WORDS = (
    "Basis: measured on the scan; given in the case; estimated from other figures; guessed by the"
    " program, confirm it; default, a usual figure to be replaced by what you measured or the"
    " part's maker states. The weakest link of each figure is named."
    " A limit in brackets is only what is usual."
)
OFTEN = 3
"""A sentence that this many findings end with is said once below them."""
LONG_PLACE = 40
"""A place of more letters than this stands behind what is said of it."""

_DRAWN = (
    (0x20, 0x7E),
    (0xA1, 0xAC),
    (0xAE, 0x2FF),
    (0x370, 0x482),
    (0x48A, 0x4FF),
    (0x5D0, 0x5EA),
    (0x1E00, 0x1EFF),
    (0x2010, 0x2027),
    (0x2030, 0x203E),
    (0x2070, 0x209C),
    (0x20A0, 0x20BF),
    (0x2190, 0x21FF),
    (0x2200, 0x2246),
    (0x2248, 0x2265),
    (0x2300, 0x2300),
    (0x25A0, 0x25FF),
)
"""Ranges of signs that the typesetter's own fonts draw."""
_HYPHEN_FOR_MINUS = re.compile(r"(?<![\w.)])-(?=\d)")
_SENTENCE_END = re.compile(r"(?<=[.!?]) +")


def number(value: float | None, digits: int = 0) -> str:
    """A number for paper, with a true minus; an en dash where there is none."""
    if value is None:
        return NONE
    text = f"{value:.{digits}f}"
    return text.lstrip("-") if float(text) == 0 else text.replace("-", "−")


def limit_word(finding: Finding) -> str:
    """What a value is held against: a limit, or only what is usual."""
    if finding.usual:
        return "usual from" if finding.at_least else "usual up to"
    return "at least" if finding.at_least else "limit"


def short(value: float | None) -> str:
    """A number to three figures, whole from a hundred on; an en dash where there is none."""
    if value is None:
        return NONE
    size = abs(value)
    digits = 0 if size >= 100 else 1 if size >= 10 else 2
    text = number(value, digits)
    return text.rstrip("0").rstrip(".") if "." in text else text


def unit_word(unit: str) -> str:
    """A unit's sign on paper."""
    return {"deg": "°", "degC": "°C"}.get(unit, unit)


def basis_word(basis: Basis) -> str:
    """What a figure rests on, in one word."""
    return basis.value


def quarter_turns(turns: float) -> str:
    """Turns in words of quarters, for example "1 1/4 turns"."""
    quarters = round(abs(turns) * 4)
    whole, rest = divmod(quarters, 4)
    fraction = ("", "1/4", "1/2", "3/4")[rest]
    words = " ".join(part for part in (str(whole) if whole else "", fraction) if part)
    return f"{words or '0'} turn{'s' if quarters > 4 or not quarters else ''}"


def printable(text: str) -> str:
    """Text as the fonts can draw it.

    Signs that steer the direction or place of text are left out, and a sign that no font draws
    is named by its number: a box would hide what was written, an unseen mark could turn it round.
    """
    composed = unicodedata.normalize("NFC", text)
    return "".join(_drawn(char) for char in composed).strip()


def with_minus(text: str) -> str:
    """Text whose negative numbers bear a true minus."""
    return _HYPHEN_FOR_MINUS.sub("−", text)


def shortened(text: str, length: int) -> str:
    """Text cut to a length, its cut marked."""
    return text if len(text) <= length else text[: length - 1].rstrip() + "…"


def finding_text(finding: Finding) -> str:
    """What a finding says, and where, unless its sentence says that already."""
    text, where = words(finding.text), words(finding.where)
    if where and where.lower() not in text.lower():
        long = len(where) > LONG_PLACE
        text = f"{text} ({where})" if long else f"{where[0].upper()}{where[1:]}: {text}"
    if finding.accepted:
        # Whoever reads the order sees that somebody looked at this, and why it stands.
        text = f"{text} Accepted as it is: {finding.accepted.rstrip('.')}."
    return with_minus(text)


def remedy_text(finding: Finding) -> str:
    """What would change a finding, as one sentence; "" where nothing is known to."""
    return with_minus(f"Would change it: {finding.remedy}.") if finding.remedy else ""


def opening_of(text: str) -> str:
    """The first two sentences of a text that stands in full further on: what it is, and where."""
    return " ".join(_SENTENCE_END.split(text)[:2])


def said_once(texts: Sequence[str]) -> tuple[list[str], dict[str, str]]:
    """Sentences that many texts share, taken out and marked.

    Returns
    -------
    list of str
        The texts, each shared sentence replaced by its mark, as in "[a]".
    dict of mark to sentence
    """
    parts = [_SENTENCE_END.split(text) for text in texts]
    counts = Counter(sentence for sentences in parts for sentence in set(sentences[1:]))
    shared = [sentence for sentence, count in counts.items() if count >= OFTEN]
    marks = {
        sentence: f"[{'abcdefghijklmnopqrstuvwxyz'[n % 26]}]" for n, sentence in enumerate(shared)
    }
    return [_marked(sentences, marks) for sentences in parts], {
        mark: sentence for sentence, mark in marks.items()
    }


class SourceList:
    """Sources in the order in which they are first named, each said once."""

    def __init__(self) -> None:
        self._numbers: dict[str, int] = {}

    def mark(self, source: Source | None) -> str:
        """Number of a source in square brackets; an en dash where there is none."""
        if source is None:
            return NONE
        number = self._numbers.setdefault(str(source), len(self._numbers) + 1)
        return f"[{number}]"

    @property
    def texts(self) -> tuple[str, ...]:
        """The sources, the first number first."""
        return tuple(self._numbers)


def _drawn(char: str) -> str:
    kind = unicodedata.category(char)
    if kind.startswith("Z") or char in "\t\n\r\v\f":
        return " "
    if kind in ("Cc", "Cf"):
        return ""
    code = ord(char)
    if kind != "Cn" and any(low <= code <= high for low, high in _DRAWN):
        return char
    return f"[U+{code:04X}]"


def _marked(sentences: Sequence[str], marks: dict[str, str]) -> str:
    kept = [sentence for sentence in sentences if sentence not in marks]
    return " ".join([*kept, *(marks[sentence] for sentence in sentences if sentence in marks)])
