"""What a grower says has happened: words become entries, entries are judged, and their sum is the progress.

`made` and `observed` read the entries of a season once more, for what can be learned from them.

Pure functions of kept plans and of what was recorded before: no file, no clock, no printing.
"""
