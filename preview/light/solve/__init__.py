"""How bright everything is: sources and reflectances, radiosity, the final gather."""
