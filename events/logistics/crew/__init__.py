"""People at work: shifts by place and time, gaps, briefing sheets."""
