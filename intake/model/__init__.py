"""The nouns: frozen dataclasses on the standard library alone. Lengths are integer millimetres, times aware UTC."""
