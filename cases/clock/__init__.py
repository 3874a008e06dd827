"""How a request's due day was counted, and what stopped, moved or started its clock again."""
