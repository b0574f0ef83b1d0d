"""The page that a customer takes home: one file, which opens offline, with pictures to compare and a room to look round
in."""
