"""HID facts: usages, report descriptors, boot reports, recorded reports. No project data."""
