"""What is said about one visit to another position: why, the shifts, the note to listen for, the hand, other ways."""

from ..message import Message

# Why to go.
REACH = Message("in first position one note is out of reach", "in first position {n} notes are out of reach")
REACH_SOME_BEYOND = Message(
    "{reach}, and one of them is beyond this level", "{reach}, and {n} of them are beyond this level"
)
REACH_BEYOND = Message("{reach}, and in the other positions of this level as well")
TONE = Message(
    "a long note sounds warmer in {position} than on {weak}",
    "{n} long notes sound warmer in {position} than on {weak}",
)
TONE_THIS_WAY = Message(
    "a long note sounds warmer this way than on {weak}", "{n} long notes sound warmer this way than on {weak}"
)
THE_OPEN_STRING = Message("the {open_string}")
THE_FOURTH_FINGER = Message("the 4th finger")
AGAIN = Message("the same music is played this way elsewhere in the piece")
EASE = Message("the passage lies better under the hand")
THIS_WAY = Message("this way")
NEEDS = Message("{way} needs {counts}")
AVOIDS = Message("{way} avoids {counts}")
NEEDS_AND_AVOIDS = Message("{way} needs {counts}, and avoids {avoided}")

# Counts, and one compared with another.
SHIFTS = Message("one shift", "{n} shifts")
CROSSINGS = Message("one string crossing", "{n} string crossings")
SKIPS = Message("one jump over a string", "{n} jumps over a string")
LONG_WEAK = Message(
    "one long note on an open string or the 4th finger", "{n} long notes on an open string or the 4th finger"
)
STRETCHES = Message("one stretch", "{n} stretches")
HOPS = Message("one hop of the same finger between strings", "{n} hops of the same finger between strings")
SLIDES = Message("one slide of the same finger without a shift", "{n} slides of the same finger without a shift")
UNREACHABLE = Message("one note out of reach", "{n} notes out of reach")
INSTEAD = Message("{count} instead of one", "{count} instead of {n}")
AND_ALSO = Message("{first}, and {last}")
INSTEAD_OF_NONE = Message("{count} instead of none")

# Where to go.
VISIT = Message("{bars}: {positions}")
THEN = Message("{first}, then {next}")

# How the hand gets there.
BEGIN = Message("{where}: begin in {position}, on {notes}")
SHIFT_UP = Message("{where}: {how}, shift up to {position}. Land on {notes}")
SHIFT_DOWN = Message("{where}: {how}, shift down to {position}. Land on {notes}")
SHIFT_BACK = Message("{where}: {how}, shift back to {position}. Land on {notes}")
STAY_TO_THE_END = Message("stay in {position} to the end")
FROM = Message("from {notes}, {how}")
STOPPED_NOTE = Message("{note} ({finger}, {string})")
OPEN_NOTE = Message("the {open_string}")
IN_THE_REST = Message("in the rest before it")
OVER_OPEN = Message("while you play the {open_string}")
AT_BOW_CHANGE = Message("at the change of bow")
ON_SAME_FINGER = Message("on the {finger}, which stays on the string")
GUIDE_LANDS = Message("with the {finger} as guide, which stays on the string")
WITH_GUIDE = Message("with the {finger} as guide (let it glide to {note} first, without a sound)")
UNDER_SLUR = Message("under the slur, lightly")
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
HAND = Message("{string}: {fingers}; {shape}")
IN_POSITION = Message("{position}, {hand}")
SEMITONES = Message("semitone between {pairs}")
PAIR = Message("{low} and {high}")
AND_BETWEEN = Message("{first} and between {second}")
WHOLE_TONES = Message("whole tones throughout")
WIDE = Message("{shape}, a wide step between {pairs}")
LOW_AND_HIGH = Message("{shape}; the {finger} is sometimes low, sometimes high")
LOW_AND_HIGH_MANY = Message("{shape}; fingers {fingers} are sometimes low, sometimes high")

# Other ways.
STAY = Message("stay in first position")
OTHER_POSITION = Message("go to {positions}")
START_THERE = Message("begin in {position}")
STAY_THERE = Message("stay in {position} afterwards")
OTHER_PLACE = Message("{positions}, but shift elsewhere")
SHIFT_AT = Message("shift to {position} at {where}")
OTHER_WAY = Message("{label}: {difference}")
BETTER_BUT_WORSE = Message("{better}, but {worse}")
NO_DIFFERENCE = Message("no other difference")
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
