"""The printed procedures executed, step by step, on a model that knows only actions and physics."""
