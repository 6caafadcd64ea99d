"""Types of option fields: a choice of words, or a text with a pattern."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from ..errors import said

BAD_VALUE = "bad_value"
"""Type of the validation error; its context names what is `expected`."""


@dataclass(frozen=True, slots=True)
class Repeatable:
    """Marks an option that may be given several times; with a separator, its texts are joined to one."""

    separator: str | None = None


class Choice:
    """A choice: each value is written as a word.

    Attributes:
        values: the values by word.
        labels: short labels by word, for the page.
        meanings: sentences by word, for the documentation; empty if the words explain themselves.
    """

    def __init__(
        self,
        values: Mapping[str, Any],
        labels: Mapping[str, str] | None = None,
        meanings: Mapping[str, str] | None = None,
    ) -> None:
        self.values = values
        self._folded = {word.casefold(): value for word, value in values.items()}
        self.labels = labels or {word: word for word in values}
        self.meanings = meanings or {}

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        write = core_schema.plain_serializer_function_ser_schema(self.word)
        return core_schema.no_info_plain_validator_function(self._value, serialization=write)

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        return {"enum": list(self.values), "type": "string"}

    def _value(self, value: Any) -> Any:
        if isinstance(value, str) and value.casefold() in self._folded:
            return self._folded[value.casefold()]
        if any(isinstance(value, type(each)) for each in self.values.values()) and type(value) is not str:
            return value
        words = list(self.values)
        expected = said("one of {words}", words=", ".join(words))
        raise PydanticCustomError(BAD_VALUE, "Give {expected}", {"expected": expected, "choices": words})

    def word(self, value: Any) -> str:
        """Return the word for a value; a word stands for itself, and no value for an empty text."""
        if value is None:
            return ""
        if isinstance(value, str) and value in self.values:
            return str(value)
        return next((word for word, known in self.values.items() if known == value), str(getattr(value, "name", value)))


class TextValue:
    """A value that is written as a text.

    Attributes:
        read: makes the value from the text, or raises ValueError.
        write: makes the text from the value.
        pattern: a regular expression that the text matches, for the JSON schema.
        expected: ends the sentence "Give …".
    """

    def __init__(self, read: Callable[[str], Any], write: Callable[[Any], str], *, pattern: str, expected: str) -> None:
        self.read, self.write, self.pattern, self.expected = read, write, pattern, expected

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        write = core_schema.plain_serializer_function_ser_schema(self.write)
        return core_schema.no_info_plain_validator_function(self._value, serialization=write)

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        return {"pattern": self.pattern, "type": "string"}

    def _value(self, value: Any) -> Any:
        if not isinstance(value, str):
            return value
        if re.fullmatch(self.pattern, value):
            try:
                return self.read(value)
            except ValueError:
                pass
        raise PydanticCustomError(BAD_VALUE, "Give {expected}", {"expected": self.expected})
