"""The geometry of one room: its sums, its adjustment, the slips that would explain what does not close, its layout."""
