"""May this plan stand? A second reader that shares no code with the search.

`schedule` judges days against a Problem; `stands` judges a finished plan against the season it is for,
with dates and from the rules of the trade. Each rule is one small function with one sentence and one name.
"""
