"""Plans: the tasks of one sitting, as YAML."""
