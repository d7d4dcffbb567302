"""Firms’ marks: checked, cleaned, kept and read; as files and on paper."""
