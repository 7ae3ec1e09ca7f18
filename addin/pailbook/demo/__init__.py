"""A season of an invented farm: its registers and readings as .csv files, and the story that the log tells."""
