"""What is said of a fingering hand that was learned."""

from .message import Message

HELPS = Message("This hand helps.")
HELPS_NOT = Message("This hand does not help: keep the standard.")
MEETS = Message("On pieces left out it meets {learned} % of the printed fingers, the standard meets {standard} %.")
FEW = Message("{count} fingers are few: take more pieces.")
LEARNED_FROM = Message("A fingering hand learned from {pieces} pieces with {fingers} printed fingers in {folder}.")
SCALE = Message("1 is the standard, 2 counts twice as much, 0.5 half as much; from 0.25 to 4.")
AS_STANDARD = Message("{scale}: as much as in the standard.")
TIMES_STANDARD = Message("{scale}: {times} times as much as in the standard.")
