"""The JSON answers as models: answers are built from them, and the JSON schema is made from them.

`answers.py`, `review_answer.py` and `check_answer.py` declare the models. `review_data.py`, `explanation_data.py`,
`check_data.py` and `rules_data.py` build them from reviews, checks, rules and levels.
"""
