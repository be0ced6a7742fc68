"""A child process in which hostile bytes are opened: bounded, and without environment, files, network or programs."""
