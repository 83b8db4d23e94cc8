"""The words of letters as the browser reads them: one form for a word, phrases as slots.

`site_src/assets/letter_words.js` cuts the words of a letter in the same way; a test holds
the two equal. A phrase is written in plain words; "a/b" lets either stand, and a "no" of
any kind is the word `not`.
"""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

PLURAL = re.compile(r"(?:ss|x|zz|ch|sh)es$")
SINGULAR = re.compile(r"[^siu]s$")
BARE = re.compile(r"^(.*[aeiouy].*)(?:ing|ed)$")
DOUBLED = re.compile(r"([bdfgmnprtv])\1$")
# After -ed and -ing: scrap(ing) is scrape, riddl(ed) is riddle, glu(ed) is glue.
MUTE = re.compile(r"^[^aeiouy]*[aeiouy][^aeiouwxy]$|[bcdfgkptz]l$|[uvz]$")
POSSESSIVE = re.compile(r"'s?$")
WORD = re.compile(r"[^\W_]+(?:'[^\W\d_]+)?(?:/[^\W_]+(?:'[^\W\d_]+)?)*")
NEGATIVE = "not"

Slot = tuple[str, ...]
Phrase = tuple[Slot, ...]


def stem(word: str) -> str:
    """Cut a word to the form it shares with its plural, its -ed and its -ing."""
    cut = POSSESSIVE.sub("", word).replace("'", "")
    if len(cut) <= 3:
        return cut
    if len(cut) > 4 and cut.endswith("ies"):
        cut = cut[:-3] + "y"
    elif PLURAL.search(cut):
        cut = cut[:-2]
    elif SINGULAR.search(cut):
        cut = cut[:-1]
    match = BARE.match(cut)
    if not match or len(match[1]) < 3:
        return cut
    bare = match[1]
    if DOUBLED.search(bare):
        return bare[:-1]
    return f"{bare}e" if MUTE.search(bare) else bare


@dataclass(frozen=True, kw_only=True, slots=True)
class Reading:
    """How words are brought to one form: words/reading.yaml, made ready."""

    same: Mapping[str, str]  # a word or its stem -> the word it is read as
    small: frozenset[str]
    joined: frozenset[str]  # "leaf roller"
    data: Mapping[str, Any] = field(default_factory=dict)

    def canonical(self, word: str) -> str:
        """Give the one form of a word that is spelt right."""
        if word.endswith("n't"):
            return NEGATIVE
        cut = stem(word)
        return self.same.get(word) or self.same.get(cut) or cut

    def phrase(self, text: str) -> Phrase:
        """Cut a phrase into its slots; empty if nothing in it could tell a thing."""
        slots = []
        for written in self._joined(WORD.findall(text.lower().replace("’", "'"))):
            words = [it for it in written.split("/") if not self._is_small(it)]
            if words:
                slots.append(tuple(sorted({self.canonical(it) for it in words})))
        return tuple(slots)

    def _is_small(self, word: str) -> bool:
        return word in self.small and self.canonical(word) != NEGATIVE

    def _joined(self, words: list[str]) -> Iterator[str]:
        at = 0
        while at < len(words):
            pair = " ".join(words[at : at + 2])
            together = pair in self.joined or pair.removesuffix("s") in self.joined
            one = pair if pair in self.joined else pair.removesuffix("s")
            yield one.replace(" ", "") if together else words[at]
            at += 2 if together else 1


def reading_of(data: Mapping[str, Any], names: Iterable[str] = ()) -> Reading:
    """Make words/reading.yaml ready; the plant's own names are small words."""
    said = [(it, stem(head)) for head, all_ in data["same"].items() for it in (head, *all_)]
    # A word as it is written goes before one that only shares its stem.
    same = {stem(word): head for word, head in said} | dict(said)
    return Reading(
        same=same,
        small=frozenset((*data["small"], *(it.lower() for it in names))),
        joined=frozenset(data["joined"]),
        data=data,
    )


def written(phrases: Iterable[Phrase]) -> str:
    """Write phrases in the form the browser reads, each once."""
    return "|".join(
        dict.fromkeys(
            " ".join("/".join(slot) for slot in phrase) for phrase in phrases if phrase
        )
    )


def words_of(phrases: Iterable[Phrase]) -> set[str]:
    """Name every word that some phrase holds."""
    return {word for phrase in phrases for slot in phrase for word in slot}
