-- What a firm and its clients put on their papers: kept apart from surveys and estimates, outside the audit trail, so that it
-- can be changed and taken away.

CREATE TABLE firm_details (
    firm       uuid        NOT NULL,
    -- The document as it came, to the byte; the store does not read it.
    content    bytea       NOT NULL,
    changed_at timestamptz NOT NULL DEFAULT now(),
    CONSTRAINT firm_details_pkey PRIMARY KEY (firm),
    CONSTRAINT firm_details_firm_fkey FOREIGN KEY (firm) REFERENCES firms (firm)
);

ALTER TABLE firm_details ENABLE ROW LEVEL SECURITY;
ALTER TABLE firm_details FORCE ROW LEVEL SECURITY;
CREATE POLICY own_firm ON firm_details USING (firm = current_firm()) WITH CHECK (firm = current_firm());
GRANT SELECT, INSERT, UPDATE ON firm_details TO estimator_app;

CREATE TABLE estimate_clients (
    firm       uuid        NOT NULL,
    -- The entry of the audit trail that the estimate is.
    estimate   uuid        NOT NULL,
    content    bytea       NOT NULL,
    changed_at timestamptz NOT NULL DEFAULT now(),
    CONSTRAINT estimate_clients_pkey PRIMARY KEY (firm, estimate),
    CONSTRAINT estimate_clients_firm_fkey FOREIGN KEY (firm) REFERENCES firms (firm)
);

ALTER TABLE estimate_clients ENABLE ROW LEVEL SECURITY;
ALTER TABLE estimate_clients FORCE ROW LEVEL SECURITY;
CREATE POLICY own_firm ON estimate_clients USING (firm = current_firm()) WITH CHECK (firm = current_firm());
GRANT SELECT, INSERT, UPDATE, DELETE ON estimate_clients TO estimator_app;
