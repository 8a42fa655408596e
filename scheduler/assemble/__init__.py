"""From days found to a finished plan: batches, loads, tasks, orders, and the dates that follow from them.

`frame` holds what every module here reads. `batches` dates the batches, `loads` fills the cookers,
`lab_tasks` and `yard_tasks` write the work, `orders` what to buy, `gates` the last days for a redo,
`starts` the recommended start, `facts` the figures the plan rests on; `plan` joins them. Nothing is
searched for here.
"""
