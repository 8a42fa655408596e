"""Daily weather: read from a file, checked, and turned into the dates a season file may leave out.

layouts  the three kinds of file that are read: columns by day, GHCN-Daily by station, GHCN-Daily by row
daily    one station's days, in order, with every fault of the file said at once
winters  days cut into years that run from one summer to the next
norms    what comes when, and how surely: leaf turn, bud swell, thaw, last frost, planting windows
"""
