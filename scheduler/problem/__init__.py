"""The hinge of the house: a season and its sizing become integers and names.

`compile` is the door. `calendar` knows which days offer what; `bench` writes the lab works, `yard` the
outdoor works, `drying` how long felled wood stays moist, `rooms` who stands where, `aims` what is wished;
`draft` collects them. `tighten` narrows the days of a finished Problem, `relax` leaves rules out of it, and
`usage` says what a set of days takes and leaves free. The shapes in `shapes` know nothing of mushrooms.
"""
