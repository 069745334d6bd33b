"""From the class page to tomorrow: a half page a group, sheets, explanations, and equations for every learner."""
