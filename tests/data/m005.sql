-- A made-up log in the tables of m005, as Python's sqlite3 dumps it.
BEGIN TRANSACTION;
CREATE TABLE "_sqlite_migrations" (
   "id" INTEGER PRIMARY KEY,
   "migration_set" TEXT,
   "name" TEXT,
   "applied_at" TEXT
) STRICT;
INSERT INTO "_sqlite_migrations" VALUES(1,'trainer','m001_initial','2026-11-25 23:02:06.924242+00:00');
INSERT INTO "_sqlite_migrations" VALUES(2,'trainer','m002_gate','2026-11-25 23:02:06.926764+00:00');
INSERT INTO "_sqlite_migrations" VALUES(3,'trainer','m003_angle_checks','2026-11-25 23:02:06.939343+00:00');
INSERT INTO "_sqlite_migrations" VALUES(4,'trainer','m004_care','2026-11-25 23:02:06.939623+00:00');
INSERT INTO "_sqlite_migrations" VALUES(5,'trainer','m005_words','2026-11-25 23:02:06.964443+00:00');
CREATE TABLE angle_checks (
    uid TEXT NOT NULL PRIMARY KEY CHECK (length(uid) = 36),
    measured_at TEXT NOT NULL CONSTRAINT "measured_at is a UTC time" CHECK (measured_at IS NULL OR (measured_at GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9].[0-9][0-9][0-9][0-9][0-9][0-9]Z' AND julianday(measured_at) IS NOT NULL AND (date(substr(measured_at, 1, 10)) IS NOT NULL AND date(substr(measured_at, 1, 10), '+0 days') = substr(measured_at, 1, 10)))),
    utc_offset_min INTEGER NOT NULL CHECK (utc_offset_min BETWEEN -1439 AND 1439),
    local_date TEXT NOT NULL CONSTRAINT "local_date is a date" CHECK ((date(local_date) IS NOT NULL AND date(local_date, '+0 days') = local_date)),
    method TEXT NOT NULL CHECK (length(method) BETWEEN 1 AND 64),
    side TEXT CONSTRAINT "side is a known word" CHECK (side IN ('left', 'right', 'both')),
    facing TEXT CONSTRAINT "facing is a known word" CHECK (facing IN ('left', 'right')),
    taken TEXT CONSTRAINT "taken is a known word" CHECK (taken IN ('before', 'after')),
    reach TEXT CONSTRAINT "reach is a known word" CHECK (reach IN ('guarded', 'free')),
    overhead_deg REAL CHECK (overhead_deg BETWEEN -180 AND 360),
    lean_deg REAL CHECK (lean_deg BETWEEN -180 AND 180),
    rib_flare REAL CHECK (rib_flare BETWEEN -2 AND 2),
    landmarks TEXT NOT NULL DEFAULT '{}' CHECK (json_valid(landmarks)),
    note TEXT NOT NULL DEFAULT '',
    
    logged_at TEXT NOT NULL CONSTRAINT "logged_at is a UTC time" CHECK (logged_at IS NULL OR (logged_at GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9].[0-9][0-9][0-9][0-9][0-9][0-9]Z' AND julianday(logged_at) IS NOT NULL AND (date(substr(logged_at, 1, 10)) IS NOT NULL AND date(substr(logged_at, 1, 10), '+0 days') = substr(logged_at, 1, 10)))),
    updated_at TEXT NOT NULL CONSTRAINT "updated_at is a UTC time" CHECK (updated_at IS NULL OR (updated_at GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9].[0-9][0-9][0-9][0-9][0-9][0-9]Z' AND julianday(updated_at) IS NOT NULL AND (date(substr(updated_at, 1, 10)) IS NOT NULL AND date(substr(updated_at, 1, 10), '+0 days') = substr(updated_at, 1, 10)))),
    deleted_at TEXT CONSTRAINT "deleted_at is a UTC time" CHECK (deleted_at IS NULL OR (deleted_at GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9].[0-9][0-9][0-9][0-9][0-9][0-9]Z' AND julianday(deleted_at) IS NOT NULL AND (date(substr(deleted_at, 1, 10)) IS NOT NULL AND date(substr(deleted_at, 1, 10), '+0 days') = substr(deleted_at, 1, 10))))

, pose TEXT NOT NULL DEFAULT 'reach'
    CONSTRAINT "pose is a known word" CHECK (pose IN ('reach', 'hang', 'press')), exercise TEXT
    CHECK (length(exercise) BETWEEN 1 AND 64), blades TEXT CONSTRAINT "blades is a known word" CHECK (blades IN ('sunk', 'pressed')), ear TEXT CONSTRAINT "ear is a known word" CHECK (ear IN ('front', 'hidden', 'behind')), arm_point TEXT
    CONSTRAINT "arm_point is a known word" CHECK (arm_point IN ('elbow', 'wrist')), lift REAL CHECK (lift BETWEEN -10 AND 10), uncertainty_deg REAL CHECK (uncertainty_deg >= 0), photo_name TEXT NOT NULL DEFAULT ''
    CHECK (photo_name NOT GLOB '*/*' AND length(photo_name) <= 255), photo_sha256 TEXT NOT NULL DEFAULT ''
    CHECK (length(photo_sha256) IN (0, 64)), photo_width INTEGER CHECK (photo_width > 0), photo_height INTEGER CHECK (photo_height > 0)) STRICT;
INSERT INTO "angle_checks" VALUES('0f8fad5b-d9cb-469f-a165-70867728950e','2026-03-02T17:00:00.000000Z',60,'2026-03-02','photo',NULL,'left','before','guarded',1.65963756532073546164e+02,0.0,NULL,'{"wrist": [0.1, 0.9], "shoulder": [0.2, 0.5], "hip": [0.2, 0.1]}','made up, and corrected','2026-03-02T17:01:00.000000Z','2026-03-02T17:01:00.000001Z',NULL,'reach',NULL,NULL,NULL,'wrist',NULL,1.37566031695830681691e+00,'','',NULL,NULL);
CREATE TABLE angle_corrections (
    uid TEXT NOT NULL PRIMARY KEY CHECK (length(uid) = 36),
    check_uid TEXT NOT NULL REFERENCES angle_checks (uid) ON DELETE CASCADE,
    from_json TEXT NOT NULL CHECK (json_valid(from_json)),
    to_json TEXT NOT NULL CHECK (json_valid(to_json)),
    
    logged_at TEXT NOT NULL CONSTRAINT "logged_at is a UTC time" CHECK (logged_at IS NULL OR (logged_at GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9].[0-9][0-9][0-9][0-9][0-9][0-9]Z' AND julianday(logged_at) IS NOT NULL AND (date(substr(logged_at, 1, 10)) IS NOT NULL AND date(substr(logged_at, 1, 10), '+0 days') = substr(logged_at, 1, 10)))),
    updated_at TEXT NOT NULL CONSTRAINT "updated_at is a UTC time" CHECK (updated_at IS NULL OR (updated_at GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9].[0-9][0-9][0-9][0-9][0-9][0-9]Z' AND julianday(updated_at) IS NOT NULL AND (date(substr(updated_at, 1, 10)) IS NOT NULL AND date(substr(updated_at, 1, 10), '+0 days') = substr(updated_at, 1, 10)))),
    deleted_at TEXT CONSTRAINT "deleted_at is a UTC time" CHECK (deleted_at IS NULL OR (deleted_at GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9].[0-9][0-9][0-9][0-9][0-9][0-9]Z' AND julianday(deleted_at) IS NOT NULL AND (date(substr(deleted_at, 1, 10)) IS NOT NULL AND date(substr(deleted_at, 1, 10), '+0 days') = substr(deleted_at, 1, 10))))

) STRICT;
INSERT INTO "angle_corrections" VALUES('50636c68-4cc1-46a2-abe0-262f353593d4','0f8fad5b-d9cb-469f-a165-70867728950e','{"uid": "0f8fad5b-d9cb-469f-a165-70867728950e", "measured_at": "2026-03-02T17:00:00.000000Z", "utc_offset_min": 60, "local_date": "2026-03-02", "method": "photo", "pose": "reach", "exercise": null, "side": null, "reach": "guarded", "blades": null, "taken": "before", "facing": "left", "overhead_deg": 165.96375653207355, "uncertainty_deg": 1.3756603169583068, "arm_point": "wrist", "lean_deg": 0.0, "rib_flare": null, "lift": null, "ear": null, "landmarks": "{\"wrist\": [0.1, 0.9], \"shoulder\": [0.2, 0.5], \"hip\": [0.2, 0.1]}", "photo_name": "", "photo_sha256": "", "photo_width": null, "photo_height": null, "note": "made up"}','{"uid": "0f8fad5b-d9cb-469f-a165-70867728950e", "measured_at": "2026-03-02T17:00:00.000000Z", "utc_offset_min": 60, "local_date": "2026-03-02", "method": "photo", "pose": "reach", "exercise": null, "side": null, "reach": "guarded", "blades": null, "taken": "before", "facing": "left", "overhead_deg": 165.96375653207355, "uncertainty_deg": 1.3756603169583068, "arm_point": "wrist", "lean_deg": 0.0, "rib_flare": null, "lift": null, "ear": null, "landmarks": "{\"wrist\": [0.1, 0.9], \"shoulder\": [0.2, 0.5], \"hip\": [0.2, 0.1]}", "photo_name": "", "photo_sha256": "", "photo_width": null, "photo_height": null, "note": "made up, and corrected"}','2026-03-02T17:01:00.000000Z','2026-03-02T17:01:00.000000Z',NULL);
CREATE TABLE answers (
    key TEXT NOT NULL PRIMARY KEY CHECK (length(key) BETWEEN 1 AND 64),
    value TEXT NOT NULL,
    updated_at TEXT NOT NULL CONSTRAINT "updated_at is a UTC time" CHECK (updated_at IS NULL OR (updated_at GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9].[0-9][0-9][0-9][0-9][0-9][0-9]Z' AND julianday(updated_at) IS NOT NULL AND (date(substr(updated_at, 1, 10)) IS NOT NULL AND date(substr(updated_at, 1, 10), '+0 days') = substr(updated_at, 1, 10))))
) STRICT;
INSERT INTO "answers" VALUES('hang was easy','yes','2026-03-02T17:01:00.000000Z');
CREATE TABLE corrections (
    uid TEXT NOT NULL PRIMARY KEY CHECK (length(uid) = 36),
    hold_uid TEXT NOT NULL REFERENCES holds (uid) ON DELETE CASCADE,
    what TEXT NOT NULL CHECK (length(what) BETWEEN 1 AND 64),
    from_json TEXT NOT NULL CHECK (json_valid(from_json)),
    to_json TEXT NOT NULL CHECK (json_valid(to_json)),
    corrected_at TEXT NOT NULL CONSTRAINT "corrected_at is a UTC time" CHECK (corrected_at IS NULL OR (corrected_at GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9].[0-9][0-9][0-9][0-9][0-9][0-9]Z' AND julianday(corrected_at) IS NOT NULL AND (date(substr(corrected_at, 1, 10)) IS NOT NULL AND date(substr(corrected_at, 1, 10), '+0 days') = substr(corrected_at, 1, 10))))
) STRICT;
INSERT INTO "corrections" VALUES('0004fef2-d5eb-4e8d-a1a1-29beea514710','6f350b09-a8c7-4df3-9db3-dbb1359b85f2','held_s','30.0','28.0','2026-03-02T17:01:00.000000Z');
CREATE TABLE "hold_felt" (
    hold_uid TEXT NOT NULL REFERENCES holds (uid) ON DELETE CASCADE,
    position INTEGER NOT NULL CHECK (position >= 0),
    site TEXT NOT NULL CONSTRAINT "site is a word" CHECK (length(site) BETWEEN 1 AND 64),
    side TEXT CONSTRAINT "side is a known word" CHECK (side IN ('left', 'right', 'both')),
    moment TEXT CONSTRAINT "moment is a known word" CHECK (moment IN ('settled', 'exhale')),
    strength REAL CHECK (strength BETWEEN 0 AND 10),
    PRIMARY KEY (hold_uid, position)
) STRICT, WITHOUT ROWID;
INSERT INTO "hold_felt" VALUES('6f350b09-a8c7-4df3-9db3-dbb1359b85f2',0,'lats','left','exhale',6.0);
CREATE TABLE "hold_pain" (
    hold_uid TEXT NOT NULL REFERENCES holds (uid) ON DELETE CASCADE,
    position INTEGER NOT NULL CHECK (position >= 0),
    kind TEXT NOT NULL CONSTRAINT "kind is a known word" CHECK (kind IN ('pain', 'numb', 'dizzy')),
    site TEXT CONSTRAINT "site is a word" CHECK (length(site) BETWEEN 1 AND 64), side TEXT CONSTRAINT "side is a known word" CHECK (side IN ('left', 'right', 'both')), gone_on TEXT CONSTRAINT "gone_on is a date" CHECK (gone_on IS NULL OR (date(gone_on) IS NOT NULL AND date(gone_on, '+0 days') = gone_on)),
    PRIMARY KEY (hold_uid, position)
) STRICT, WITHOUT ROWID;
INSERT INTO "hold_pain" VALUES('6f350b09-a8c7-4df3-9db3-dbb1359b85f2',0,'numb','hand','left','2026-03-04');
CREATE TABLE "holds" (
    uid TEXT NOT NULL PRIMARY KEY CHECK (length(uid) = 36),
    session_uid TEXT NOT NULL REFERENCES sessions (uid),
    exercise TEXT NOT NULL CHECK (length(exercise) BETWEEN 1 AND 64),
    set_number INTEGER NOT NULL CHECK (set_number >= 1),
    started_at TEXT NOT NULL CONSTRAINT "started_at is a UTC time" CHECK (started_at IS NULL OR (started_at GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9].[0-9][0-9][0-9][0-9][0-9][0-9]Z' AND julianday(started_at) IS NOT NULL AND (date(substr(started_at, 1, 10)) IS NOT NULL AND date(substr(started_at, 1, 10), '+0 days') = substr(started_at, 1, 10)))),
    target_s REAL CHECK (target_s >= 1 AND target_s <= 300),
    held_s REAL NOT NULL CHECK (held_s >= 0 AND held_s <= 600),
    kept_s REAL CHECK (kept_s >= 0 AND kept_s <= held_s),
    lost_on_breath INTEGER CHECK (lost_on_breath >= 1),
    key_s REAL CHECK (key_s >= 0),
    allowance_s REAL CHECK (allowance_s >= 0),
    ended_by TEXT NOT NULL
        CONSTRAINT "ended_by is a known word" CHECK (ended_by IN ('target', 'key', 'limit', 'interrupted', 'crash', 'added')),
    stopped_by TEXT
        CONSTRAINT "stopped_by is a word" CHECK (length(stopped_by) BETWEEN 1 AND 64),
    confirmed INTEGER NOT NULL CHECK (confirmed IN (0, 1)),
    rpe REAL CHECK (rpe BETWEEN 0 AND 10 AND rpe * 2 = CAST(rpe * 2 AS INTEGER)),
    pain_overridden INTEGER NOT NULL CHECK (pain_overridden IN (0, 1)),
    feet TEXT CONSTRAINT "feet is a known word" CHECK (feet IN ('half', 'little', 'toes')),
    note TEXT NOT NULL DEFAULT '',
    
    logged_at TEXT NOT NULL CONSTRAINT "logged_at is a UTC time" CHECK (logged_at IS NULL OR (logged_at GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9].[0-9][0-9][0-9][0-9][0-9][0-9]Z' AND julianday(logged_at) IS NOT NULL AND (date(substr(logged_at, 1, 10)) IS NOT NULL AND date(substr(logged_at, 1, 10), '+0 days') = substr(logged_at, 1, 10)))),
    updated_at TEXT NOT NULL CONSTRAINT "updated_at is a UTC time" CHECK (updated_at IS NULL OR (updated_at GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9].[0-9][0-9][0-9][0-9][0-9][0-9]Z' AND julianday(updated_at) IS NOT NULL AND (date(substr(updated_at, 1, 10)) IS NOT NULL AND date(substr(updated_at, 1, 10), '+0 days') = substr(updated_at, 1, 10)))),
    deleted_at TEXT CONSTRAINT "deleted_at is a UTC time" CHECK (deleted_at IS NULL OR (deleted_at GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9].[0-9][0-9][0-9][0-9][0-9][0-9]Z' AND julianday(deleted_at) IS NOT NULL AND (date(substr(deleted_at, 1, 10)) IS NOT NULL AND date(substr(deleted_at, 1, 10), '+0 days') = substr(deleted_at, 1, 10))))

, rpe_wording INTEGER NOT NULL DEFAULT 1 CHECK (rpe_wording >= 1)) STRICT;
INSERT INTO "holds" VALUES('6f350b09-a8c7-4df3-9db3-dbb1359b85f2','886eb646-914f-40b6-841e-5b2c4be58047','hang',1,'2026-03-02T17:00:00.000000Z',30.0,28.0,24.5,NULL,NULL,NULL,'target',NULL,0,7.5,0,NULL,'[/] =cmd() 🙂','2026-03-02T17:00:00.000000Z','2026-03-02T17:01:00.000000Z',NULL,2);
INSERT INTO "holds" VALUES('be6d09dc-385f-417d-b7ef-887f21085c45','886eb646-914f-40b6-841e-5b2c4be58047','hang',2,'2026-03-02T17:00:00.000000Z',30.0,30.0,NULL,NULL,NULL,NULL,'target',NULL,0,NULL,0,NULL,'','2026-03-02T17:00:00.000000Z','2026-03-02T17:00:00.000000Z',NULL,2);
INSERT INTO "holds" VALUES('09ad2982-2a78-4191-93e1-8c5f7aa658f2','886eb646-914f-40b6-841e-5b2c4be58047','hang',3,'2026-03-02T17:00:00.000000Z',30.0,30.0,NULL,NULL,NULL,NULL,'target',NULL,0,NULL,0,NULL,'','2026-03-02T17:00:00.000000Z','2026-03-02T17:00:00.000001Z','2026-03-02T17:00:00.000000Z',2);
INSERT INTO "holds" VALUES('db045545-57f2-4584-902c-5b48ccbe696b','c935dc87-d8a0-4d56-b42e-f8694295650a','hang',1,'2026-03-02T17:01:00.000000Z',30.0,30.0,NULL,NULL,NULL,NULL,'target',NULL,0,NULL,0,NULL,'','2026-03-02T17:01:00.000000Z','2026-03-02T17:01:00.000001Z','2026-03-02T17:01:00.000000Z',2);
CREATE TABLE journal (
    session_uid TEXT NOT NULL PRIMARY KEY REFERENCES sessions (uid),
    hold_uid TEXT NOT NULL CHECK (length(hold_uid) = 36),
    exercise TEXT NOT NULL CHECK (length(exercise) BETWEEN 1 AND 64),
    set_number INTEGER NOT NULL CHECK (set_number >= 1),
    started_at TEXT NOT NULL CONSTRAINT "started_at is a UTC time" CHECK (started_at IS NULL OR (started_at GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9].[0-9][0-9][0-9][0-9][0-9][0-9]Z' AND julianday(started_at) IS NOT NULL AND (date(substr(started_at, 1, 10)) IS NOT NULL AND date(substr(started_at, 1, 10), '+0 days') = substr(started_at, 1, 10)))),
    target_s REAL CHECK (target_s >= 1 AND target_s <= 300),
    held_s REAL NOT NULL CHECK (held_s >= 0 AND held_s <= 600),
    allowance_s REAL CHECK (allowance_s >= 0),
    feet TEXT CONSTRAINT "feet is a known word" CHECK (feet IN ('half', 'little', 'toes')),
    journaled_at TEXT NOT NULL CONSTRAINT "journaled_at is a UTC time" CHECK (journaled_at IS NULL OR (journaled_at GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9].[0-9][0-9][0-9][0-9][0-9][0-9]Z' AND julianday(journaled_at) IS NOT NULL AND (date(substr(journaled_at, 1, 10)) IS NOT NULL AND date(substr(journaled_at, 1, 10), '+0 days') = substr(journaled_at, 1, 10))))
) STRICT;
INSERT INTO "journal" VALUES('4731a3e5-322b-4d0b-a915-bf80c25bbb1a','0a709919-99ee-49e1-be49-f025373845c4','hang',1,'2026-03-02T17:01:00.000000Z',30.0,7.0,NULL,NULL,'2026-03-02T17:01:00.000000Z');
CREATE TABLE planned_sets (
    session_uid TEXT NOT NULL REFERENCES sessions (uid) ON DELETE CASCADE,
    position INTEGER NOT NULL CHECK (position >= 0),
    exercise TEXT NOT NULL CHECK (length(exercise) BETWEEN 1 AND 64),
    set_number INTEGER NOT NULL CHECK (set_number >= 1),
    target_s REAL NOT NULL CHECK (target_s >= 1 AND target_s <= 300),
    rest_s REAL NOT NULL CHECK (rest_s >= 0),
    PRIMARY KEY (session_uid, position)
) STRICT, WITHOUT ROWID;
INSERT INTO "planned_sets" VALUES('4731a3e5-322b-4d0b-a915-bf80c25bbb1a',0,'hang',1,30.0,60.0);
INSERT INTO "planned_sets" VALUES('886eb646-914f-40b6-841e-5b2c4be58047',0,'hang',1,30.0,60.0);
INSERT INTO "planned_sets" VALUES('c935dc87-d8a0-4d56-b42e-f8694295650a',0,'hang',1,30.0,60.0);
CREATE TABLE plans (
    uid TEXT NOT NULL PRIMARY KEY CHECK (length(uid) = 36),
    valid_from TEXT NOT NULL CONSTRAINT "valid_from is a date" CHECK ((date(valid_from) IS NOT NULL AND date(valid_from, '+0 days') = valid_from)),
    document TEXT NOT NULL CHECK (json_valid(document)),
    
    logged_at TEXT NOT NULL CONSTRAINT "logged_at is a UTC time" CHECK (logged_at IS NULL OR (logged_at GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9].[0-9][0-9][0-9][0-9][0-9][0-9]Z' AND julianday(logged_at) IS NOT NULL AND (date(substr(logged_at, 1, 10)) IS NOT NULL AND date(substr(logged_at, 1, 10), '+0 days') = substr(logged_at, 1, 10)))),
    updated_at TEXT NOT NULL CONSTRAINT "updated_at is a UTC time" CHECK (updated_at IS NULL OR (updated_at GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9].[0-9][0-9][0-9][0-9][0-9][0-9]Z' AND julianday(updated_at) IS NOT NULL AND (date(substr(updated_at, 1, 10)) IS NOT NULL AND date(substr(updated_at, 1, 10), '+0 days') = substr(updated_at, 1, 10)))),
    deleted_at TEXT CONSTRAINT "deleted_at is a UTC time" CHECK (deleted_at IS NULL OR (deleted_at GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9].[0-9][0-9][0-9][0-9][0-9][0-9]Z' AND julianday(deleted_at) IS NOT NULL AND (date(substr(deleted_at, 1, 10)) IS NOT NULL AND date(substr(deleted_at, 1, 10), '+0 days') = substr(deleted_at, 1, 10))))

) STRICT;
INSERT INTO "plans" VALUES('21c77378-61b8-4ccf-a6a8-1d1648ac41fd','2026-03-01','{"days": [1, 3, 5], "order": "in-turn", "warm_up_s": 240.0, "exercises": [{"exercise": "hang", "sets": 3, "start_s": 20.0, "rest_s": 60.0, "step_s": 5.0, "cap_s": 60.0, "floor_s": 10.0, "end_of_hold": "stop", "in_s": 4.0, "out_s": 6.0, "grip": null, "cue": ""}, {"exercise": "press-pushup", "sets": 3, "start_s": 20.0, "rest_s": 90.0, "step_s": 5.0, "cap_s": 60.0, "floor_s": 10.0, "end_of_hold": "stop", "in_s": 4.0, "out_s": 6.0, "grip": null, "cue": ""}], "top": {"hang": "hang", "press": "press-pike"}, "own": []}','2026-03-02T17:01:00.000000Z','2026-03-02T17:01:00.000000Z',NULL);
CREATE TABLE rest_weeks (
    uid TEXT NOT NULL PRIMARY KEY CHECK (length(uid) = 36),
    week TEXT NOT NULL UNIQUE CONSTRAINT "week is an ISO week" CHECK (week GLOB '[0-9][0-9][0-9][0-9]-W[0-5][0-9]' AND week BETWEEN '1970' AND '2200'),
    
    logged_at TEXT NOT NULL CONSTRAINT "logged_at is a UTC time" CHECK (logged_at IS NULL OR (logged_at GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9].[0-9][0-9][0-9][0-9][0-9][0-9]Z' AND julianday(logged_at) IS NOT NULL AND (date(substr(logged_at, 1, 10)) IS NOT NULL AND date(substr(logged_at, 1, 10), '+0 days') = substr(logged_at, 1, 10)))),
    updated_at TEXT NOT NULL CONSTRAINT "updated_at is a UTC time" CHECK (updated_at IS NULL OR (updated_at GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9].[0-9][0-9][0-9][0-9][0-9][0-9]Z' AND julianday(updated_at) IS NOT NULL AND (date(substr(updated_at, 1, 10)) IS NOT NULL AND date(substr(updated_at, 1, 10), '+0 days') = substr(updated_at, 1, 10)))),
    deleted_at TEXT CONSTRAINT "deleted_at is a UTC time" CHECK (deleted_at IS NULL OR (deleted_at GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9].[0-9][0-9][0-9][0-9][0-9][0-9]Z' AND julianday(deleted_at) IS NOT NULL AND (date(substr(deleted_at, 1, 10)) IS NOT NULL AND date(substr(deleted_at, 1, 10), '+0 days') = substr(deleted_at, 1, 10))))

) STRICT;
INSERT INTO "rest_weeks" VALUES('8b67d8dc-642e-4aac-bc47-aaca3eeb3523','2026-W11','2026-03-02T17:01:00.000000Z','2026-03-02T17:01:00.000000Z',NULL);
INSERT INTO "rest_weeks" VALUES('6973efd7-5c9d-4fac-9ceb-402b474ced30','2026-W12','2026-03-02T17:01:00.000000Z','2026-03-02T17:01:00.000001Z','2026-03-02T17:01:00.000000Z');
CREATE TABLE seal (
    only INTEGER NOT NULL PRIMARY KEY CHECK (only = 1),
    holds INTEGER NOT NULL CHECK (holds >= 0),
    figures TEXT NOT NULL CHECK (json_valid(figures))
) STRICT
;
INSERT INTO "seal" VALUES(1,4,'["m005_words",[3,180,12,2,6510200],[3,900],[4,1180,245,7,2,28,8680100],[1,60],[1,4,0],[1,4],[1,6],[1,517],[1,350,1],[2,1],[1,0],[1,64],[1,646],[1,3]]');
CREATE TABLE session_overrides (
    session_uid TEXT NOT NULL REFERENCES sessions (uid) ON DELETE CASCADE,
    position INTEGER NOT NULL CHECK (position >= 0),
    exercise TEXT NOT NULL CHECK (length(exercise) BETWEEN 1 AND 64),
    reason TEXT NOT NULL CHECK (length(reason) BETWEEN 1 AND 64),
    says TEXT NOT NULL,
    PRIMARY KEY (session_uid, position)
) STRICT, WITHOUT ROWID
;
INSERT INTO "session_overrides" VALUES('886eb646-914f-40b6-841e-5b2c4be58047',0,'hang','pain','The left hand is numb since 1 March.');
CREATE TABLE sessions (
    uid TEXT NOT NULL PRIMARY KEY CHECK (length(uid) = 36),
    kind TEXT NOT NULL CONSTRAINT "kind is a known word" CHECK (kind IN ('plan', 'one-off', 'test', 'added')),
    started_at TEXT NOT NULL CONSTRAINT "started_at is a UTC time" CHECK (started_at IS NULL OR (started_at GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9].[0-9][0-9][0-9][0-9][0-9][0-9]Z' AND julianday(started_at) IS NOT NULL AND (date(substr(started_at, 1, 10)) IS NOT NULL AND date(substr(started_at, 1, 10), '+0 days') = substr(started_at, 1, 10)))),
    utc_offset_min INTEGER NOT NULL CHECK (utc_offset_min BETWEEN -1439 AND 1439),
    local_date TEXT NOT NULL CONSTRAINT "local_date is a date" CHECK ((date(local_date) IS NOT NULL AND date(local_date, '+0 days') = local_date)),
    zone TEXT NOT NULL DEFAULT '',
    ended_at TEXT CONSTRAINT "ended_at is a UTC time" CHECK (ended_at IS NULL OR (ended_at GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9].[0-9][0-9][0-9][0-9][0-9][0-9]Z' AND julianday(ended_at) IS NOT NULL AND (date(substr(ended_at, 1, 10)) IS NOT NULL AND date(substr(ended_at, 1, 10), '+0 days') = substr(ended_at, 1, 10)))),
    note TEXT NOT NULL DEFAULT '',
    
    logged_at TEXT NOT NULL CONSTRAINT "logged_at is a UTC time" CHECK (logged_at IS NULL OR (logged_at GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9].[0-9][0-9][0-9][0-9][0-9][0-9]Z' AND julianday(logged_at) IS NOT NULL AND (date(substr(logged_at, 1, 10)) IS NOT NULL AND date(substr(logged_at, 1, 10), '+0 days') = substr(logged_at, 1, 10)))),
    updated_at TEXT NOT NULL CONSTRAINT "updated_at is a UTC time" CHECK (updated_at IS NULL OR (updated_at GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9].[0-9][0-9][0-9][0-9][0-9][0-9]Z' AND julianday(updated_at) IS NOT NULL AND (date(substr(updated_at, 1, 10)) IS NOT NULL AND date(substr(updated_at, 1, 10), '+0 days') = substr(updated_at, 1, 10)))),
    deleted_at TEXT CONSTRAINT "deleted_at is a UTC time" CHECK (deleted_at IS NULL OR (deleted_at GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9].[0-9][0-9][0-9][0-9][0-9][0-9]Z' AND julianday(deleted_at) IS NOT NULL AND (date(substr(deleted_at, 1, 10)) IS NOT NULL AND date(substr(deleted_at, 1, 10), '+0 days') = substr(deleted_at, 1, 10))))

) STRICT;
INSERT INTO "sessions" VALUES('886eb646-914f-40b6-841e-5b2c4be58047','plan','2026-03-02T17:00:00.000000Z',60,'2026-03-02','','2026-03-02T17:00:00.000000Z','','2026-03-02T17:00:00.000000Z','2026-03-02T17:00:00.000001Z',NULL);
INSERT INTO "sessions" VALUES('c935dc87-d8a0-4d56-b42e-f8694295650a','plan','2026-03-02T17:01:00.000000Z',60,'2026-03-02','',NULL,'','2026-03-02T17:01:00.000000Z','2026-03-02T17:01:00.000001Z','2026-03-02T17:01:00.000000Z');
INSERT INTO "sessions" VALUES('4731a3e5-322b-4d0b-a915-bf80c25bbb1a','plan','2026-03-02T17:01:00.000000Z',60,'2026-03-02','',NULL,'','2026-03-02T17:01:00.000000Z','2026-03-02T17:01:00.000000Z',NULL);
CREATE TABLE shown_suggestions (
    uid TEXT NOT NULL PRIMARY KEY CHECK (length(uid) = 36),
    exercise TEXT NOT NULL CHECK (length(exercise) BETWEEN 1 AND 64),
    week TEXT NOT NULL CONSTRAINT "week is an ISO week" CHECK (week GLOB '[0-9][0-9][0-9][0-9]-W[0-5][0-9]' AND week BETWEEN '1970' AND '2200'),
    shown_at TEXT NOT NULL CONSTRAINT "shown_at is a UTC time" CHECK (shown_at IS NULL OR (shown_at GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9].[0-9][0-9][0-9][0-9][0-9][0-9]Z' AND julianday(shown_at) IS NOT NULL AND (date(substr(shown_at, 1, 10)) IS NOT NULL AND date(substr(shown_at, 1, 10), '+0 days') = substr(shown_at, 1, 10)))),
    target_s REAL CHECK (target_s >= 1 AND target_s <= 300),
    sets INTEGER NOT NULL CHECK (sets >= 0),
    rule TEXT NOT NULL,
    "change" TEXT NOT NULL,
    chance REAL CHECK (chance BETWEEN 0 AND 1),
    
    logged_at TEXT NOT NULL CONSTRAINT "logged_at is a UTC time" CHECK (logged_at IS NULL OR (logged_at GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9].[0-9][0-9][0-9][0-9][0-9][0-9]Z' AND julianday(logged_at) IS NOT NULL AND (date(substr(logged_at, 1, 10)) IS NOT NULL AND date(substr(logged_at, 1, 10), '+0 days') = substr(logged_at, 1, 10)))),
    updated_at TEXT NOT NULL CONSTRAINT "updated_at is a UTC time" CHECK (updated_at IS NULL OR (updated_at GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9].[0-9][0-9][0-9][0-9][0-9][0-9]Z' AND julianday(updated_at) IS NOT NULL AND (date(substr(updated_at, 1, 10)) IS NOT NULL AND date(substr(updated_at, 1, 10), '+0 days') = substr(updated_at, 1, 10)))),
    deleted_at TEXT CONSTRAINT "deleted_at is a UTC time" CHECK (deleted_at IS NULL OR (deleted_at GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9].[0-9][0-9][0-9][0-9][0-9][0-9]Z' AND julianday(deleted_at) IS NOT NULL AND (date(substr(deleted_at, 1, 10)) IS NOT NULL AND date(substr(deleted_at, 1, 10), '+0 days') = substr(deleted_at, 1, 10))))

) STRICT;
INSERT INTO "shown_suggestions" VALUES('04ba27aa-022a-48af-8833-5455e19a4b81','hang','2026-W11','2026-03-02T17:01:00.000000Z',NULL,0,'pain','rest',NULL,'2026-03-02T17:01:00.000000Z','2026-03-02T17:01:00.000000Z',NULL);
CREATE TABLE targets (
    uid TEXT NOT NULL PRIMARY KEY CHECK (length(uid) = 36),
    exercise TEXT NOT NULL CHECK (length(exercise) BETWEEN 1 AND 64),
    target_s REAL NOT NULL CHECK (target_s >= 1 AND target_s <= 300),
    author TEXT NOT NULL CONSTRAINT "author is a known word" CHECK (author IN ('person', 'coach', 'suggestion', 'test')),
    set_at TEXT NOT NULL CONSTRAINT "set_at is a UTC time" CHECK (set_at IS NULL OR (set_at GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9].[0-9][0-9][0-9][0-9][0-9][0-9]Z' AND julianday(set_at) IS NOT NULL AND (date(substr(set_at, 1, 10)) IS NOT NULL AND date(substr(set_at, 1, 10), '+0 days') = substr(set_at, 1, 10)))),
    local_date TEXT NOT NULL CONSTRAINT "local_date is a date" CHECK ((date(local_date) IS NOT NULL AND date(local_date, '+0 days') = local_date)),
    week TEXT CONSTRAINT "week is an ISO week" CHECK (week GLOB '[0-9][0-9][0-9][0-9]-W[0-5][0-9]' AND week BETWEEN '1970' AND '2200'),
    sets INTEGER CHECK (sets >= 0),
    rule TEXT NOT NULL DEFAULT '',
    from_exercise TEXT NOT NULL DEFAULT '',
    
    logged_at TEXT NOT NULL CONSTRAINT "logged_at is a UTC time" CHECK (logged_at IS NULL OR (logged_at GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9].[0-9][0-9][0-9][0-9][0-9][0-9]Z' AND julianday(logged_at) IS NOT NULL AND (date(substr(logged_at, 1, 10)) IS NOT NULL AND date(substr(logged_at, 1, 10), '+0 days') = substr(logged_at, 1, 10)))),
    updated_at TEXT NOT NULL CONSTRAINT "updated_at is a UTC time" CHECK (updated_at IS NULL OR (updated_at GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9].[0-9][0-9][0-9][0-9][0-9][0-9]Z' AND julianday(updated_at) IS NOT NULL AND (date(substr(updated_at, 1, 10)) IS NOT NULL AND date(substr(updated_at, 1, 10), '+0 days') = substr(updated_at, 1, 10)))),
    deleted_at TEXT CONSTRAINT "deleted_at is a UTC time" CHECK (deleted_at IS NULL OR (deleted_at GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9].[0-9][0-9][0-9][0-9][0-9][0-9]Z' AND julianday(deleted_at) IS NOT NULL AND (date(substr(deleted_at, 1, 10)) IS NOT NULL AND date(substr(deleted_at, 1, 10), '+0 days') = substr(deleted_at, 1, 10))))

) STRICT;
INSERT INTO "targets" VALUES('e96e3669-9fe9-498a-b535-81f5d7728266','hang',35.0,'coach','2026-03-02T17:01:00.000000Z','2026-03-02','2026-W11',NULL,'','','2026-03-02T17:01:00.000000Z','2026-03-02T17:01:00.000000Z',NULL);
CREATE UNIQUE INDEX "idx__sqlite_migrations_migration_set_name"
    ON "_sqlite_migrations" ("migration_set", "name");
CREATE INDEX sessions_by_day ON sessions (local_date);
CREATE INDEX sessions_by_time ON sessions (started_at);
CREATE INDEX corrections_by_hold ON corrections (hold_uid);
CREATE INDEX shown_by_week ON shown_suggestions (exercise, week);
CREATE INDEX angle_corrections_by_check ON angle_corrections (check_uid);
CREATE INDEX holds_by_session ON holds (session_uid);
CREATE VIEW live_sessions AS
SELECT s.* FROM sessions s
WHERE s.deleted_at IS NULL OR EXISTS (
    SELECT 1 FROM holds h WHERE h.session_uid = s.uid AND h.deleted_at IS NULL);
CREATE VIEW hold_log AS
SELECT
    s.local_date,
    strftime('%H:%M', h.started_at, s.utc_offset_min || ' minutes') AS local_time,
    s.kind AS session_kind,
    h.exercise,
    h.set_number,
    h.target_s,
    h.held_s,
    h.kept_s,
    h.ended_by,
    h.stopped_by,
    h.confirmed,
    h.rpe,
    (SELECT group_concat(
        p.kind || coalesce(' ' || p.site, '') || coalesce(' ' || p.side, '')
        || coalesce(' gone ' || p.gone_on, ''), ', ') FROM hold_pain p
        WHERE p.hold_uid = h.uid) AS pain,
    (SELECT group_concat(
        f.site || coalesce(' ' || f.side, '') || coalesce(' ' || f.moment, '')
        || coalesce(' ' || f.strength, ''), ', ') FROM hold_felt f
        WHERE f.hold_uid = h.uid) AS felt,
    h.note,
    h.uid AS hold_uid,
    s.uid AS session_uid
FROM holds h JOIN live_sessions s ON s.uid = h.session_uid
WHERE h.deleted_at IS NULL
ORDER BY s.started_at, h.started_at;
CREATE VIEW weekly_overhead AS
WITH own_not_overhead AS (
    SELECT json_extract(own.value, '$.id') AS exercise
    FROM plans, json_each(plans.document, '$.own') AS own
    WHERE json_extract(own.value, '$.overhead') = 0
), counted AS (
    SELECT h.exercise, coalesce(h.kept_s, h.held_s) AS kept_s, s.local_date,
        date(s.local_date, '-3 days', 'weekday 4') AS thursday
    FROM holds h JOIN live_sessions s ON s.uid = h.session_uid
    WHERE h.deleted_at IS NULL
        AND h.exercise NOT IN ('press-pushup')
        AND h.exercise NOT IN (SELECT exercise FROM own_not_overhead)
)
SELECT
    printf('%s-W%02d', strftime('%Y', thursday),
        (strftime('%j', thursday) - 1) / 7 + 1) AS week,
    round(sum(kept_s), 1) AS overhead_s,
    count(*) AS holds,
    count(DISTINCT local_date) AS days
FROM counted GROUP BY thursday ORDER BY thursday;
CREATE VIEW current_targets AS
SELECT t.exercise, t.target_s, t.author, t.local_date, t.week
FROM targets t
WHERE t.deleted_at IS NULL AND t.set_at = (
    SELECT max(l.set_at) FROM targets l
    WHERE l.exercise = t.exercise AND l.deleted_at IS NULL);
COMMIT;
