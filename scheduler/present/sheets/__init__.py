"""Sheets of paper for the bench and the yard, labels and a poster, as one page of HTML or as PDF.

days      what is done on a day, with loads, recipes, units and what to mind
labels    what stands on a label, how large, and its code
geometry  where labels lie on a sheet
document  sheets as HTML, and HTML as PDF
"""
