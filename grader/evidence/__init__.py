"""Evidence for a dispute: records chained, contents sealed before plates, one signed file, checked by a stranger."""
