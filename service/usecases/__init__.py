"""The use cases: annotate, review, clean, check, practice and watch.

They take bytes or files and options, use the rules and `musicxml/`, and return values. The command line and the HTTP
service call them and add nothing but arguments and presentation.
"""
