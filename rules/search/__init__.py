"""The best route of the hand through a passage, exactly, and the next best ones.

Best is the least effort for a learner; a professional goes by what good routes agree on (`consensus`).

The searches know costs and states. They do not know what a cost means.
Public names: `cheapest_route`, `Route`, `cheapest_path`, `RouteSearch`.
"""
