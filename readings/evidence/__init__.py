"""What readings stand for: joined with what was shown, corrected, with their uncertainty."""
