"""How much and how many: demand of each planting, strain lines, batches, spares. No dates are chosen here.

`demand` turns geometry into grams, `figures` picks the grower's own figure over the catalogue's, `vessels`
says what is cooked in what, `spares` weighs units against losses, `culture` finds the way from the culture
in hand to the first jars, `batches` joins them into lines and `sizing` is the door to the room.
"""
