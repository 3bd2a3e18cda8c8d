"""What is in the scene of the job, what of it is up to date, and the work beside the window."""
