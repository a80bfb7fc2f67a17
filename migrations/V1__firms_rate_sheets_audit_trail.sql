-- The first schema: firms apart from each other, rate sheets that never change once written, an audit trail that can be proved whole.
--
-- Three rules hold for every table here and later:
-- 1. Keys begin with the firm, so that the tables can be distributed by it.
-- 2. Row security is enabled and forced, by the firm that the transaction has set; none set shows no rows.
-- 3. The service works as the role estimator_app, which owns nothing and holds only the grants written here.

-- The service's role. Roles belong to the whole server, so it may be there already, made by hand or by a twin that is
-- migrating the database beside this one.
DO $$
BEGIN
    IF NOT EXISTS (SELECT FROM pg_roles WHERE rolname = 'estimator_app') THEN
        CREATE ROLE estimator_app NOLOGIN NOSUPERUSER NOBYPASSRLS;
    END IF;
EXCEPTION WHEN duplicate_object OR unique_violation THEN
    NULL;
END $$;

-- Whoever migrates must be able to become the service's role.
DO $$
BEGIN
    IF NOT pg_has_role(CURRENT_USER, 'estimator_app', 'MEMBER') THEN
        EXECUTE format('GRANT estimator_app TO %I', CURRENT_USER);
    END IF;
END $$;

GRANT USAGE ON SCHEMA public TO estimator_app;
-- So that a service which may not change the schema can see that there is nothing to change.
GRANT SELECT ON refinery_schema_history TO estimator_app;

-- The firm of the present transaction, or null.
CREATE FUNCTION current_firm() RETURNS uuid
LANGUAGE sql STABLE PARALLEL SAFE
RETURN nullif(current_setting('app.firm', true), '')::uuid;

-- Raised by triggers on rows that are history.
CREATE FUNCTION refuse_change() RETURNS trigger
LANGUAGE plpgsql
AS $$
BEGIN
    RAISE EXCEPTION 'rows of % are never changed or removed', TG_TABLE_NAME USING ERRCODE = 'restrict_violation';
END $$;


-- Firms ------------------------------------------------------------------------------------------------------------

CREATE TABLE firms (
    firm       uuid        NOT NULL,
    name       text        NOT NULL,
    created_at timestamptz NOT NULL DEFAULT now(),
    CONSTRAINT firms_pkey PRIMARY KEY (firm),
    CONSTRAINT firms_name_key UNIQUE (name),
    CONSTRAINT firms_name_check CHECK (char_length(name) BETWEEN 1 AND 200)
);

ALTER TABLE firms ENABLE ROW LEVEL SECURITY;
ALTER TABLE firms FORCE ROW LEVEL SECURITY;
CREATE POLICY own_firm ON firms USING (firm = current_firm()) WITH CHECK (firm = current_firm());
-- The owner is under row security too (it is forced). The two functions below run as the owner and must see past it:
-- a name or a key is what the firm is found by.
CREATE POLICY found_by_name ON firms FOR SELECT TO CURRENT_USER USING (true);
GRANT SELECT ON firms TO estimator_app;


-- Keys -------------------------------------------------------------------------------------------------------------

CREATE TABLE api_keys (
    firm       uuid        NOT NULL,
    id         uuid        NOT NULL,
    -- SHA-256 of the key. A key has 256 random bits, so a plain digest cannot be guessed back.
    key_digest bytea       NOT NULL,
    -- What a person recognises a key by.
    last_four  text        NOT NULL,
    name       text        NOT NULL,
    created_at timestamptz NOT NULL DEFAULT now(),
    revoked_at timestamptz,
    CONSTRAINT api_keys_pkey PRIMARY KEY (firm, id),
    CONSTRAINT api_keys_firm_fkey FOREIGN KEY (firm) REFERENCES firms (firm),
    CONSTRAINT api_keys_key_digest_key UNIQUE (key_digest),
    CONSTRAINT api_keys_key_digest_check CHECK (octet_length(key_digest) = 32),
    CONSTRAINT api_keys_name_check CHECK (char_length(name) BETWEEN 1 AND 200)
);

ALTER TABLE api_keys ENABLE ROW LEVEL SECURITY;
ALTER TABLE api_keys FORCE ROW LEVEL SECURITY;
CREATE POLICY own_firm ON api_keys USING (firm = current_firm()) WITH CHECK (firm = current_firm());
CREATE POLICY found_by_key ON api_keys FOR SELECT TO CURRENT_USER USING (true);
GRANT SELECT, INSERT ON api_keys TO estimator_app;
GRANT UPDATE (revoked_at) ON api_keys TO estimator_app;

