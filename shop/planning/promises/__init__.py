"""When a unit will be ready, from what past work tells, and which dates may be told and kept. Pure."""
