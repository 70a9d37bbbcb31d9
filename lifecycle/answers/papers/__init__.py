"""Papers: answers put together for one reader."""
