/**
 * The database's growth, one step of SQL for each version: step n takes `meta.version` from n to n + 1. A step that was
 * released is never changed; a change is a new step.
 *
 * Readings live in two places: first a row a pack, as they came; later their samples are part of a chunk of their channel. A pack's
 * `tx` is the transaction that wrote it: by it those that judge can tell up to where nothing can appear any more (`tail.ts`).
 * `n` keeps the order in which rows were made. Times are Unix ms; a clock that runs at a demo's speed makes fractions.
 */
export const MIGRATIONS: readonly string[] = [
  `
  CREATE TABLE speaker (id integer GENERATED ALWAYS AS IDENTITY PRIMARY KEY, name text NOT NULL UNIQUE);
  CREATE TABLE channel (
    id integer GENERATED ALWAYS AS IDENTITY PRIMARY KEY, speaker integer NOT NULL REFERENCES speaker, name text NOT NULL,
    unit text NOT NULL, UNIQUE (speaker, name, unit)
  );
  -- The pack numbers of one power-up that are in chunks; those still in packs are known by the packs.
  CREATE TABLE boot (
    id integer GENERATED ALWAYS AS IDENTITY PRIMARY KEY, speaker integer NOT NULL REFERENCES speaker, name text NOT NULL,
    sealed int8multirange NOT NULL DEFAULT '{}', UNIQUE (speaker, name)
  );
  CREATE TABLE pack (
    tx xid8 NOT NULL DEFAULT pg_current_xact_id(), id bigint GENERATED ALWAYS AS IDENTITY, speaker integer NOT NULL,
    boot integer, seq bigint, received_ms bigint NOT NULL, from_ms bigint NOT NULL, to_ms bigint NOT NULL, body bytea NOT NULL,
    PRIMARY KEY (tx, id)
  ) WITH (autovacuum_vacuum_scale_factor = 0.05, autovacuum_vacuum_insert_scale_factor = 0.2);
  -- A repeat is kept once, whoever got it: the packs of one power-up have numbers of their own.
  CREATE UNIQUE INDEX pack_once ON pack (boot, seq) WHERE boot IS NOT NULL;
  CREATE INDEX pack_by_speaker ON pack (speaker, to_ms);
  CREATE TABLE chunk (
    id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY, channel integer NOT NULL, from_ms bigint NOT NULL, to_ms bigint NOT NULL,
    count integer NOT NULL, body bytea NOT NULL
  );
  -- Dense already.
  ALTER TABLE chunk ALTER COLUMN body SET STORAGE EXTERNAL;
  ALTER TABLE pack ALTER COLUMN body SET STORAGE EXTERNAL;
  CREATE INDEX chunk_by_time ON chunk (channel, to_ms, from_ms);

  CREATE TABLE quarantine (
    id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY, received_ms double precision NOT NULL, device text NOT NULL,
    topic text NOT NULL, reason text NOT NULL, detail text NOT NULL, payload bytea NOT NULL, bytes integer NOT NULL
  );
  CREATE TABLE rule_memory (vessel text PRIMARY KEY, json text NOT NULL);
  CREATE TABLE alarm (
    n bigint GENERATED ALWAYS AS IDENTITY, id text PRIMARY KEY, vessel text, rule text NOT NULL, priority text NOT NULL,
    raised_ms double precision NOT NULL,
    -- When it was over, acknowledged or not; null while it stands.
    ended_ms double precision, json text NOT NULL
  );
  CREATE INDEX alarm_by_time ON alarm (raised_ms);
  CREATE INDEX alarm_by_vessel ON alarm (vessel, raised_ms);
  CREATE INDEX alarm_standing ON alarm (raised_ms) WHERE ended_ms IS NULL;
  CREATE INDEX alarm_ended ON alarm (ended_ms) WHERE ended_ms IS NOT NULL;
  CREATE TABLE watch_log (
    id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY, kind text NOT NULL, at_ms double precision NOT NULL, vessel text,
    alarm text, json text NOT NULL
  );
  CREATE INDEX watch_log_by_time ON watch_log (at_ms, id);

  CREATE TABLE vessel (
    n bigint GENERATED ALWAYS AS IDENTITY, id text PRIMARY KEY, name text NOT NULL, litres double precision NOT NULL,
    created_ms double precision NOT NULL, retired_ms double precision
  );
  CREATE TABLE assignment (
    n bigint GENERATED ALWAYS AS IDENTITY, id text PRIMARY KEY, vessel text NOT NULL, role text NOT NULL, device text NOT NULL,
    channel text NOT NULL, "offset" double precision NOT NULL, gain double precision NOT NULL, uncertainty double precision,
    from_ms double precision NOT NULL, to_ms double precision
  );
  CREATE TABLE batch (
    n bigint GENERATED ALWAYS AS IDENTITY, id text PRIMARY KEY, vessel text NOT NULL, started_ms double precision NOT NULL,
    ended_ms double precision, litres double precision NOT NULL, cysts_g double precision NOT NULL,
    salinity_gpl double precision NOT NULL, lot text, goal text NOT NULL, note text, discarded_ms double precision
  );
  CREATE INDEX batch_by_time ON batch (started_ms);
  CREATE INDEX batch_by_vessel ON batch (vessel, started_ms);
  CREATE INDEX batch_by_lot ON batch (lot, started_ms) WHERE lot IS NOT NULL;
  CREATE TABLE batch_event (
    n bigint GENERATED ALWAYS AS IDENTITY, id text PRIMARY KEY, batch text NOT NULL, at_ms double precision NOT NULL,
    recorded_ms double precision NOT NULL, "by" text NOT NULL, kind text NOT NULL, json text NOT NULL,
    withdrawn_ms double precision
  );
  CREATE INDEX batch_event_by_time ON batch_event (batch, at_ms);
  CREATE INDEX batch_event_by_kind ON batch_event (kind, at_ms);

  CREATE TABLE delivery (
    n bigint GENERATED ALWAYS AS IDENTITY, id text PRIMARY KEY, alarm text, person text NOT NULL, channel text NOT NULL,
    created_ms double precision NOT NULL, state text NOT NULL, attempts integer NOT NULL, next_ms double precision NOT NULL,
    done_ms double precision, error text, json text NOT NULL
  );
  CREATE INDEX delivery_waiting ON delivery (created_ms) WHERE done_ms IS NULL;
  CREATE INDEX delivery_done ON delivery (done_ms, n) WHERE done_ms IS NOT NULL;
  CREATE TABLE telling (alarm text PRIMARY KEY, json text NOT NULL);
  CREATE TABLE document (key text PRIMARY KEY, json text NOT NULL);

  CREATE TABLE record (
    n bigint GENERATED ALWAYS AS IDENTITY, kind text NOT NULL, id text NOT NULL, created_ms double precision NOT NULL,
    changed_ms double precision NOT NULL, ended_ms double precision, json text NOT NULL, PRIMARY KEY (kind, id)
  );
  CREATE TABLE entry (
    n bigint GENERATED ALWAYS AS IDENTITY, id text PRIMARY KEY, book text NOT NULL, subject text NOT NULL,
    at_ms double precision NOT NULL, recorded_ms double precision NOT NULL, "by" text NOT NULL, json text NOT NULL,
    withdrawn_ms double precision
  );
  CREATE INDEX entry_by_time ON entry (book, at_ms);
  CREATE TABLE photo (
    id text PRIMARY KEY, batch text NOT NULL, media text NOT NULL, created_ms double precision NOT NULL,
    bytes integer NOT NULL, body bytea NOT NULL
  );
  CREATE INDEX photo_by_batch ON photo (batch, bytes);

  CREATE TABLE device (
    n bigint GENERATED ALWAYS AS IDENTITY, name text PRIMARY KEY, secret_hash text NOT NULL,
    created_ms double precision NOT NULL, revoked_ms double precision, removed_ms double precision, offered_hash text,
    offered_until_ms double precision
  );
  CREATE TABLE token (
    n bigint GENERATED ALWAYS AS IDENTITY, name text PRIMARY KEY, hash text NOT NULL, created_ms double precision NOT NULL,
    role text NOT NULL
  );
  -- No index over the hash: whatever is sent as one would have to fit into it.
  CREATE TABLE session (
    n bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY, hash text NOT NULL, created_ms double precision NOT NULL,
    expires_ms double precision NOT NULL, person text, address text, agent text
  );
  CREATE INDEX session_by_hash ON session USING hash (hash);
  CREATE INDEX session_expiry ON session (expires_ms);
  CREATE TABLE audit (
    id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY, at_ms double precision NOT NULL, act text NOT NULL, subject text,
    who text NOT NULL, role text, address text, failed boolean NOT NULL
  );
  CREATE INDEX audit_by_outcome ON audit (failed, id);
  `,
  // Who judges, and up to where; no position: what there is was judged where it was taken in.
  `
  CREATE TABLE lead (
    one boolean PRIMARY KEY DEFAULT true CHECK (one), epoch bigint NOT NULL, worker text NOT NULL, address text NOT NULL,
    tx xid8, id bigint
  );
  INSERT INTO lead (epoch, worker, address, tx, id)
    SELECT 0, '', '', CASE WHEN EXISTS (SELECT 1 FROM pack) THEN NULL ELSE '0'::xid8 END,
      CASE WHEN EXISTS (SELECT 1 FROM pack) THEN NULL ELSE 0 END;
  `,
]
