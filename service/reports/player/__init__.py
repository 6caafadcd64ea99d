"""The report for a player: what is said of a plan, put together from the messages.

What does not belong here: the sentences themselves (`messages`) and reports for publishers.
"""
