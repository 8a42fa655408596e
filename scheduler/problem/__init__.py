"""The hinge of the house: a season and its sizing become integers and names.

`compile` is the door. `calendar` knows which days offer what; `bench` writes the lab works, `yard` the
outdoor works, `rooms` who stands where, `aims` what is wished; `draft` collects them. `tighten` narrows the
days of a finished Problem; `usage` says what a set of days takes and leaves free. The shapes in `shapes`
know nothing of mushrooms.
"""
