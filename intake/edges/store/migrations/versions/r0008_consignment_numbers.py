"""Under which policy, contract and bill of lading a consignment travels."""

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"


def upgrade() -> None:
    """Add the columns, empty."""
    for name in ("policy", "contract", "bill_of_lading"):
        op.add_column("consignment", sa.Column(name, sa.Text(), nullable=False, server_default=sa.text("''")))
