"""The rules that review a plan and its printed marks, and the policies that choose among them.

Each rule is one module in `catalogue/`, found without a list. A rule says what it saw, a policy how severe that is.
Public names: `Rule`, `Finding`, `Severity`, `Policy`, `review_passage`, `all_rules`.
"""
