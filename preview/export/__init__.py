"""The floor and its room for other people's programs: GLB, USDZ, OBJ, STL and PLY."""