-- The firm that a live key belongs to: the one look-up that comes before the firm is known.
CREATE FUNCTION firm_of_key(digest bytea) RETURNS uuid
LANGUAGE sql STABLE SECURITY DEFINER
SET search_path = pg_catalog, pg_temp
AS $$
    SELECT k.firm FROM public.api_keys AS k WHERE k.key_digest = digest AND k.revoked_at IS NULL
$$;
REVOKE EXECUTE ON FUNCTION firm_of_key(bytea) FROM PUBLIC;
GRANT EXECUTE ON FUNCTION firm_of_key(bytea) TO estimator_app;


-- Rate sheets --------------------------------------------------------------------------------------------------------

CREATE TABLE rate_sheets (
    firm       uuid        NOT NULL,
    name       text        NOT NULL,
    created_at timestamptz NOT NULL DEFAULT now(),
    CONSTRAINT rate_sheets_pkey PRIMARY KEY (firm, name),
    CONSTRAINT rate_sheets_firm_fkey FOREIGN KEY (firm) REFERENCES firms (firm),
    CONSTRAINT rate_sheets_name_check CHECK (char_length(name) BETWEEN 1 AND 100)
);

ALTER TABLE rate_sheets ENABLE ROW LEVEL SECURITY;
ALTER TABLE rate_sheets FORCE ROW LEVEL SECURITY;
CREATE POLICY own_firm ON rate_sheets USING (firm = current_firm()) WITH CHECK (firm = current_firm());
GRANT SELECT, INSERT ON rate_sheets TO estimator_app;

CREATE TABLE rate_sheet_versions (
    firm       uuid        NOT NULL,
    name       text        NOT NULL,
    version    integer     NOT NULL,
    currency   text        NOT NULL,
    -- The document as it came, to the byte; the store does not read it.
    content    bytea       NOT NULL,
    digest     bytea       NOT NULL,
    -- Whether the figures are invented demonstration data rather than a firm's own.
    invented   boolean     NOT NULL,
    notes      text,
    created_at timestamptz NOT NULL DEFAULT now(),
    CONSTRAINT rate_sheet_versions_pkey PRIMARY KEY (firm, name, version),
    CONSTRAINT rate_sheet_versions_sheet_fkey FOREIGN KEY (firm, name) REFERENCES rate_sheets (firm, name),
    CONSTRAINT rate_sheet_versions_version_check CHECK (version >= 1),
    CONSTRAINT rate_sheet_versions_currency_check CHECK (currency ~ '^[A-Z]{3}$'),
    CONSTRAINT rate_sheet_versions_digest_check CHECK (digest = sha256(content))
);

ALTER TABLE rate_sheet_versions ENABLE ROW LEVEL SECURITY;
ALTER TABLE rate_sheet_versions FORCE ROW LEVEL SECURITY;
CREATE POLICY own_firm ON rate_sheet_versions USING (firm = current_firm()) WITH CHECK (firm = current_firm());
GRANT SELECT, INSERT ON rate_sheet_versions TO estimator_app;

CREATE TRIGGER immutable_row BEFORE UPDATE OR DELETE ON rate_sheet_versions
    FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE TRIGGER immutable_table BEFORE TRUNCATE ON rate_sheet_versions
    FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();


-- The audit trail ----------------------------------------------------------------------------------------------------

-- The end of each firm's chain. Locking this row is what puts a firm's entries one after the other.
CREATE TABLE audit_heads (
    firm            uuid   NOT NULL,
    n               bigint NOT NULL,
    digest          bytea  NOT NULL,
    previous_digest bytea  NOT NULL,
    CONSTRAINT audit_heads_pkey PRIMARY KEY (firm),
    CONSTRAINT audit_heads_firm_fkey FOREIGN KEY (firm) REFERENCES firms (firm),
    CONSTRAINT audit_heads_n_check CHECK (n >= 0),
    CONSTRAINT audit_heads_digest_check CHECK (octet_length(digest) = 32 AND octet_length(previous_digest) = 32)
) WITH (fillfactor = 50); -- every entry rewrites the row: leave it room to stay on its page

ALTER TABLE audit_heads ENABLE ROW LEVEL SECURITY;
ALTER TABLE audit_heads FORCE ROW LEVEL SECURITY;
CREATE POLICY own_firm ON audit_heads USING (firm = current_firm()) WITH CHECK (firm = current_firm());
GRANT SELECT, UPDATE ON audit_heads TO estimator_app;

-- An entry's digest: what came before, its place, and the digest of its content, each preceded by its length in eight
-- bytes. The content's digest is worked out by the service, from the same bytes that it sends here; see
-- service/store/src/audit/entry.rs, which also works out this one again whenever an entry is read.
CREATE FUNCTION audit_digest(previous bytea, n bigint, content bytea) RETURNS bytea
LANGUAGE sql IMMUTABLE PARALLEL SAFE
RETURN sha256(
    int8send(4::bigint) || int4send(1) -- the number of this layout
    || int8send(octet_length(previous)::bigint) || previous
    || int8send(8::bigint) || int8send(n)
    || int8send(octet_length(content)::bigint) || content
);

