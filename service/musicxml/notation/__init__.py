"""What stands in the elements of a part, one kind of element a module, without working out what it means.

Public names: `WrittenPart`, `list_parts`, `choose_parts`.
"""
