"""Everything that touches the outside: files, formats, commands, the web."""

__version__ = "0.1.0"
