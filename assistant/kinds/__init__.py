"""One folder for each kind of question: its cues, its answer, its examples.

The modules beside the folders are what kinds share: the shelf, quoting, care, cautions.
"""
