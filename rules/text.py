"""English texts that keep how they were made, so that they can be said in another language.

A `Text` is read as plain English everywhere. Its template is the key in the catalogues of the service, and its parts
are put in anew there, in that language: texts, numbers, and names of notes, strings and keys (`Name`).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping


class Name(str):
    """The English name of a thing (a pitch, a key), and the thing itself."""

    of: object

    @classmethod
    def for_thing(cls, english: str, of: object) -> Name:
        """Return the name of a thing."""
        name = cls(english)
        name.of = of
        return name


class Text(str):
    """English text with its template and parts.

    Attributes:
        template: the English sentence with placeholders such as `{position}`; empty if parts only follow each other.
        many: the template for other numbers than one; empty if there is no number.
        number: what decides between the two; shown as `{n}`.
        parts: what the placeholders stand for, by name, in order.
        separator: what stands between the parts where there is no template.
        begins: the text begins with a capital letter.
    """

    template: str = ""
    many: str = ""
    number: int | None = None
    parts: Mapping[str, str | int | float] = {}
    separator: str = ""
    begins: bool = False


def english(template: str, /, **parts: str | int | float) -> Text:
    """Return a text with its placeholders filled in."""
    made = Text(template.format(**parts))
    made.template, made.parts = template, parts
    return made


def counted(one: str, many: str, number: int, /, **parts: str | int | float) -> Text:
    """Return a text that depends on a number."""
    made = Text((one if number == 1 else many).format(n=number, **parts))
    made.template, made.many, made.number, made.parts = one, many, number, parts
    return made


def joined(texts: Iterable[str | None], separator: str = " ") -> Text:
    """Return texts one after the other; empty ones and None are left out."""
    parts: dict[str, str | int | float] = {str(number): each for number, each in enumerate(filter(None, texts))}
    made = Text(separator.join(map(str, parts.values())))
    made.parts, made.separator = parts, separator
    return made


def set_apart(texts: Iterable[str]) -> Text:
    """Return "A; B; C", with the signs as a language sets them."""
    first, *rest = texts
    made = joined((first,))
    for text in rest:
        made = english("{first}; {next}", first=made, next=text)
    return made


def listed(items: Iterable[str]) -> Text:
    """Return "A", "A and B", "A, B and C"."""
    every = list(items)
    if len(every) < 2:
        return joined(every)
    return english("{all_but_last} and {last}", all_but_last=joined(every[:-1], ", "), last=every[-1])


def capitalized(of: Text) -> Text:
    """Return the text with a capital letter at its beginning."""
    made = Text(of[:1].upper() + of[1:])
    made.__dict__ |= of.__dict__ | {"begins": True}
    return made


__all__ = ["Name", "Text", "capitalized", "counted", "english", "joined", "listed"]
