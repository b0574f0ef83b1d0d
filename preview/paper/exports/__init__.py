"""The layout and the options for other programs: JSON and DXF."""
