"""A client for scripts: the use cases by their names, done by a running service.

`Client` is all that a script needs. What does not belong here: anything that the service itself imports.
"""

from .client import Client, MarkedScore

__all__ = ["Client", "MarkedScore"]
