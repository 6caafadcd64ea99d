"""What a user or an operator can choose, and the limits on what is opened.

`options.py` declares the options of a request, `settings.py` the settings of the service and `file_limits.py` the
limits. The command line, the HTTP service, the page and the tables of the documentation are made from these.
"""
