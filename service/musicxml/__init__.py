"""MusicXML in and out, byte for byte.

`file` opens bytes, `notation` reads what stands in the elements, `read` works out what it means and makes a passage,
`write` puts marks into the original bytes, `new` makes documents of our own. `formats` reads other formats.
"""
