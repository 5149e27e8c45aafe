"""Air, compressors and heat: formulas and maps without any pull."""
