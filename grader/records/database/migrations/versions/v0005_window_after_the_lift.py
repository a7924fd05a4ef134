"""The house's window after the lift, as it was when a plate was photographed."""

import sqlalchemy as sa
from alembic import op

revision = "v0005"
down_revision = "v0004"


def upgrade() -> None:
    """Two columns more; of plates before nobody noted it."""
    for name in ("window_from_s", "window_until_s"):
        op.add_column("plate_check", sa.Column(name, sa.Double(), nullable=True))
