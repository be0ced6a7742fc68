"""The decisions: pure functions over the model. No clock, files, network or pictures; `now` is an argument."""
