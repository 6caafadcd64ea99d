"""Pictures: engraved music, the fingerboard chart and the pages of a practice sheet.

Everything here returns SVG or HTML as text and opens no file but the engraver's own fonts.
Public names: `engrave`, `chart_svg`, `as_page`.
"""
