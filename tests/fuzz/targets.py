"""All doors by which a stranger's bytes come in."""

from tests.fuzz import document_targets, evidence_targets, folder_targets, photo_targets

TARGETS = (
    *photo_targets.TARGETS,
    *document_targets.TARGETS,
    *folder_targets.TARGETS,
    *evidence_targets.TARGETS,
)
