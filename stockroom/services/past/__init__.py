"""What the past tells: demand, old jobs, days as they were."""
