"""What is said about one visit to another position: why, the shifts, the note to listen for, the hand, other ways."""

from typing import NamedTuple

from ..message import Message

# Why to go.
REACH = Message("in first position one note is out of reach", "in first position {n} notes are out of reach")
REACH_SOME_BEYOND = Message(
    "{reach}, and one of them is beyond this level", "{reach}, and {n} of them are beyond this level"
)
REACH_ALL_BEYOND = Message("{reach}, and it is beyond this level", "{reach}, and all of them are beyond this level")
NOT_TOGETHER = {
    2: Message(
        "the double stop in {bars} cannot be played in first position",
        "{n} double stops ({bars}) cannot be played in first position",
    ),
    3: Message(
        "the chord in {bars} cannot be played in first position",
        "{n} chords ({bars}) cannot be played in first position",
    ),
}
TONE = Message(
    "a long note sounds warmer in {position} than on {weak}",
    "{n} long notes sound warmer in {position} than on {weak}",
)
TONE_IN = Message(
    "a long note ({bars}) sounds warmer in {position} than on {weak}",
    "{n} long notes ({bars}) sound warmer in {position} than on {weak}",
)
TONE_THIS_WAY = Message(
    "a long note sounds warmer this way than on {weak}", "{n} long notes sound warmer this way than on {weak}"
)
TONE_THIS_WAY_IN = Message(
    "a long note ({bars}) sounds warmer this way than on {weak}",
    "{n} long notes ({bars}) sound warmer this way than on {weak}",
)
TRILLS = Message(
    "a trill ({bars}) is easier this way than on {weak}", "{n} trills ({bars}) are easier this way than on {weak}"
)
TRILLS_ON_THE_FOURTH = Message(
    "in first position a trill ({bars}) falls on the 4th finger, which has no finger above it",
    "in first position {n} trills ({bars}) fall on the 4th finger, which has no finger above it",
)
TONE_BUT = Message(
    "{tone}, but a long note ({bars}) comes on {weak}", "{tone}, but {n} long notes ({bars}) come on {weak}"
)
TONE_BUT_TRILLS = Message(
    "{tone}, but a trill ({bars}) comes on {weak}", "{tone}, but {n} trills ({bars}) come on {weak}"
)
THE_OPEN_STRING = Message("the {open_string}")
THE_FOURTH_FINGER = Message("the 4th finger")
AGAIN = Message("the same music is played this way elsewhere in the piece")
EASE = Message("the passage lies a little better under the hand")
NEARLY_AS_EASY = Message("it is a matter of taste: first position is nearly as easy here")
NEARLY_AS_EASY_BESIDES = Message("{reason}; first position is nearly as easy here")
THIS_WAY = Message("this way")
NEEDS = Message("{way} needs {counts}")
AVOIDS = Message("{way} avoids {counts}")
BUT = Message("{reason}, but {counts}")
BUT_NEEDS = Message("{reason}, but needs {counts}")
BUT_THE_WAY_NEEDS = Message("but {way} needs {counts}")
NEEDS_AND_AVOIDS = Message("{way} needs {counts}, and avoids {avoided}")

# Counts, and one compared with another.
SHIFTS = Message("one shift", "{n} shifts")
CROSSINGS = Message("one string crossing", "{n} string crossings")
SKIPS = Message("one jump over a string", "{n} jumps over a string")
LONG_WEAK = Message("one long note on {weak}", "{n} long notes on {weak}")
TRILLS_WEAK = Message("one trill on {weak}", "{n} trills on {weak}")
TRILLS_ON_FOURTH = Message("one trill on {weak} (then leave it out)", "{n} trills on {weak} (then leave them out)")
LONG_OR_TRILLED_WEAK = Message("one long or trilled note on {weak}", "{n} long or trilled notes on {weak}")
STRETCHES = Message("one stretch", "{n} stretches")
HOPS = Message("one finger hop", "{n} finger hops")
SLIDES = Message("one finger slide", "{n} finger slides")
SEMITONE_SLIDES = Message("one slide of a finger by a semitone", "{n} slides of a finger by a semitone")
OPEN_NOTES = Message("one note on an open string", "{n} notes on an open string")
FOURTH_NOTES = Message("one note on the 4th finger", "{n} notes on the 4th finger")
UNREACHABLE = Message("one note out of reach", "{n} notes out of reach")
INSTEAD = Message("{count} instead of one", "{count} instead of {n}")
INSTEAD_ON = Message("{count} instead of one on {weak}", "{count} instead of {n} on {weak}")
INSTEAD_OF = Message("{count} instead of {other}")
AND_ALSO = Message("{first}, and {last}")

