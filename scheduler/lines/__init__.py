"""How much and how many: demand of each planting, strain lines, batches, spares. No dates are chosen here.

`sizing` is the door to the room. `demand` turns geometry into grams (`yard_minutes` into
minutes, spare logs and trips), `figures` picks the grower's own figure
over the catalogue's, `vessels` says what is cooked in what, `spares` weighs units against losses and `stages`
makes batches by it. `line` joins them: `stock` is what is in hand, `chips` how far those of a bed go, `spawn`
the finished spawn and its grain, `supply` which cultures feed which plantings, `culture` the way from a
culture to the first jars, `ladder` its batches, `descent` who is made from whom.

`onward` is the second door, for a season under way. `remaining` is what is left of the season, `living` what
lives of its batches, `feeding` who feeds what is still to be made, `shares` whose finished spawn it is, and
`rescue` the ways to make again what was lost; `line_onward` joins these, `prospects` says how sure it is.

`logs` is what is known of a planting's wood, `moisture` how moist it is by what was recorded of it.

`observed` is what became of units and batches, `learned_losses` and `learned_days` what that teaches, and
`own_record` lays what was kept of it over the catalogue.
"""
