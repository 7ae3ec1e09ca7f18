"""Words about other clients, and how they are found in a text whatever their case, accents, spaces and punctuation.

A word is the name of a client or a system. A phrase is a free text from somebody else's row.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterable, Iterator

SHORTEST = 3  # letters or digits of a name that is no chance hit; 2 where a script writes words with so few
LONG = 8  # from here on a name is found inside longer words too
_ACCENTS = re.compile("[\u0300-\u036f]")
_APART = re.compile(r"(?:[^\w\ue000]|_)+")
_BETWEEN = "\ue000"  # stands between texts that are searched together, so that no name is found across them
_BOUND = "[^\\s\u0590-\U0010ffff]"  # a letter or digit of a script that parts words by blanks
_QUOTES = str.maketrans({"’": "'", "‘": "'", "`": "'", "´": "'", "“": '"', "”": '"', "–": "-", "—": "-"})


def folded(name: object) -> str:
    """A name for comparing with another: without case and outer or double blanks, quotes and dashes of one kind."""
    text = f"{name:.15g}" if isinstance(name, float) else str(name if name is not None else "")
    return " ".join(unicodedata.normalize("NFKC", text).translate(_QUOTES).split()).casefold()


def plain(text: str) -> str:
    """A text for searching: letters and digits alone, without case and accents, a blank for whatever stands between."""
    text = text.casefold()
    if not text.isascii():
        text = _ACCENTS.sub("", unicodedata.normalize("NFKD", text)).casefold()
    return _APART.sub(" ", text).strip()


def together(texts: Iterable[str]) -> str:
    """Many texts as one, to be searched at once."""
    return _BETWEEN.join(texts)


class Words:
    """What must not be found in a client's copy."""

    def __init__(self, others: Iterable[str], own: Iterable[str], labels: Callable[[], str] = str) -> None:
        """Get ready to search.

        Parameters
        ----------
        others : names of other clients and of systems that are not the client's.
        own : the client's names; another name within one of them is not searched for there.
        labels : returns all texts of the blank workbook; called when a name may be one of its ordinary labels.
        """
        self._own = {plain(name) for name in own} - {""}
        self._labels = labels
        self._label_text: str | None = None
        names = {plain(name): name for name in others if plain(name)}
        self.passed_over = {name for text, name in names.items() if text in self._own or not _distinct(text)}
        self._shown = names
        self._patterns = {text: _pattern(text) for text, name in names.items() if name not in self.passed_over}
        self._phrases: set[str] = set()
        own_tokens = {token for name in self._own for token in name.split(" ")}
        self._pieces = {token for text in self._patterns for token in text.split(" ")
                        if token not in own_tokens and len(token) > SHORTEST and not token.isdigit()}

    def add_phrases(self, texts: Iterable[str], own_texts: Iterable[str]) -> None:
        """Free texts from others' rows, to be searched for too, except short ones and those that the client has."""
        own = plain(together(own_texts))
        self._phrases |= {text for text in map(plain, texts) if len(text) > LONG and " " in text and text not in own}

    def found(self, text: str) -> str:
        """The first name or phrase that is found in a text, or nothing."""
        return next(self._all(text, phrases=True), "")

    def named(self, text: str) -> str:
        """The first name that is found in a text, or nothing; phrases do not count."""
        return next(self._all(text, phrases=False), "")

    def found_long(self, text: str, least: int) -> str:
        """The first name or phrase of at least so many letters that is found in a text, or nothing."""
        return next((word for word in self._all(text, phrases=True) if len(plain(word).replace(" ", "")) >= least), "")

    def hinted(self, text: str) -> bool:
        """Whether a text has a word that is part of somebody else's name and not an ordinary word."""
        simple = f" {plain(text)}"
        for piece in [piece for piece in self._pieces if f" {piece}" in simple]:
            if not self.is_label(piece):
                return True
            self._pieces.discard(piece)
        return False

    def _all(self, text: str, *, phrases: bool) -> Iterator[str]:
        if not text:
            return
        simple = plain(text)
        for word, (start, pattern) in list(self._patterns.items()):
            if start in simple and self._stands_alone(word, pattern, simple) and not self._is_label(word):
                yield self._shown[word]
        for phrase in sorted(self._phrases) if phrases else ():
            if phrase in simple and not self._is_label(phrase):
                yield phrase

    def _stands_alone(self, word: str, pattern: re.Pattern[str], text: str) -> bool:
        """Whether it occurs elsewhere than within a name of the client's own."""
        longer = [_pattern(own)[1] for own in self._own if word != own and word in own]
        covered = [match.span() for own in longer for match in own.finditer(text)]
        return any(not any(start <= match.start() and match.end() <= end for start, end in covered)
                   for match in pattern.finditer(text))

    def is_label(self, text: str) -> bool:
        """Whether the blank workbook has that text somewhere, so that it may mean nobody."""
        if self._label_text is None:
            self._label_text = plain(self._labels())
        return bool(plain(text)) and bool(_pattern(plain(text))[1].search(self._label_text))

    def _is_label(self, word: str) -> bool:
        if not self.is_label(word):
            return False
        self._phrases.discard(word)
        if self._patterns.pop(word, None):
            self.passed_over.add(self._shown[word])
        return True


def _distinct(text: str) -> bool:
    letters = text.replace(" ", "")
    return len(letters) >= SHORTEST or (len(letters) > 1 and all(letter >= "\u0590" for letter in letters))


def _pattern(text: str) -> tuple[str, re.Pattern[str]]:
    """The first word of a name, for a quick look, and the pattern of the whole."""
    tokens = text.split(" ")
    long = len(text.replace(" ", "")) >= LONG
    before, after = (_edge(letter, long) for letter in (tokens[0][0], tokens[-1][-1]))
    whole = " ?".join(map(re.escape, tokens))
    return tokens[0], re.compile((f"(?<!{before})" if before else "") + whole + (f"(?!{after})" if after else ""))


def _edge(letter: str, long: bool) -> str:
    """What must not stand beside that letter or digit of a name."""
    if letter.isdigit():
        return "[0-9]" if long else _BOUND
    return "" if long or letter >= "\u0590" else _BOUND
