"""Budswell plans the making of spawn for mushrooms that are planted outdoors.

One way through the house: what the grower wrote (`season`) and what the trade knows (`trade`, `science`)
become amounts and batches (`lines`), then integers and names (`problem`), then days (`solve`), then a
finished plan (`assemble`) that a second reader approves (`checker`) before it is kept (`book`) or shown
(`present`). `service` joins the rooms into use cases; `cli` reads arguments and prints.
"""

__version__ = "0.1.0"
