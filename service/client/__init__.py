"""A client for scripts: the use cases by their names, done by a running service.

`Client` is all that a script needs.
"""

from .client import Client, MarkedScore

__all__ = ["Client", "MarkedScore"]
