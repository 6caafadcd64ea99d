"""House policies: TOML files that say which rules a house wants, how severe they are, and where an exception holds.

`policy_model.py` declares the keys and their values, `policy_errors.py` turns a wrong value into a message with the
line, and `policy_file.py` reads a file and applies it to scores. The TOML files here are the built-in policies, one
for each level.
"""
