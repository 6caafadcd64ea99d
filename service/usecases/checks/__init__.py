"""Checks of whole catalogues: which scores, each against a policy, one after the other or on a cluster.

`check` judges one file, `batch` runs over many, `journal` takes a run up again, and `staged` reads what git is about to
commit. `fingerprints` tell a finding again after other bars have changed.
"""
