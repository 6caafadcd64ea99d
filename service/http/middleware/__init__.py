"""The layers around the application: who may call, how much at once, and what every answer carries.

`headers_and_log` refuses callers, sets the headers of every answer and logs it; `limits` passes on complete requests
only. The others are their parts: the check of origins, the count of concurrent work, and the body as it arrives.
"""
