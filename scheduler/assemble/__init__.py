"""From days found to a finished plan: batches, loads, tasks, orders, and the dates that follow from them.

`frame` holds what every module here reads. `batches` and `plantings` date what their names say, `loads` fills
the cookers; `lab_tasks`, `care_tasks` and `yard_tasks` write the work (through `writer`, in the `words` of a
batch and, with `yard_words`, of a step in the yard), `checks_ahead` what is looked after weeks before,
`planting_days` the running order of each planting day, `orders` what to buy, `gates` the last days for a
redo, `starts` the recommended start, `facts` the figures the plan rests on, `notes` the warnings; `plan`
joins them. Nothing is searched for here.
"""
