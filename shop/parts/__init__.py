"""Part specifications, suppliers, prices."""
