"""Problems and plans as JSON."""
