"""Photos by the thousand: handed to workers of this machine or of a cluster, taken up again where a run was cut off."""
