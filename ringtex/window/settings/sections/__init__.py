"""The sections of the settings, in the order of the job."""
