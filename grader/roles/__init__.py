"""Who may what: roles, the house's file of them, and who acts."""
