"""The central types: numbers with their trace, parts made by cuts, states, contacts, findings.

Nothing here knows a jig or the kernel.
"""
