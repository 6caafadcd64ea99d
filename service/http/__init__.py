"""The HTTP service: middleware, requests, answers and routes."""
