"""What each test file's bytes come to: to know a file that came out whole, and that no machine makes another.

They change when a signal does; `tests/stages/tuning/test_signal_set.py` says what to write here then.
"""

CHECKED_RATE, CHECKED_FORMAT = 44_100.0, "16-bit"
CHECKSUMS = {
    "01a": 0x646964AF, "01b": 0x3CC495E8, "02": 0xEEC51A1D, "03": 0x421EB2CE, "04a": 0xFDED086F,
    "04b": 0x7FDFD98E, "05a": 0xE662112F, "05b": 0x33B7BFE9, "05c": 0x752211A1, "06a": 0x493E5403,
    "06b": 0x952DD1A3, "06c": 0xE9CD3701, "06d": 0x0A4EDD7A, "06e": 0xE5E9D9D7, "06f": 0x694CC774,
    "06g": 0x3119CD40, "07": 0xA7C49FF8, "08": 0x0C5A11A4, "09a": 0xD29C8F3F, "09b": 0x15DED8B4,
    "09c": 0x1F96F585, "09d": 0x245B7AD6, "10": 0x9FF0D78F, "11a": 0x67924481, "11b": 0xBA0AE15D,
    "11c": 0xA075AC9E, "11d": 0x96933713, "11e": 0x3C6D2FBA, "11f": 0x9C72DACF, "11g": 0x741EFF4D,
    "11h": 0x1FBCB221, "12a": 0x91E8D4BD, "12b": 0x1A51CA79, "12c": 0x078264D5, "12d": 0xECF30EAB,
    "12e": 0x8F4EB7FA, "12f": 0x17A309C3, "13a": 0x1212E8F7, "13b": 0x12114B21, "14": 0x8B0BCC7B,
    "15": 0x96CC2BF5, "16": 0x139C1597, "17": 0xC7F3AE34, "18": 0x7F3B2914, "19a": 0x4D7D4191,
    "19b": 0xBBAAD34F, "19c": 0xB7F4A5BB, "20": 0x4401EFD8, "21": 0x7EA93EE7, "23": 0xAD6B1661,
    "24": 0x12616283, "25": 0x1D3442D2, "26": 0x5F65847A, "27": 0x9EFD7992, "28": 0xC5A0DE46,
    "29a": 0xC1115582, "29b": 0xE8935693, "29c": 0x7DBC61D4,
}  # fmt: skip
"""CRC-32 (ISO-HDLC, as in a ZIP) of the whole file at that rate and format."""
