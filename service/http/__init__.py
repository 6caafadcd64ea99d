"""The HTTP service: middleware, requests, answers and routes.

`request` reads what a client sends, `answers` makes what it gets, and `routes` holds the addresses. `server` runs it.
Public names: `create_app`.
"""