# Where to go.
VISIT = Message("{bars}: {positions}")
THEN = Message("{first}, then {next}")
SEVERAL = Message("several positions ({positions})")

# How the hand gets there.
BEGIN = Message("{where}: begin in {position}, on {notes}")
SHIFT_UP = Message("{where}: {how}, shift up to {position}. Land on {notes}")
SHIFT_DOWN = Message("{where}: {how}, shift down to {position}. Land on {notes}")
SHIFT_BACK = Message("{where}: {how}, shift back to {position}. Land on {notes}")
KEEP_FINGER = Message("{where}: the {finger} stays on {note}, and the hand is in {position} from here. Land on {notes}")
STAY_TO_THE_END = Message("stay in {position} to the end")
FROM = Message("from {notes}, {how}")
STOPPED_NOTE = Message("{note} ({finger}, {string})")
STRETCHED_NOTE = Message("{note} ({finger} stretched, {string})")
STRETCHED_BACK_NOTE = Message("{note} ({finger} stretched back, {string})")
GRACE_NOTE = Message("the grace note {notes}", "the grace notes {notes}")
OPEN_NOTE = Message("the {open_string}")
SAME_SOUND = Message("{notes}: the same note again")
IN_THE_REST = Message("in the rest just before")
IN_BARS_OF_REST = Message("in the bar of rest just before", "in the {n} bars of rest just before")
IN_THE_REST_BEFORE_OPEN = Message("in the rest before the {open_string} ({where})")
IN_THE_REST_BEFORE_LEFT_OUT = Message(
    "in the rest before the note that is out of reach", "in the rest before the notes that are out of reach"
)
AFTER_LEFT_OUT = Message("after the note that is out of reach", "after the notes that are out of reach")
OVER_OPEN = Message("while you play the {open_string}")
AT_BOW_CHANGE = Message("at the change of bow")
ON_SAME_FINGER = Message("on the {finger}, which stays on the string")
GUIDE_LANDS = Message("with the {finger} as guide (let it glide from {start}, {softly})")
WITH_GUIDE = Message("with the {finger} as guide (let it glide to {note} first, {softly})")
WITH_OTHER_GUIDE = Message("with the {finger} as guide (let it glide from {start} to {note} first, {softly})")
PUT_DOWN_LANDS = Message("with the {finger} as guide (put it down on {start}, and let it glide, {softly})")
PUT_DOWN_GUIDE = Message("with the {finger} as guide (put it down on {start}, and let it glide to {note}, {softly})")
SILENTLY = Message("without a sound")
QUICKLY = Message("lightly and quickly")
LIGHTLY = Message("with a light hand")
WITHIN_SLUR = Message("{how}, within the slur")

# The note to listen for.
CLIMB = Message("in first position, climb {notes} from the {open_string}")
PLAY_OPEN = Message("play the {open_string}")
SAME_NOTE = Message("{start}. In {position} the 1st finger plays the same {note} on the {string}")
HIGHER_NOTE = Message(
    "{start}. In {position} the 1st finger plays the {note} an octave higher on the {string}",
    "{start}. In {position} the 1st finger plays the {note} {n} octaves higher on the {string}",
)
RINGS = Message("{listen}; when it is in tune, the {open_string} rings along")

