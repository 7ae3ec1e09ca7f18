"""The dosing plan: nutrients held in their band, doses that leave pH where it can be borne."""
