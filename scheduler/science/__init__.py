"""The sums of the trade, with pencil and paper: numbers in, numbers out.

growth      days a culture needs at a temperature, or through a year of temperatures
chain       spread of a chain of stages, and the one buffer a wished certainty asks for
losses      how many units survive contamination, and how many to start
restarts    how much to start where what fails can be started again so many times
learned_losses  what a grower's own losses say of the chance of one
learned_days    what a grower's own days say of how fast a stage grows
quantities  holes, layers and beds to grams of spawn; water, wood and chips
cuts        saw cuts across a log: where they stand, what they hold, what they leave whole
run         days until mycelium has run through a log, along and across the grain
wood        how a felled log dries, and until when it is fit for planting
heat        steam under pressure at altitude, and the cook it takes
daylight    hours of light on a day of the year
weather     frosts and their chances, warm and cold spells, bud break and leaf turn from daily temperatures
stations    who stands where on a planting day, and how long it takes
sharing     which logs each bag of spawn is for
packing     packs of the sizes that are sold, for an amount
rounding    whole units and whole days, without the noise of floating point

Nothing here knows a date, a file, a season or a solver: days are indices into a sequence.
"""
