"""What is said about a whole part: its level, where to leave first position, where to begin, what is beyond."""

from ..message import Message

PIECE = Message("{title} ({file})")
BY = Message("{composer}: {title}")
PART = Message("{name}, planned for {level}")
PART_OF_SEVERAL = Message("{instrument} ({number} of {count})")
BEYOND = Message(
    "{bars} goes beyond this level: not all its notes are within reach.",
    "{bars} go beyond this level: not all their notes are within reach.",
)
STAY_THROUGHOUT = Message("Stay in first position throughout.")
REST_IN_FIRST = Message("Play everything else in first position.")
PASSAGES = Message("Leave first position in {bars}.")
BEGIN_AWAY = Message("Begin in {position} ({bars}).")
PASSAGES_LATER = Message("After that, leave first position in {bars}.")
ALSO_ASKED = Message("{bars} in {positions}, as you or the part ask")
HARDEST = Message("Practise first what is hardest for the left hand:")
HARD_BAR = Message("{bars}: {what}")
HARD_BARS = Message("{bars}: {what} in each bar")
COUNT_OF = Message("{count} ({notes})")
FINGER_TO = Message("{finger} to {note}")
FINGER_FROM_TO = Message("{finger} from {start} to {note}")
FINGER_BETWEEN = Message("{finger} between {start} and {note}")
DOUBLE_STOPS = Message("one double stop with two fingers down", "{n} double stops with two fingers down")
CHORDS = Message("one chord", "{n} chords")
ABOUT_THE_FILE = Message("About the file")
OF_PART = Message("{part}: {remark}")

WHY_LABEL = Message("Why")
SHIFT_LABEL = Message("Shift")
LISTEN_LABEL = Message("Listen")
HAND_LABEL = Message("Hand")
OR_LABEL = Message("Or")
EFFORT_LABEL = Message("Effort")
AS_BEFORE = Message("{note} on the {string}, as in {number}")
HAND_AS_BEFORE = Message("as in {number}")
EFFORT_SCALE = Message("Effort: an ordinary string crossing costs about 1.5, a shift about 3.")
ASKED_TITLE = Message("Also away from first position")
BEYOND_TITLE = Message("Beyond this level")
CHOICES_TITLE = Message("For you to decide")
UNMET_TITLE = Message("Not possible as asked")
WORDS_TITLE = Message("What the words and numbers mean")
WORD = Message("{word}. {meaning}")
COUNTING = Message("The counts include the way into a passage and the way out of it, unless there is a rest.")
NO_TEMPO = Message("No tempo is given; what is long or quick was reckoned at {tempo} quarter notes a minute")
CAUTION_ONLY = Message("You and your teacher decide. Stop when something hurts; if it keeps hurting, ask a doctor.")
CAUTION = Message(
    "These are proposals: you and your teacher decide. Stop when something hurts; if it keeps hurting, ask a doctor."
)

# Decisions that could not be kept.
UNMET = Message("you or the part ask for {asked}, but {cause}. Planned: {taken}.")
THE = Message("the {what}")
ASKED_STAY = Message("the hand to stay")
ASKED_NOTE = Message("this note")
NO_NOTE = Message("{note} lies outside the instrument")
NO_STOP = Message("{note} is not found there")
AT_ODDS = Message("{note} cannot be played with all of them")
NOT_WITH = Message("the hand cannot hold it together with {others}")
OTHER_DECISIONS = Message("other marks or decisions do not allow it")
LEFT_OUT = Message("the note is left out")
