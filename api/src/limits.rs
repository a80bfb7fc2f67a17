//! Every limit that a request is held to on its way in and out. They are published in the API's document; the limits of a
//! survey itself are in [`engine::limits`].

use std::time::Duration;

/// Bytes in a request's body: 1 MiB. A survey at the engine's limits of rooms and points still fits.
pub const BODY_BYTES_MAX: usize = 1_048_576;
/// Bytes in a list of circuits to check: 10 MiB, so that the engine's limit of circuits fits at 500 bytes each.
pub const CIRCUITS_BYTES_MAX: usize = 10_485_760;
/// Bytes in the body of a request that holds a rate sheet: 4 MiB. One at the engine's limits of rows fits as CSV by section.
pub const RATE_SHEET_BYTES_MAX: usize = 4_194_304;
/// Levels that a JSON document may nest. The limit is the reader's own (serde_json), and is stated here to be published.
pub const JSON_DEPTH_MAX: usize = 128;

/// From the first byte of a request to the last of its head: a client that dribbles is cut off.
pub const HEAD_TIME: Duration = Duration::from_secs(5);
/// For a request's body to come in.
pub const BODY_TIME: Duration = Duration::from_secs(5);
/// For a whole request to be answered. Above every wait inside it, below what clients are told to wait (30 s).
pub const REQUEST_TIME: Duration = Duration::from_secs(10);
/// Bytes of an answer that are handed to a connection at one time.
pub const PIECE_BYTES: usize = 32_768;
/// Bytes that an answer is expected to have before it is known: this, and so many for each byte of the request. A
/// survey's estimate has about fifty times its size.
pub const ANSWER_EXPECTED_BYTES: u64 = 65_536;
/// As [`ANSWER_EXPECTED_BYTES`], for each byte of the request.
pub const ANSWER_EXPECTED_PER_BYTE: u64 = 50;
/// As [`ANSWER_EXPECTED_BYTES`], for each byte of a list of circuits to check.
pub const CIRCUITS_EXPECTED_PER_BYTE: u64 = 5;
/// How long an idle connection is kept for the next request.
pub const KEEP_ALIVE: Duration = Duration::from_secs(30);
/// How long a client may take to close a connection that we have closed.
pub const DISCONNECT_TIME: Duration = Duration::from_secs(2);
/// Connections to one worker; further ones wait in the system's queue.
pub const CONNECTIONS_MAX: usize = 4_000;
/// What a client is told to wait before it tries a busy or unavailable service again.
pub const RETRY_AFTER_S: u32 = 2;
/// Up to so many seconds more, by chance: those who were refused together do not come again together.
pub const RETRY_AFTER_SPREAD_S: u32 = 3;

/// How long a request may wait for a core.
pub const QUEUE_TIME: Duration = Duration::from_secs(3);
/// Requests that are recorded and may be worked on at one time, for each core: while some wait for the database, others
/// use the cores. More would only wait in front of the database, where no firm has a turn.
pub const ADMITTED_PER_CORE: usize = 2;
/// After this a queue in which there has always been somebody stands: more keep coming than are worked off.
pub const STANDING_TIME: Duration = Duration::from_millis(150);
/// So long a queue that stood is kept short: longer than it takes those who were refused to ask again at once.
pub const SHORT_TIME: Duration = Duration::from_secs(2);
/// Requests that may wait for each place in a queue that stands. Those who are let in are then answered in about four
/// times the time that they would have alone; the others are told at once to come again later.
pub const STANDING_PER_PLACE: usize = 1;
/// How long a request is held that finds no room: whoever sends the next one at once sends few, and they cost little.
pub const REFUSAL_PAUSE: Duration = Duration::from_millis(500);
/// Work that a request is entered with before it is known how much it is, in microseconds: this, and so much a byte. Only
/// who is next follows from it.
pub const WORK_EXPECTED_US: u64 = 1_000;
/// As [`WORK_EXPECTED_US`], for each byte: ten kilobytes of a survey take about ten milliseconds.
pub const WORK_EXPECTED_PER_BYTE_US: u64 = 1;

/// How often the refusals that were counted are written to the log, a line a kind.
pub const REFUSALS_WRITTEN_EVERY: Duration = Duration::from_secs(1);

/// Items on one page of a list, where the caller does not say.
pub const PAGE_ITEMS_DEFAULT: u32 = 50;
/// Items on one page of a list at most.
pub const PAGE_ITEMS_MAX: u32 = 200;
/// Characters in a cursor: room for the longest name behind it.
pub const CURSOR_CHARACTERS_MAX: usize = 1_000;

/// Characters in an `Idempotency-Key`.
pub const IDEMPOTENCY_KEY_CHARACTERS_MAX: usize = 255;
/// Characters in an `x-request-id` that is taken over from the caller.
pub const REQUEST_ID_CHARACTERS_MAX: usize = 64;

/// For so long after a known key is due to be looked up again, one request looks and the others go on.
pub const KEY_LOOKUP_TIME: Duration = Duration::from_secs(5);
/// Keys taken as known at one time.
pub const KEYS_KNOWN_MAX: usize = 10_000;
/// Firms of which it is remembered as what version they keep the built-in sheet.
pub const BUILT_IN_KEPT_MAX: usize = 10_000;
/// Rate-sheet versions kept ready to price with; the one used longest ago makes room.
pub const WORKBOOKS_MAX: usize = 64;

/// How long the database may take to answer whether it is there. Orchestrators ask with a limit of about 3 s.
pub const READY_TIME: Duration = Duration::from_secs(2);
/// Between saying 'not ready' and closing the door, so that a load balancer stops sending.
pub const DRAIN_NOTICE: Duration = Duration::from_secs(2);
/// For requests in hand to be answered once the door is closed. Docker kills after 10 s unless told otherwise.
pub const DRAIN_TIME_S: u64 = 7;