-- One row an answer given. No foreign key to the firm or the rate sheet: each would lock one and the same row for every
-- entry. The firm is held by its head, without which there is no entry; rate-sheet versions are never removed.
-- (firm, n) is unique because n comes from the locked head; a partitioned table can only enforce keys that hold its
-- partition key, the identifier.
CREATE TABLE audit_entries (
    firm               uuid        NOT NULL,
    n                  bigint      NOT NULL,
    -- UUIDv7, so that it sorts by time: it is what the table is partitioned by, and a look-up by it opens one partition.
    id                 uuid        NOT NULL,
    kind               text        NOT NULL,
    created_at         timestamptz NOT NULL,
    reference          text,
    -- Bodies are kept to the byte. jsonb would reorder keys and drop doubled ones.
    request            bytea       NOT NULL,
    request_media_type text        NOT NULL,
    response           bytea       NOT NULL,
    rate_sheet_name    text        NOT NULL,
    rate_sheet_version integer     NOT NULL,
    ruleset            text        NOT NULL,
    engine_version     text        NOT NULL,
    gross              numeric(14, 2),
    digest             bytea       NOT NULL,
    previous_digest    bytea       NOT NULL,
    CONSTRAINT audit_entries_pkey PRIMARY KEY (firm, id),
    CONSTRAINT audit_entries_n_check CHECK (n >= 1),
    CONSTRAINT audit_entries_digest_check CHECK (octet_length(digest) = 32 AND octet_length(previous_digest) = 32)
) PARTITION BY RANGE (id);

CREATE INDEX audit_entries_chain ON audit_entries (firm, n);

-- LZ4 is faster than the default for bodies of this kind and nearly as small. A Postgres built without it (the embedded
-- one) does not list it, and keeps the default.
DO $$
BEGIN
    IF EXISTS (SELECT FROM pg_settings WHERE name = 'default_toast_compression' AND 'lz4' = ANY (enumvals)) THEN
        ALTER TABLE audit_entries
            ALTER COLUMN request SET COMPRESSION lz4,
            ALTER COLUMN response SET COMPRESSION lz4;
    END IF;
END $$;

ALTER TABLE audit_entries ENABLE ROW LEVEL SECURITY;
ALTER TABLE audit_entries FORCE ROW LEVEL SECURITY;
CREATE POLICY own_firm ON audit_entries USING (firm = current_firm()) WITH CHECK (firm = current_firm());
GRANT SELECT, INSERT ON audit_entries TO estimator_app;

CREATE TRIGGER immutable_row BEFORE UPDATE OR DELETE ON audit_entries
    FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE TRIGGER immutable_table BEFORE TRUNCATE ON audit_entries
    FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();

-- Row security, policy and the guard against TRUNCATE are not inherited by a partition: each gets its own, so that the
-- rules hold there too for whoever opens a partition by its name.
CREATE FUNCTION guard_audit_partition(partition text) RETURNS void
LANGUAGE plpgsql
SET search_path = pg_catalog, pg_temp
AS $$
BEGIN
    EXECUTE format('ALTER TABLE public.%I ENABLE ROW LEVEL SECURITY', partition);
    EXECUTE format('ALTER TABLE public.%I FORCE ROW LEVEL SECURITY', partition);
    EXECUTE format(
        'CREATE POLICY own_firm ON public.%I USING (firm = public.current_firm()) WITH CHECK (firm = public.current_firm())',
        partition);
    EXECUTE format(
        'CREATE TRIGGER immutable_table BEFORE TRUNCATE ON public.%I FOR EACH STATEMENT EXECUTE FUNCTION public.refuse_change()',
        partition);
END $$;
REVOKE EXECUTE ON FUNCTION guard_audit_partition(text) FROM PUBLIC;

-- Catches what no month's partition takes, so that an entry is never refused for want of one.
CREATE TABLE audit_entries_other PARTITION OF audit_entries DEFAULT;
SELECT guard_audit_partition('audit_entries_other');

-- The least UUIDv7 of a time: where that time's partition begins.
CREATE FUNCTION first_id_of(moment timestamptz) RETURNS uuid
LANGUAGE sql IMMUTABLE PARALLEL SAFE
RETURN (lpad(to_hex((extract(epoch FROM moment) * 1000)::bigint), 12, '0') || '00000000000000000000')::uuid;

