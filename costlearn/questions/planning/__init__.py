"""The calendar of a job not yet begun or under way: phases laid on working days."""
