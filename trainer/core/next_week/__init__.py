"""Next week's targets: rules in a table, from history, plan and date."""
