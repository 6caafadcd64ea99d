"""The HTTP door in its parts: the gate every request passes, what a request brings, what an answer carries, routes."""
