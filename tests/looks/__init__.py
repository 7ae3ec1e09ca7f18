"""Pictures of every sheet of every workbook, and the approved ones that a test compares them with."""
