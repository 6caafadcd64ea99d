"""The pattern that matches exactly what the functions of `elements` can make, alone or put together by `insert`."""

from __future__ import annotations

_PLACED = rb"(?: placement=\"(?:above|below)\")?+"
_IN_TECHNICAL = (
    rb"(?:<fingering%(p)b>[0-9]</fingering>)?+(?:<string%(p)b>[0-9]+</string>)?+(?:<open-string%(p)b/>)?+"
    rb"(?:<harmonic%(p)b><natural/></harmonic>)?+" % {b"p": _PLACED}
)
_TECHNICAL = rb"(?:<technical>" + _IN_TECHNICAL + rb"</technical>)?+"
_SLIDES = rb"(?:<slide type=\"st(?:art|op)\" number=\"[0-9]+\" line-type=\"solid\"/>)*+"
_DIRECTION = (
    rb"<direction placement=\"above\"><direction-type>"
    rb"(?:<words>[^<]*+</words>"
    rb"|<bracket type=\"st(?:art|op)\" number=\"1\" line-end=\"(?:none|down)\" line-type=\"dashed\"/>)"
    rb"</direction-type>(?:<voice>[^<]*+</voice>)?+(?:<staff>[0-9]+</staff>)?+</direction>"
)
WRITTEN = (
    rb"(?:" + _DIRECTION + rb"|<notations>" + _TECHNICAL + _SLIDES + rb"</notations>"
    rb"|<technical>" + _IN_TECHNICAL + rb"</technical>" + _SLIDES + rb"|" + _IN_TECHNICAL + _SLIDES + rb")"
)
