"""What a grower says has happened: words become entries, entries are judged, and their sum is the progress.

Pure functions of the kept plan and of what was recorded before: no file, no clock, no printing.
"""
