"""Windowfall's library: from a job to a plan of mats, sheets, purchases and costs."""
