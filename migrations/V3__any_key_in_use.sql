-- Says whether any key is in use: a service that takes keys and has none warns at its start.

-- Runs as the owner, for it looks at every firm's keys and names none of them.
CREATE FUNCTION any_key_in_use() RETURNS boolean
LANGUAGE sql STABLE SECURITY DEFINER
SET search_path = pg_catalog, pg_temp
AS $$
    SELECT EXISTS (SELECT FROM public.api_keys AS k WHERE k.revoked_at IS NULL)
$$;
REVOKE EXECUTE ON FUNCTION any_key_in_use() FROM PUBLIC;
GRANT EXECUTE ON FUNCTION any_key_in_use() TO estimator_app;
