"""The course in the forms of open e-learning standards: QTI 2.1 and 3.0 for questions, SCORM 1.2 for the whole."""
