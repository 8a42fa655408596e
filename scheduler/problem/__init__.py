"""The hinge of the house: a season and its sizing become integers and names.

`compile` is the door. `calendar` knows which days offer what; `bench` writes the lab works, `yard_works` and
`felling` the outdoor works by the names in `yard`; `dormancy` says when wood may be felled, `drying` how long
it stays moist, `needs` what has to be bought first, `rooms` who stands where, `aims` what is wished; `draft`
collects them. `tighten` narrows the days of a finished Problem, `relax` leaves rules out of it, `promises`
holds works to the days of an earlier plan, `ties` looks up what each work is tied to, `usage` says what a set
of days takes and leaves free, and `justify` moves works of it as late as they fit. The shapes in `shapes`
know nothing of mushrooms.
"""
