"""What commands say on the terminal: status lines and tables."""

from .message import Message

MARKED = Message("{file}: {parts}; proposals: {count}")
MARKED_WITH_REASONS = Message("{file}: {parts}; proposals: {count}; `handframe review` tells why")

EXERCISES = Message("{file}: {parts}, one exercise", "{file}: {parts}, {n} exercises")
EXERCISES_OF_SEVERAL = Message(
    "{file}: {parts}, one exercise; other parts: {others} (choose with --part)",
    "{file}: {parts}, {n} exercises; other parts: {others} (choose with --part)",
)
EXERCISES_OF_SET = Message("{file}: one exercise in {key}", "{file}: {n} exercises in {key}")

WATCHES = Message("handframe watches {folder} (stop with Ctrl-C)")
COPY = Message("{copy}: marked copy of {score}")
ANSWERS = Message("handframe answers at {address} (reference: /docs; stop with Ctrl-C)")
NO_ADDRESS = Message("{address}: {reason}. Give another with --host and --port.")
ADDRESS = Message("{host}, port {port}")
PROGRESS = Message("{done} of {total} files after {seconds} s")
FILES_LABEL = Message("files")

PASSED = Message("passed")
FAILED = Message("FAILED")
NOT_FOUND = Message("not found: {expected}")
NOT_EXPECTED = Message("not expected: {finding}")
TESTS = Message("tests: {tests}, failed: {failed}")

NO_LONGER_FOUND = Message("{baseline}: no longer found in {file}: {finding}")
NOT_THERE = Message("{baseline}: {file} is not there any more")
UNUSED_EXCEPTION = Message("{policy}: this exception matches no finding: {exception}")

PIECE = Message("piece")
FINGERS = Message("fingers")
STANDARD = Message("standard")
LEARNED = Message("learned without it")
ALL_PIECES = Message("all")
FIT = Message("fit {done} of {of}")
NOT_LEARNED_FROM = Message("Not learned from: {remark}")

WEIGHTS_AT = Message("What counts at level {level}. A change of string costs about 1.5; below 0 speaks for it.")
WEIGHTS_SHARED = Message(
    "Of fingerings that cost nearly the same, the one is taken whose fingers most good fingerings share."
)
HOLDING = Message("Holding a note")
WHEN = Message("{measure} ({circumstance})")
MOVING = Message("Going on to the next")
