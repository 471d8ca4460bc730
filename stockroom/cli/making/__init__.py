"""Commands that make paper and pictures: sheets, labels, tickets, drawings."""