-- Makes the partitions of this month and the following ones, and says how many it made. Runs as the owner, so that a
-- service without the right to make tables can ask for it. A month of which entries already lie in the default partition
-- stays there: moving history is not for a start-up.
CREATE FUNCTION make_audit_partitions(months integer) RETURNS integer
LANGUAGE plpgsql SECURITY DEFINER
SET search_path = pg_catalog, pg_temp
SET timezone = 'UTC'
AS $$
DECLARE
    this_month CONSTANT timestamptz := date_trunc('month', now());
    made integer := 0;
    month timestamptz;
    partition text;
    first_id uuid;
    end_id uuid;
BEGIN
    FOR ahead IN 0 .. months - 1 LOOP
        month := this_month + make_interval(months => ahead);
        partition := 'audit_entries_' || to_char(month, 'YYYY_MM');
        first_id := public.first_id_of(month);
        end_id := public.first_id_of(month + interval '1 month');
        CONTINUE WHEN to_regclass('public.' || partition) IS NOT NULL;
        CONTINUE WHEN EXISTS (SELECT FROM public.audit_entries_other WHERE id >= first_id AND id < end_id);
        -- Made apart and then attached: creating it in place would lock the whole trail.
        EXECUTE format('CREATE TABLE public.%I (LIKE public.audit_entries INCLUDING ALL)', partition);
        PERFORM public.guard_audit_partition(partition);
        EXECUTE format('ALTER TABLE public.audit_entries ATTACH PARTITION public.%I FOR VALUES FROM (%L) TO (%L)',
            partition, first_id, end_id);
        made := made + 1;
    END LOOP;
    RETURN made;
END $$;
REVOKE EXECUTE ON FUNCTION make_audit_partitions(integer) FROM PUBLIC;
GRANT EXECUTE ON FUNCTION make_audit_partitions(integer) TO estimator_app;
-- The function looks for entries of any firm in the default partition, where the owner is under row security too.
CREATE POLICY found_by_month ON audit_entries_other FOR SELECT TO CURRENT_USER USING (true);


-- Idempotency keys -----------------------------------------------------------------------------------------------------

-- What a caller named a request, and the entry it became. Remembered for 24 hours.
CREATE TABLE idempotency_keys (
    firm        uuid        NOT NULL,
    route       text        NOT NULL,
    key         text        NOT NULL,
    -- SHA-256 of the request's body: the same key with another body is refused.
    fingerprint bytea       NOT NULL,
    entry       uuid        NOT NULL,
    created_at  timestamptz NOT NULL DEFAULT now(),
    CONSTRAINT idempotency_keys_pkey PRIMARY KEY (firm, route, key),
    CONSTRAINT idempotency_keys_key_check CHECK (char_length(key) BETWEEN 1 AND 255),
    CONSTRAINT idempotency_keys_fingerprint_check CHECK (octet_length(fingerprint) = 32)
);

CREATE INDEX idempotency_keys_age ON idempotency_keys (firm, created_at);

ALTER TABLE idempotency_keys ENABLE ROW LEVEL SECURITY;
ALTER TABLE idempotency_keys FORCE ROW LEVEL SECURITY;
CREATE POLICY own_firm ON idempotency_keys USING (firm = current_firm()) WITH CHECK (firm = current_firm());
GRANT SELECT, INSERT, UPDATE, DELETE ON idempotency_keys TO estimator_app;


-- Making a firm ----------------------------------------------------------------------------------------------------------

-- The firm of that name, made with an empty chain if there is none. Its name is all that is known of it beforehand, so it
-- runs as the owner; what it writes is still under the policy of the firm that it writes.
CREATE FUNCTION ensure_firm(firm_name text, new_firm uuid) RETURNS uuid
LANGUAGE plpgsql SECURITY DEFINER
SET search_path = pg_catalog, pg_temp
AS $$
DECLARE
    -- Put back at the end. A SET clause of the function would do that too, but only a superuser may write one for this setting.
    firm_before CONSTANT text := coalesce(current_setting('app.firm', true), '');
    found_firm uuid;
BEGIN
    SELECT f.firm INTO found_firm FROM public.firms AS f WHERE f.name = firm_name;
    IF found_firm IS NULL THEN
        PERFORM set_config('app.firm', new_firm::text, true);
        INSERT INTO public.firms (firm, name) VALUES (new_firm, firm_name) ON CONFLICT (name) DO NOTHING;
        SELECT f.firm INTO STRICT found_firm FROM public.firms AS f WHERE f.name = firm_name;
        IF found_firm = new_firm THEN
            INSERT INTO public.audit_heads (firm, n, digest, previous_digest)
            VALUES (new_firm, 0, decode(repeat('00', 32), 'hex'), decode(repeat('00', 32), 'hex'));
        END IF;
        PERFORM set_config('app.firm', firm_before, true);
    END IF;
    RETURN found_firm;
END $$;
REVOKE EXECUTE ON FUNCTION ensure_firm(text, uuid) FROM PUBLIC;
GRANT EXECUTE ON FUNCTION ensure_firm(text, uuid) TO estimator_app;
