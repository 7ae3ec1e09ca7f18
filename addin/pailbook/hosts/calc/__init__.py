"""The functions in LibreOffice Calc, and LibreOffice as a tool that computes and prints workbooks."""
