"""Drills: exercises made of a key, a position or one shift alone."""
