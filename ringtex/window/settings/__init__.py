"""The column of settings beside the ring, in the order of the job."""
