"""Reading the numbers, words and walls off a photographed sketch."""
