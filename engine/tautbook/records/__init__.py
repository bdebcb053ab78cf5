"""Records: recorded tests read, and made into the data that rules are evaluated on."""
