/** A journal's packs, one row each, become frames of one pack each, laid out as `codec/frame.ts` says. */
const toFrames = (journal: string) => `
  ALTER TABLE ${journal} RENAME TO loose;
  CREATE TABLE ${journal} (
    id INTEGER PRIMARY KEY, from_ms INTEGER NOT NULL, packs INTEGER NOT NULL, body BLOB NOT NULL
  );
  INSERT INTO ${journal} (id, from_ms, packs, body)
    SELECT id, from_ms, 1, CAST(unhex(printf('%08x%08x%016x%016x%08x',
      speaker, coalesce(boot, 0), coalesce(seq, 0), received_ms, length(body))) || body AS BLOB) FROM loose;
  DROP TABLE loose;
`

/**
 * The database's growth, one step of SQL for each version: step n takes `user_version` from n to n + 1. A step that was
 * released is never changed; a change is a new step.
 *
 * Readings live in two places. The packs of one commit first become one row of a journal, a frame; there are two journals,
 * so that one can be packed while the other is written. Packed, their samples are part of a chunk of their channel.
 */
export const MIGRATIONS: readonly string[] = [
  `
  CREATE TABLE speaker (id INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE);
  CREATE TABLE channel (
    id INTEGER PRIMARY KEY, speaker INTEGER NOT NULL REFERENCES speaker, name TEXT NOT NULL, unit TEXT NOT NULL,
    UNIQUE (speaker, name, unit)
  );
  -- The pack numbers of one power-up that are in chunks; those in a journal are added when the store opens.
  CREATE TABLE boot (
    id INTEGER PRIMARY KEY, speaker INTEGER NOT NULL REFERENCES speaker, name TEXT NOT NULL, ranges BLOB NOT NULL,
    UNIQUE (speaker, name)
  );
  -- No index: it would be written in as many places as there are devices, at every commit.
  CREATE TABLE journal_a (
    id INTEGER PRIMARY KEY, speaker INTEGER NOT NULL, boot INTEGER, seq INTEGER, from_ms INTEGER NOT NULL,
    received_ms INTEGER NOT NULL, body BLOB NOT NULL
  );
  CREATE TABLE journal_b (
    id INTEGER PRIMARY KEY, speaker INTEGER NOT NULL, boot INTEGER, seq INTEGER, from_ms INTEGER NOT NULL,
    received_ms INTEGER NOT NULL, body BLOB NOT NULL
  );
  CREATE TABLE chunk (
    id INTEGER PRIMARY KEY, channel INTEGER NOT NULL, from_ms INTEGER NOT NULL, to_ms INTEGER NOT NULL,
    count INTEGER NOT NULL, body BLOB NOT NULL
  );
  -- Ends first: what is asked for is mostly recent, and the newest sample is at the end.
  CREATE INDEX chunk_by_time ON chunk (channel, to_ms, from_ms);

  CREATE TABLE quarantine (
    id INTEGER PRIMARY KEY AUTOINCREMENT, received_ms INTEGER NOT NULL, device TEXT NOT NULL, topic TEXT NOT NULL,
    reason TEXT NOT NULL, detail TEXT NOT NULL, payload BLOB NOT NULL, bytes INTEGER NOT NULL
  );

  CREATE TABLE rule_memory (vessel TEXT PRIMARY KEY, json TEXT NOT NULL) WITHOUT ROWID;
  CREATE TABLE alarm (
    id TEXT NOT NULL UNIQUE, vessel TEXT NOT NULL, raised_ms INTEGER NOT NULL,
    -- When it was over, acknowledged or not; null while it stands.
    ended_ms INTEGER, json TEXT NOT NULL
  );
  CREATE INDEX alarm_by_time ON alarm (raised_ms);
  CREATE INDEX alarm_by_vessel ON alarm (vessel, raised_ms);
  CREATE INDEX alarm_standing ON alarm (raised_ms) WHERE ended_ms IS NULL;
  CREATE INDEX alarm_ended ON alarm (ended_ms) WHERE ended_ms IS NOT NULL;

  CREATE TABLE vessel (
    id TEXT PRIMARY KEY, name TEXT NOT NULL, litres REAL NOT NULL, created_ms INTEGER NOT NULL, retired_ms INTEGER
  );
  CREATE TABLE assignment (
    id TEXT PRIMARY KEY, vessel TEXT NOT NULL, role TEXT NOT NULL, device TEXT NOT NULL, channel TEXT NOT NULL,
    "offset" REAL NOT NULL, from_ms INTEGER NOT NULL, to_ms INTEGER
  );
  CREATE TABLE batch (
    id TEXT PRIMARY KEY, vessel TEXT NOT NULL, started_ms INTEGER NOT NULL, ended_ms INTEGER, litres REAL NOT NULL,
    cysts_g REAL NOT NULL, salinity_gpl REAL NOT NULL, lot TEXT, note TEXT
  );
  CREATE INDEX batch_by_time ON batch (started_ms);
  CREATE INDEX batch_by_vessel ON batch (vessel, started_ms);
  CREATE TABLE document (key TEXT PRIMARY KEY, json TEXT NOT NULL) WITHOUT ROWID;

  CREATE TABLE device (
    name TEXT PRIMARY KEY, secret_hash TEXT NOT NULL, created_ms INTEGER NOT NULL, revoked_ms INTEGER
  );
  CREATE TABLE token (name TEXT PRIMARY KEY, hash TEXT NOT NULL, created_ms INTEGER NOT NULL);
  CREATE TABLE session (hash TEXT PRIMARY KEY, created_ms INTEGER NOT NULL, expires_ms INTEGER NOT NULL);
  CREATE INDEX session_expiry ON session (expires_ms);
  `,
  `
  ALTER TABLE batch ADD COLUMN goal TEXT NOT NULL DEFAULT 'balanced';
  CREATE INDEX batch_by_lot ON batch (lot, started_ms) WHERE lot IS NOT NULL;
  CREATE TABLE batch_event (
    id TEXT PRIMARY KEY, batch TEXT NOT NULL, at_ms INTEGER NOT NULL, recorded_ms INTEGER NOT NULL, "by" TEXT NOT NULL,
    kind TEXT NOT NULL, json TEXT NOT NULL, withdrawn_ms INTEGER
  );
  CREATE INDEX batch_event_by_time ON batch_event (batch, at_ms);
  `,
  `${toFrames('journal_a')}${toFrames('journal_b')}`,
  'ALTER TABLE batch ADD COLUMN discarded_ms INTEGER;',
  // An alarm may concern the whole room: its vessel may be null.
  `
  ALTER TABLE alarm RENAME TO alarm_of_vessels;
  CREATE TABLE alarm (
    id TEXT NOT NULL UNIQUE, vessel TEXT, raised_ms INTEGER NOT NULL, ended_ms INTEGER, json TEXT NOT NULL
  );
  INSERT INTO alarm (id, vessel, raised_ms, ended_ms, json)
    SELECT id, vessel, raised_ms, ended_ms, json FROM alarm_of_vessels ORDER BY rowid;
  DROP TABLE alarm_of_vessels;
  CREATE INDEX alarm_by_time ON alarm (raised_ms);
  CREATE INDEX alarm_by_vessel ON alarm (vessel, raised_ms);
  CREATE INDEX alarm_standing ON alarm (raised_ms) WHERE ended_ms IS NULL;
  CREATE INDEX alarm_ended ON alarm (ended_ms) WHERE ended_ms IS NOT NULL;
  `,
  `
  CREATE TABLE delivery (
    id TEXT NOT NULL UNIQUE, alarm TEXT, person TEXT NOT NULL, channel TEXT NOT NULL, created_ms INTEGER NOT NULL,
    state TEXT NOT NULL, attempts INTEGER NOT NULL, next_ms INTEGER NOT NULL, done_ms INTEGER, error TEXT, json TEXT NOT NULL
  );
  CREATE INDEX delivery_waiting ON delivery (created_ms) WHERE done_ms IS NULL;
  CREATE INDEX delivery_done ON delivery (done_ms) WHERE done_ms IS NOT NULL;
  CREATE TABLE telling (alarm TEXT PRIMARY KEY, json TEXT NOT NULL) WITHOUT ROWID;
  `,
  `
  CREATE TABLE watch_log (
    id INTEGER PRIMARY KEY, kind TEXT NOT NULL, at_ms INTEGER NOT NULL, vessel TEXT, alarm TEXT, json TEXT NOT NULL
  );
  CREATE INDEX watch_log_by_time ON watch_log (at_ms);
    `,
  // What the breeder's notebook held. The lots that batches were started from become records.
  `
  CREATE TABLE record (
    kind TEXT NOT NULL, id TEXT NOT NULL, created_ms INTEGER NOT NULL, changed_ms INTEGER NOT NULL, ended_ms INTEGER,
    json TEXT NOT NULL, PRIMARY KEY (kind, id)
  );
  CREATE TABLE entry (
    id TEXT PRIMARY KEY, book TEXT NOT NULL, subject TEXT NOT NULL, at_ms INTEGER NOT NULL, recorded_ms INTEGER NOT NULL,
    "by" TEXT NOT NULL, json TEXT NOT NULL, withdrawn_ms INTEGER
  );
  CREATE INDEX entry_by_time ON entry (book, at_ms);
  CREATE TABLE photo (
    id TEXT PRIMARY KEY, batch TEXT NOT NULL, media TEXT NOT NULL, created_ms INTEGER NOT NULL, bytes INTEGER NOT NULL,
    body BLOB NOT NULL
  );
  CREATE INDEX photo_by_batch ON photo (batch, bytes);
  CREATE INDEX batch_event_by_kind ON batch_event (kind, at_ms);
  INSERT INTO record (kind, id, created_ms, changed_ms, ended_ms, json)
    SELECT 'lot', lower(hex(randomblob(8))), min(started_ms), min(started_ms), NULL, json_object('name', lot)
    FROM batch WHERE lot IS NOT NULL AND discarded_ms IS NULL GROUP BY lot;
  `,
  // A calibration has a gain, and is known to be only so sure.
  `
  ALTER TABLE assignment ADD COLUMN gain REAL NOT NULL DEFAULT 1;
  ALTER TABLE assignment ADD COLUMN uncertainty REAL;
  `,
  // A revoked device stays on the list until it is taken off it; those revoked before were off it already.
  `
  ALTER TABLE device ADD COLUMN removed_ms INTEGER;
  ALTER TABLE device ADD COLUMN offered_hash TEXT;
  ALTER TABLE device ADD COLUMN offered_until_ms INTEGER;
  UPDATE device SET removed_ms = revoked_ms WHERE revoked_ms IS NOT NULL;
  `,
  // Who may do what. Tokens and sessions from before could do everything, and still can.
  `
  ALTER TABLE token ADD COLUMN role TEXT NOT NULL DEFAULT 'owner';
  ALTER TABLE session ADD COLUMN person TEXT;
  ALTER TABLE session ADD COLUMN address TEXT;
  ALTER TABLE session ADD COLUMN agent TEXT;
  CREATE TABLE audit (
    id INTEGER PRIMARY KEY AUTOINCREMENT, at_ms INTEGER NOT NULL, act TEXT NOT NULL, subject TEXT, who TEXT NOT NULL,
    role TEXT, address TEXT, failed INTEGER NOT NULL
  );
  CREATE INDEX audit_by_outcome ON audit (failed, id);
  `,
]
