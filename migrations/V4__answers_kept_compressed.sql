-- Keeps answers as the service has compressed them, once: Postgres does not compress them again.

-- What the bytes in `response` are: `identity`, as in every entry from before, or `zstd`, one frame. `response_length` is
-- the length of the answer itself, where that is not the length of what is kept. Both are in the entry's digest, which is
-- over the bytes as they are kept (service/store/src/audit/entry.rs).
ALTER TABLE audit_entries
    ADD COLUMN response_coding text NOT NULL DEFAULT 'identity',
    ADD COLUMN response_length bigint;

-- Entries from before have the defaults: nothing to look through.
ALTER TABLE audit_entries ADD CONSTRAINT audit_entries_response_check CHECK (
    (response_coding = 'identity' AND response_length IS NULL) OR (response_coding = 'zstd' AND response_length >= 0)
) NOT VALID;

-- Reaches every partition, and those to come: they are made like this table.
ALTER TABLE audit_entries ALTER COLUMN response SET STORAGE EXTERNAL;