# What the hand looks like.
HAND = Message("{string}: {fingers}")
HAND_SHAPE = Message("{hand}; {shape}")
IN_POSITION = Message("{position}, {hand}")
SEMITONES = Message("semitone between {pairs}")
WIDE = Message("a wide step between {pairs}")
WHOLE_TONE = Message("whole tone between {pairs}")
WHOLE_TONES = Message("whole tones throughout")
IN_ONE_PLACE = Message("{pairs} take the same place in turn")
PAIR = Message("{low} and {high}")
PAIR_OF_NOTES = Message("{low} and {high} ({first} and {second})")
AND_BETWEEN = Message("{first} and between {second}")
OPEN_PLACE = Message("open {note}")
FINGER_PLACE = Message("{finger} {note}")
FINGER_PLACE_AND = Message("{finger} {note} ({others})")
FINGER_STRETCHED = Message("{finger} stretched to {note}")
FIRST_STRETCHED = Message("1 {note} (stretched back to {others})")


class Ways(NamedTuple):
    """How another note of a finger is told: in bars of its own, in bars with the usual note, and without bars."""

    only: Message
    also_in: Message
    also: Message


PLAYED = Ways(Message("{note} in {bars}"), Message("also {note} in {bars}"), Message("also {note}"))
WRITTEN = Ways(
    Message("written {note} in {bars}"), Message("also written {note} in {bars}"), Message("also written {note}")
)
STRETCHED_BACK = Ways(
    Message("stretched back to {note} in {bars}"),
    Message("also stretched back to {note} in {bars}"),
    Message("also stretched back to {note}"),
)
STRETCHED = Ways(
    Message("stretched to {note} in {bars}"),
    Message("also stretched to {note} in {bars}"),
    Message("also stretched to {note}"),
)

# Other ways.
STAY = Message("stay in first position")
OTHER_POSITION = Message("go to {positions}")
BEGIN_THERE = Message("begin in {position}, on {notes}")
STAY_THERE = Message("at {where}, stay in {position}")
SHIFT_AT = Message("shift to {position} at {where}, landing on {notes}")
COME_BACK_EARLIER = Message("come back earlier, to {position} at {where}, landing on {notes}")
COME_BACK_LATER = Message("come back later, to {position} at {where}, landing on {notes}")
OTHER_WAY = Message("{label}: {difference}")
WAY_AVOIDS = Message("this avoids {counts}")
WAY_NEEDS = Message("this needs {counts}")
WAY_NEEDS_AND_AVOIDS = Message("this needs {counts}, and avoids {avoided}")
AVOIDS_BUT = Message("this avoids {counts}, but {price}")
NEEDS_BUT = Message("this needs {counts}, but {price}")
NEEDS_AND_AVOIDS_BUT = Message("this needs {counts}, and avoids {avoided}, but {price}")
NEEDS_MORE = Message("needs {counts}")
COUNTED_IN = Message("{difference} (in {bars})")
PRICES = {
    "shifting": Message("the shift is harder", "the shifts are harder"),
    "string crossings": Message("the string crossings are harder"),
    "tone": Message("it sounds less well"),
    "shape of the hand": Message("it lies less well under the hand"),
    "place on the fingerboard": Message("the hand is away from first position for longer"),
}
"""What a way costs that has more of nothing that is counted, by the aspect in which it costs most."""
FURTHER_UP = Message("the hand goes further up")
COSTS_MORE = Message("{way} (effort +{effort})")
SAVES = Message("saves {aspects}")
COSTS = Message("costs {aspects}")
SAVES_AND_COSTS = Message("saves {gains}, costs {costs}")
ASPECT = Message("{effort} for {aspect}")
ASPECTS = {
    "shifting": Message("shifting"),
    "string crossings": Message("string crossings"),
    "tone": Message("tone"),
    "shape of the hand": Message("the shape of the hand"),
    "place on the fingerboard": Message("the place on the fingerboard"),
    "decisions not kept": Message("decisions that are not kept"),
}
