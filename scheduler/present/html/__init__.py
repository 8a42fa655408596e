"""The local page: finished values in, HTML out, the same words as on the screen.

`frame` joins a template with what stands on every page; each other module makes one page or two. Templates
escape all that they are given. Every list of work is written by the macros of `work.html`, with its cautions.
Pages need no script; the style sheet is the one file beside the templates.
"""
