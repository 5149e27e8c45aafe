"""The report for the customer, its charts, and its form as PDF."""
