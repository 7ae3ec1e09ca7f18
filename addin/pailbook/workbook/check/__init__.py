"""The check of a workbook: what is wrong or doubtful in it, by sheet and cell, with what to do about it."""
