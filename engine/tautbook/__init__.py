"""tautbook: rules of structural bolting tests as data, and the engine that judges recorded tests by them."""
