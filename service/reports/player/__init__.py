"""The report for a player: what is said of a plan, put together from the messages."""
