"""Papers: the sheets that leave the desk, from one template each to Markdown, HTML and PDF.

A paper arranges what a plan and a case hold; nothing here decides anything.
"""
