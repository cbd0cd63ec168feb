-- The first schema. Tables marked append-only are guarded by the triggers at
-- the end: what is written there is never changed, only followed by more.
--
-- Numbers that end in _id are given by the registry, never change and mean
-- nothing outside it. Texts are UTF-8 in Unicode's normal form C with line
-- feeds, and compare byte by byte (no NOCASE: it knows only ASCII letters).
-- Times are ISO 8601 in UTC, days ISO 8601. An absent text is '', an absent
-- number or day is NULL.

-- What happened: one row for each change of the registry, chained by hashes.
-- Its digest is over the rows of the other append-only tables that carry its
-- event_id. It is written after them in the same transaction, so the
-- references to it are checked at commit.
CREATE TABLE events (
  event_id INTEGER PRIMARY KEY AUTOINCREMENT,
  at       TEXT NOT NULL CHECK (at <> ''),
  who      TEXT NOT NULL CHECK (who <> ''),
  action   TEXT NOT NULL,
  reason   TEXT NOT NULL,
  format   INTEGER NOT NULL, -- of the digest: which columns are in it
  digest   TEXT NOT NULL,
  previous TEXT NOT NULL,    -- hash of the event before
  hash     TEXT NOT NULL UNIQUE
) STRICT;

-- The file behind an event, where there is one.
CREATE TABLE sources (
  event_id INTEGER PRIMARY KEY REFERENCES events DEFERRABLE INITIALLY DEFERRED,
  name     TEXT NOT NULL,
  sha256   TEXT NOT NULL CHECK (length(sha256) = 64),
  bytes    INTEGER NOT NULL CHECK (bytes >= 0)
) STRICT;

CREATE TABLE assays (
  assay_id INTEGER PRIMARY KEY,
  event_id INTEGER NOT NULL REFERENCES events DEFERRABLE INITIALLY DEFERRED,
  name     TEXT NOT NULL UNIQUE CHECK (name <> '')
) STRICT;

