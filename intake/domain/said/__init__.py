"""What people said of a reading or of a room, by mail or at the desk, laid over what was read."""
