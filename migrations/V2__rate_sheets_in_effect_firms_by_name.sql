-- Says from when to when a version of a rate sheet is used by estimates that name none, and finds a firm without making it.

-- Both may be empty, and are for every version kept before: in effect at once and without end.
ALTER TABLE rate_sheet_versions
    ADD COLUMN effective_from  date,
    ADD COLUMN effective_until date,
    ADD CONSTRAINT rate_sheet_versions_effective_check CHECK (effective_until >= effective_from);

-- The firm of that name, or null. Runs as the owner for the reason that ensure_firm does: the name is all that is known.
CREATE FUNCTION firm_of_name(firm_name text) RETURNS uuid
LANGUAGE sql STABLE SECURITY DEFINER
SET search_path = pg_catalog, pg_temp
AS $$
    SELECT f.firm FROM public.firms AS f WHERE f.name = firm_name
$$;
REVOKE EXECUTE ON FUNCTION firm_of_name(text) FROM PUBLIC;
GRANT EXECUTE ON FUNCTION firm_of_name(text) TO estimator_app;