-- An assay as it was entered or amended. The one with the highest number holds.
CREATE TABLE assay_revisions (
  revision_id  INTEGER PRIMARY KEY,
  assay_id     INTEGER NOT NULL REFERENCES assays,
  number       INTEGER NOT NULL CHECK (number >= 1),
  event_id     INTEGER NOT NULL REFERENCES events DEFERRABLE INITIALLY DEFERRED,
  apiary       TEXT NOT NULL, -- a code; its row in apiaries may come later
  population   TEXT NOT NULL,
  role         TEXT NOT NULL CHECK (role IN ('field', 'baseline')),
  collected_on TEXT CHECK (collected_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
  tested_on    TEXT CHECK (tested_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
  acaricide    TEXT NOT NULL,
  protocol     TEXT NOT NULL,
  unit         TEXT NOT NULL,
  exposure_h   REAL,
  reading_h    REAL,
  content_hash TEXT NOT NULL, -- of what was counted, whatever the name, spelling and order
  record_hash  TEXT NOT NULL, -- of the rows as they are kept
  UNIQUE (assay_id, number)
) STRICT;
CREATE INDEX assay_revisions_by_event ON assay_revisions (event_id);

CREATE TABLE containers (
  revision_id        INTEGER NOT NULL REFERENCES assay_revisions,
  position           INTEGER NOT NULL CHECK (position >= 1),
  line               INTEGER NOT NULL, -- of the source, 0 when unknown
  container          TEXT NOT NULL,
  concentration      REAL NOT NULL CHECK (concentration >= 0),
  concentration_text TEXT NOT NULL, -- as entered
  exposed            INTEGER NOT NULL,
  dead               INTEGER NOT NULL CHECK (dead >= 0),
  moribund           INTEGER NOT NULL CHECK (moribund >= 0),
  missing            INTEGER NOT NULL CHECK (missing >= 0),
  mite_source        TEXT NOT NULL,
  capped_brood       TEXT NOT NULL CHECK (capped_brood IN ('', 'yes', 'no')),
  tested_blind       TEXT NOT NULL CHECK (tested_blind IN ('', 'yes', 'no')),
  note               TEXT NOT NULL,
  extra              TEXT NOT NULL, -- cells of unknown columns, JSON [["name","value"],...]
  PRIMARY KEY (revision_id, position),
  CHECK (dead + moribund + missing <= exposed)
) STRICT, WITHOUT ROWID;

CREATE TABLE apiaries (
  apiary_id INTEGER PRIMARY KEY,
  event_id  INTEGER NOT NULL REFERENCES events DEFERRABLE INITIALLY DEFERRED,
  code      TEXT NOT NULL UNIQUE CHECK (code <> '')
) STRICT;

CREATE TABLE apiary_revisions (
  revision_id  INTEGER PRIMARY KEY,
  apiary_id    INTEGER NOT NULL REFERENCES apiaries,
  number       INTEGER NOT NULL CHECK (number >= 1),
  event_id     INTEGER NOT NULL REFERENCES events DEFERRABLE INITIALLY DEFERRED,
  line         INTEGER NOT NULL,
  region       TEXT NOT NULL,
  latitude     REAL CHECK (latitude BETWEEN -90 AND 90),
  longitude    REAL CHECK (longitude BETWEEN -180 AND 180),
  contact_code TEXT NOT NULL,
  extra        TEXT NOT NULL,
  content_hash TEXT NOT NULL,
  record_hash  TEXT NOT NULL,
  UNIQUE (apiary_id, number)
) STRICT;
CREATE INDEX apiary_revisions_by_event ON apiary_revisions (event_id);

-- What an amendment changed, field by field.
CREATE TABLE changes (
  event_id  INTEGER NOT NULL REFERENCES events DEFERRABLE INITIALLY DEFERRED,
  position  INTEGER NOT NULL CHECK (position >= 1),
  kind      TEXT NOT NULL, -- assay or apiary
  name      TEXT NOT NULL,
  container TEXT NOT NULL, -- '' for a field of the whole
  field     TEXT NOT NULL,
  before    TEXT NOT NULL,
  after     TEXT NOT NULL,
  PRIMARY KEY (event_id, position)
) STRICT, WITHOUT ROWID;

-- Named decisions about findings on assays. Of one assay and code the latest holds.
CREATE TABLE decisions (
  decision_id INTEGER PRIMARY KEY,
  event_id    INTEGER NOT NULL REFERENCES events DEFERRABLE INITIALLY DEFERRED,
  assay_id    INTEGER NOT NULL REFERENCES assays,
  code        TEXT NOT NULL CHECK (code <> ''),
  verdict     TEXT NOT NULL CHECK (verdict IN ('keep', 'discard', 'none')),
  decided_by  TEXT NOT NULL CHECK (decided_by <> ''),
  why         TEXT NOT NULL CHECK (why <> '')
) STRICT;
CREATE INDEX decisions_by_assay ON decisions (assay_id, code);

-- Versions of named baselines, each over fixed revisions of its assays.
CREATE TABLE baselines (
  baseline_id INTEGER PRIMARY KEY,
  event_id    INTEGER NOT NULL REFERENCES events DEFERRABLE INITIALLY DEFERRED,
  name        TEXT NOT NULL CHECK (name <> ''),
  version     INTEGER NOT NULL CHECK (version >= 1),
  note        TEXT NOT NULL,
  UNIQUE (name, version)
) STRICT;

CREATE TABLE baseline_assays (
  baseline_id INTEGER NOT NULL REFERENCES baselines,
  position    INTEGER NOT NULL CHECK (position >= 1),
  revision_id INTEGER NOT NULL REFERENCES assay_revisions,
  PRIMARY KEY (baseline_id, position),
  UNIQUE (baseline_id, revision_id)
) STRICT, WITHOUT ROWID;

-- Results that can be computed again at any time. Not part of the record.
CREATE TABLE results (
  input    TEXT NOT NULL, -- hash of the counts
  options  TEXT NOT NULL, -- hash of the settings
  software TEXT NOT NULL, -- version of the program
  value    BLOB NOT NULL,
  PRIMARY KEY (input, options, software)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER events_no_update BEFORE UPDATE ON events BEGIN
  SELECT RAISE(ABORT, 'the record of events is append-only');
END;
CREATE TRIGGER events_no_delete BEFORE DELETE ON events BEGIN
  SELECT RAISE(ABORT, 'the record of events is append-only');
END;
CREATE TRIGGER sources_no_update BEFORE UPDATE ON sources BEGIN
  SELECT RAISE(ABORT, 'the record of sources is append-only');
END;
CREATE TRIGGER sources_no_delete BEFORE DELETE ON sources BEGIN
  SELECT RAISE(ABORT, 'the record of sources is append-only');
END;
CREATE TRIGGER assays_no_update BEFORE UPDATE ON assays BEGIN
  SELECT RAISE(ABORT, 'the record of assays is append-only');
END;
CREATE TRIGGER assays_no_delete BEFORE DELETE ON assays BEGIN
  SELECT RAISE(ABORT, 'the record of assays is append-only');
END;
CREATE TRIGGER assay_revisions_no_update BEFORE UPDATE ON assay_revisions BEGIN
  SELECT RAISE(ABORT, 'the record of assay_revisions is append-only');
END;
CREATE TRIGGER assay_revisions_no_delete BEFORE DELETE ON assay_revisions BEGIN
  SELECT RAISE(ABORT, 'the record of assay_revisions is append-only');
END;
CREATE TRIGGER containers_no_update BEFORE UPDATE ON containers BEGIN
  SELECT RAISE(ABORT, 'the record of containers is append-only');
END;
CREATE TRIGGER containers_no_delete BEFORE DELETE ON containers BEGIN
  SELECT RAISE(ABORT, 'the record of containers is append-only');
END;
CREATE TRIGGER apiaries_no_update BEFORE UPDATE ON apiaries BEGIN
  SELECT RAISE(ABORT, 'the record of apiaries is append-only');
END;
CREATE TRIGGER apiaries_no_delete BEFORE DELETE ON apiaries BEGIN
  SELECT RAISE(ABORT, 'the record of apiaries is append-only');
END;
CREATE TRIGGER apiary_revisions_no_update BEFORE UPDATE ON apiary_revisions BEGIN
  SELECT RAISE(ABORT, 'the record of apiary_revisions is append-only');
END;
CREATE TRIGGER apiary_revisions_no_delete BEFORE DELETE ON apiary_revisions BEGIN
  SELECT RAISE(ABORT, 'the record of apiary_revisions is append-only');
END;
CREATE TRIGGER changes_no_update BEFORE UPDATE ON changes BEGIN
  SELECT RAISE(ABORT, 'the record of changes is append-only');
END;
CREATE TRIGGER changes_no_delete BEFORE DELETE ON changes BEGIN
  SELECT RAISE(ABORT, 'the record of changes is append-only');
END;
CREATE TRIGGER decisions_no_update BEFORE UPDATE ON decisions BEGIN
  SELECT RAISE(ABORT, 'the record of decisions is append-only');
END;
CREATE TRIGGER decisions_no_delete BEFORE DELETE ON decisions BEGIN
  SELECT RAISE(ABORT, 'the record of decisions is append-only');
END;
CREATE TRIGGER baselines_no_update BEFORE UPDATE ON baselines BEGIN
  SELECT RAISE(ABORT, 'the record of baselines is append-only');
END;
CREATE TRIGGER baselines_no_delete BEFORE DELETE ON baselines BEGIN
  SELECT RAISE(ABORT, 'the record of baselines is append-only');
END;
CREATE TRIGGER baseline_assays_no_update BEFORE UPDATE ON baseline_assays BEGIN
  SELECT RAISE(ABORT, 'the record of baseline_assays is append-only');
END;
CREATE TRIGGER baseline_assays_no_delete BEFORE DELETE ON baseline_assays BEGIN
  SELECT RAISE(ABORT, 'the record of baseline_assays is append-only');
END;
