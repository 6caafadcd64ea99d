"""A mark in another form than the house prints."""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from fnmatch import fnmatchcase
from typing import Annotated

from rules.check.rule import Concern, Finding, Outcome, Rule, Scope, Severity
from rules.plan.plan import Plan

WHY = """A house prints a thing one way: the open string as 0 or as a sign, strings as numerals or as sul G, positions
in one language and one abbreviation. What comes in from other editions and programs is made alike before it is
printed, since two forms on one page look like two meanings."""


class OpenSign(StrEnum):
    """How an open string is printed."""

    ANY = "any"
    NOUGHT = "0"
    LETTER = "o"
    SIGN = "open-string"


class StringForm(StrEnum):
    """How a string is printed."""

    ANY = "any"
    NUMERAL = "numeral"
    WORDS = "words"
    NUMBER = "number"


@dataclass(frozen=True, slots=True)
class Options:
    """What the house prints; as they come, every form will do."""

    open_string: Annotated[OpenSign, "how open strings are printed: any, 0, o, open-string (the sign)"] = OpenSign.ANY
    strings: Annotated[StringForm, "how strings are printed: any, numeral, words (sul G), number"] = StringForm.ANY
    position_words: Annotated[tuple[str, ...], "forms of position words, # for the number; none: any"] = ()
    languages: Annotated[tuple[str, ...], "languages of words: en, de, fr, it, es; none: any"] = ()


def check(plan: Plan, options: Options) -> Iterator[Finding]:
    """Report signs of open strings, forms of strings and words that the house does not print."""
    for index, event in enumerate(plan.passage.events):
        for note in event.notes:
            pitch = note.pitch.name
            for sign in note.printed.signs:
                if options.open_string not in (OpenSign.ANY, sign):
                    yield RULE.found("open-string", plan, index, pitch=pitch, sign=sign, house=options.open_string)
            if note.printed.strings and options.strings not in (StringForm.ANY, StringForm.NUMBER):
                yield RULE.found("string", plan, index, form=StringForm.NUMBER.value, house=options.strings)
    for index, text in _words(plan):
        yield from _in_words(plan, index, text, options)


def _words(plan: Plan) -> Iterator[tuple[int, str]]:
    """Printed words with the event at which they stand, as far as a string or a position is meant there."""
    events = plan.passage.events
    onsets = [event.onset for event in events]
    for words in plan.passage.words:
        index = bisect_left(onsets, words.onset)
        if index < len(events) and (events[index].string is not None or events[index].position is not None):
            yield index, words.text


def _in_words(plan: Plan, index: int, text: str, options: Options) -> Iterator[Finding]:
    event = plan.event(index)
    languages = _languages(text)
    if event.string is not None and not _POSITION.search(text):
        form = StringForm.NUMERAL if _NUMERAL.fullmatch(text) else StringForm.WORDS if languages else None
        if form is not None and options.strings not in (StringForm.ANY, form):
            yield RULE.found("string", plan, index, form=form.value, house=options.strings)
    elif event.position is not None and _POSITION.search(text) and options.position_words:
        shape = _shape(text)
        if not any(fnmatchcase(shape, form) for form in options.position_words):
            house = " or ".join(options.position_words)
            yield RULE.found("position-words", plan, index, words=text, house=house)
    if options.languages and languages and not languages & set(options.languages):
        yield RULE.found("language", plan, index, words=text, house=", ".join(options.languages))


_NUMERAL = re.compile(r"\W*(?:I{1,3}|IV)\W*")
_POSITION = re.compile(r"pos|lage|position", re.IGNORECASE)
_NUMBER = re.compile(r"\b(?:[IVX]+|\d+)(?:st|nd|rd|th|ème|eme|e|a|ª)?", re.IGNORECASE)
_LANGUAGES = (
    ("en", re.compile(r"\d+(?:st|nd|rd|th)\b|\b(?:first|second|third|fourth|fifth|string|position|on the)\b", re.I)),
    ("de", re.compile(r"\b(?:\w*lage|\w*saite|auf der)\b", re.I)),
    ("fr", re.compile(r"\d+(?:e|ème|eme)\b|\b(?:position|corde|sur|première|deuxième|troisième)\b", re.I)),
    ("it", re.compile(r"\d+[aª](?!\w)|\b(?:posizione|posiz|corda|sul\w*|prima|seconda|terza|quarta|quinta)\b", re.I)),
    ("es", re.compile(r"\d+\.?ª(?!\w)|\b(?:posición|cuerda|media|primera|segunda|tercera|cuarta|quinta)\b", re.I)),
)


def _languages(text: str) -> set[str]:
    """The languages that words may be in; "sul G" is the Italian of every edition and so counts as any."""
    if re.match(r"\W*sul", text, re.IGNORECASE):
        return {name for name, _ in _LANGUAGES}
    return {name for name, pattern in _LANGUAGES if pattern.search(text)}


def _shape(text: str) -> str:
    """The words with # for their number: "3rd pos." and "III. Lage" become "# pos." and "#. Lage"."""
    return _NUMBER.sub("#", " ".join(text.split()), count=1)


RULE = Rule(
    id="house-convention",
    title="A mark is printed in another form than the house's",
    rationale=WHY,
    scope=Scope.PRINTED,
    options=Options(),
    check=check,
    unseen="it says nothing before a house names its forms",
    outcomes={
        "open-string": Outcome(
            "the open string on $pitch is printed as $sign, the house prints $house", Severity.WARNING, Concern.LEVEL
        ),
        "string": Outcome("a string is printed as $form, the house prints $house", Severity.WARNING, Concern.LEVEL),
        "position-words": Outcome('"$words" is not how the house prints it: $house', Severity.WARNING, Concern.LEVEL),
        "language": Outcome(
            '"$words" is in another language than the house prints: $house', Severity.WARNING, Concern.LEVEL
        ),
    },
)
