"""What a practice sheet says: its own texts in a language, and the words of the page around them."""

from dataclasses import replace

from rules import Exercise, Section, Sheet

from .message import Message, Wording

WEEK_OF = Message("Week of")
WEEK_PLAN = Message("Plan for the week")
WEEK_ADVICE = Message("In bits of five minutes, with a rest for the arms between. Tick what is done.")
NUMBER = Message("No.")
EXERCISE = Message("Exercise")
MINUTES = Message("Minutes")
TEMPO_REACHED = Message("Tempo reached")
ANOTHER_WEEK = Message("for another week")
NO_ROOM = Message("No room on this page: {heading}.")
DAYS = (
    Message("Mon"),
    Message("Tue"),
    Message("Wed"),
    Message("Thu"),
    Message("Fri"),
    Message("Sat"),
    Message("Sun"),
)
PAGE_WORDS = {
    "week_of": WEEK_OF,
    "week_plan": WEEK_PLAN,
    "week_advice": WEEK_ADVICE,
    "number": NUMBER,
    "exercise": EXERCISE,
    "minutes": MINUTES,
    "tempo_reached": TEMPO_REACHED,
    "another_week": ANOTHER_WEEK,
}

# The fingerboard beside the exercises.
CHART_TITLE = Message("{position} in {key} on the {instrument}")
CHART_STRING = Message("{name} string: {fingers}.")
CHART_LOW = Message("low {finger}")
CHART_HIGH = Message("high {finger}")
CHART_LEGEND = Message("↓ low, ↑ high · ◇ the same pitch elsewhere")


def sheet_in(wording: Wording, sheet: Sheet) -> Sheet:
    """Return a sheet with its texts in a language; what a teacher or a composer wrote stays as it is."""
    return replace(
        sheet,
        title=wording.text(sheet.title),
        subtitle=wording.text(sheet.subtitle),
        sections=tuple(_section(wording, section) for section in sheet.sections),
        cautions=tuple(map(wording.text, sheet.cautions)),
        remarks=tuple(map(wording.text, sheet.remarks)),
    )


def _section(wording: Wording, section: Section) -> Section:
    return replace(
        section,
        heading=wording.text(section.heading),
        text=wording.text(section.text),
        exercises=tuple(_exercise(wording, exercise) for exercise in section.exercises),
    )


def _exercise(wording: Wording, exercise: Exercise) -> Exercise:
    return replace(exercise, title=wording.text(exercise.title), text=wording.text(exercise.text))
