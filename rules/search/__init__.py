"""The best route of the hand through a passage, exactly, and the next best ones.

The searches know costs and states. They do not know what a cost means.
Public names: `cheapest_route`, `Route`, `cheapest_path`, `RouteSearch`.
"""
