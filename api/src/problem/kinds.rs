//! The kinds of problem: one table, from which the answers, the OpenAPI document and the page `/problems` are made.
//! A slug is part of the contract: removing or renaming one breaks callers.

use actix_web::http::StatusCode;

/// A kind of problem.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// The body is not what its `Content-Type` says.
    MalformedBody,
    /// The request is not HTTP.
    MalformedRequest,
    /// No key, or none that is known.
    Unauthenticated,
    /// Nothing is at that address.
    NotFound,
    /// The estimate lacks what the drawing would show.
    NothingToDraw,
    /// The address does not take that method.
    MethodNotAllowed,
    /// None of the media types asked for can be given.
    NotAcceptable,
    /// The body came in too slowly.
    RequestTimeout,
    /// A twin of the request is being worked on.
    Conflict,
    /// Something of that name is there already.
    AlreadyThere,
    /// It is part of the program and cannot be written.
    ReadOnly,
    /// What is there is not what the caller takes to be there.
    PreconditionFailed,
    /// The body is too large.
    BodyTooLarge,
    /// The body is of a media type that is not read here.
    UnsupportedMediaType,
    /// The request was sent under a name that is not this machine's own.
    Misdirected,
    /// The request was read and cannot be worked on as it is.
    Invalid,
    /// The idempotency key was used before for another request.
    IdempotencyKeyReused,
    /// The answer would be larger than any that is given.
    AnswerTooLarge,
    /// It asks for more work than one answer may take.
    TooMuchWork,
    /// The caller does not say what it takes to be there.
    PreconditionRequired,
    /// The key has sent more than it may.
    TooManyRequests,
    /// The head of the request is too large.
    HeadTooLarge,
    /// A fault of the service.
    Internal,
    /// Too busy, or the database does not answer.
    Unavailable,
    /// It took too long.
    Timeout,
}

/// What is published of a kind of problem.
#[derive(Debug, Clone, Copy)]
pub struct KindRow {
    /// The kind.
    pub kind: Kind,
    /// Its stable name: the anchor on the page `/problems`.
    pub slug: &'static str,
    /// The HTTP status that it is sent with.
    pub status: StatusCode,
    /// The same for every problem of the kind.
    pub title: &'static str,
    /// What has happened.
    pub meaning: &'static str,
    /// What the caller does about it.
    pub remedy: &'static str,
}

/// Every kind of problem, by status.
pub const KINDS: [KindRow; 25] = [
    KindRow {
        kind: Kind::MalformedBody,
        slug: "malformed-body",
        status: StatusCode::BAD_REQUEST,
        title: "The body cannot be read",
        meaning: "The body is not JSON, nests deeper than 128 levels, or broke off before its end.",
        remedy: "Mend the document at the line and column given, and send it again.",
    },
    KindRow {
        kind: Kind::MalformedRequest,
        slug: "malformed-request",
        status: StatusCode::BAD_REQUEST,
        title: "The request cannot be read",
        meaning: "What came is not HTTP/1.1 as it is written down: its first line, a header or the framing of its body.",
        remedy: "Send it with a client that speaks HTTP/1.1.",
    },
    KindRow {
        kind: Kind::Unauthenticated,
        slug: "unauthenticated",
        status: StatusCode::UNAUTHORIZED,
        title: "A key is needed",
        meaning: "The request shows no key, or one that is not known, mistyped or revoked.",
        remedy: "Send `Authorization: Bearer` with a key that `estimator keys create` has made.",
    },
    KindRow {
        kind: Kind::NotFound,
        slug: "not-found",
        status: StatusCode::NOT_FOUND,
        title: "Nothing is here",
        meaning: "There is no such address, or your firm has nothing under that identifier.",
        remedy: "Check the path against /openapi.json and the identifier against the answer that gave it.",
    },
    KindRow {
        kind: Kind::NothingToDraw,
        slug: "nothing-to-draw",
        status: StatusCode::NOT_FOUND,
        title: "There is nothing to draw",
        meaning: "The estimate is there and lacks what the drawing would show, such as rooms with outlines.",
        remedy: "Price the survey again with what `detail` names, and ask for the drawing of that estimate.",
    },
    KindRow {
        kind: Kind::MethodNotAllowed,
        slug: "method-not-allowed",
        status: StatusCode::METHOD_NOT_ALLOWED,
        title: "Not with this method",
        meaning: "The address is right, the method is not.",
        remedy: "Use one of the methods in `Allow`.",
    },
    KindRow {
        kind: Kind::NotAcceptable,
        slug: "not-acceptable",
        status: StatusCode::NOT_ACCEPTABLE,
        title: "Not in that form",
        meaning: "None of the media types in `Accept` can be given here.",
        remedy: "Ask for one of the media types named in `detail`, or send no `Accept`.",
    },
    KindRow {
        kind: Kind::RequestTimeout,
        slug: "request-timeout",
        status: StatusCode::REQUEST_TIMEOUT,
        title: "The body came in too slowly",
        meaning: "The body was not complete within five seconds.",
        remedy: "Send it again over a better connection.",
    },
    KindRow {
        kind: Kind::Conflict,
        slug: "conflict",
        status: StatusCode::CONFLICT,
        title: "The same request is being worked on",
        meaning: "A request with the same idempotency key has not been answered yet.",
        remedy: "Wait for the seconds in `Retry-After`, then send the same request with the same key.",
    },
    KindRow {
        kind: Kind::AlreadyThere,
        slug: "already-there",
        status: StatusCode::CONFLICT,
        title: "The name is taken",
        meaning: "Your firm has something else under that name.",
        remedy: "Choose another name, or read what is there and PUT over it with its `ETag` in `If-Match`.",
    },
    KindRow {
        kind: Kind::ReadOnly,
        slug: "read-only",
        status: StatusCode::CONFLICT,
        title: "It cannot be written",
        meaning: "The rate sheet `standard` is part of the service, and the same for every firm.",
        remedy: "Copy it under a name of your own (`POST /v1/rate-sheets` with `copy_of`), and write that.",
    },
    KindRow {
        kind: Kind::PreconditionFailed,
        slug: "precondition-failed",
        status: StatusCode::PRECONDITION_FAILED,
        title: "It has changed in the meantime",
        meaning: "What is there is not what `If-Match` or `If-None-Match` takes to be there: somebody else was quicker.",
        remedy: "Read it again, put your change into what you find, and send it with the new `ETag`.",
    },
    KindRow {
        kind: Kind::BodyTooLarge,
        slug: "body-too-large",
        status: StatusCode::PAYLOAD_TOO_LARGE,
        title: "The body is too large",
        meaning: "A body may have 1 MiB (1,048,576 bytes), one with a rate sheet 4 MiB, a list of circuits to check 10 MiB.",
        remedy: "Leave out what is not needed, or send the job as several surveys.",
    },
    KindRow {
        kind: Kind::UnsupportedMediaType,
        slug: "unsupported-media-type",
        status: StatusCode::UNSUPPORTED_MEDIA_TYPE,
        title: "Not a media type that is read here",
        meaning: "The `Content-Type` is missing or not one that is read here, or the body is compressed.",
        remedy: "Send one of the media types in `Accept-Post`, in UTF-8 and not compressed.",
    },
    KindRow {
        kind: Kind::Misdirected,
        slug: "misdirected-request",
        status: StatusCode::MISDIRECTED_REQUEST,
        title: "Not under this name",
        meaning: "Without keys the service answers only to this machine's own names, so that no web page can reach it \
                  under a name of its own.",
        remedy: "Call it as localhost or 127.0.0.1, or run it with AUTH=keys.",
    },
    KindRow {
        kind: Kind::Invalid,
        slug: "invalid",
        status: StatusCode::UNPROCESSABLE_ENTITY,
        title: "Understood, but it cannot be worked on as it is",
        meaning: "The request was read, and parts of it are not accepted. `errors` lists every one: a JSON Pointer into a JSON \
                  body, a row and column of a CSV body, or the name of a query parameter or header.",
        remedy: "Mend each entry of `errors` as its `detail` says. Sending the same again does not help.",
    },
    KindRow {
        kind: Kind::IdempotencyKeyReused,
        slug: "idempotency-key-reused",
        status: StatusCode::UNPROCESSABLE_ENTITY,
        title: "The idempotency key belongs to another request",
        meaning: "The same `Idempotency-Key` came with another body within the last 24 hours.",
        remedy: "Use a new key for a new request, and the same key only to repeat the same body.",
    },
    KindRow {
        kind: Kind::AnswerTooLarge,
        slug: "answer-too-large",
        status: StatusCode::UNPROCESSABLE_ENTITY,
        title: "The answer would be too large",
        meaning: "What was asked for makes an answer of more bytes than the service gives at one time.",
        remedy: "Ask for less at a time: fewer rooms, points, circuits or runs in a request.",
    },
    KindRow {
        kind: Kind::TooMuchWork,
        slug: "too-much-work",
        status: StatusCode::UNPROCESSABLE_ENTITY,
        title: "More work than one answer may take",
        meaning: "The request is within every limit by itself, and takes more steps altogether than one answer may. Steps are \
                  counted, not timed: the same request is always refused. `detail` says which part of the work took most of them.",
        remedy: "Ask for less at once as `detail` says: fewer rooms, points or runs, or one survey for each dwelling.",
    },
    KindRow {
        kind: Kind::PreconditionRequired,
        slug: "precondition-required",
        status: StatusCode::PRECONDITION_REQUIRED,
        title: "Say what you write over",
        meaning: "Writing needs `If-Match` or `If-None-Match`, so that nobody's change is lost.",
        remedy: "Send the `ETag` that you have read in `If-Match`, or `If-None-Match: *` to make something new.",
    },
    KindRow {
        kind: Kind::TooManyRequests,
        slug: "too-many-requests",
        status: StatusCode::TOO_MANY_REQUESTS,
        title: "Too many requests of this key",
        meaning: "The key has sent more requests in a minute than `RateLimit-Policy` allows.",
        remedy: "Wait for the seconds in `Retry-After`, and keep to what `RateLimit` says is left.",
    },
    KindRow {
        kind: Kind::HeadTooLarge,
        slug: "head-too-large",
        status: StatusCode::REQUEST_HEADER_FIELDS_TOO_LARGE,
        title: "The head of the request is too large",
        meaning: "Address and headers together have more than 128 KiB, or there are too many headers.",
        remedy: "Send fewer and shorter headers.",
    },
    KindRow {
        kind: Kind::Internal,
        slug: "internal",
        status: StatusCode::INTERNAL_SERVER_ERROR,
        title: "A fault of the service",
        meaning: "Something is wrong here, not with the request.",
        remedy: "Tell whoever runs the service the `instance`: the log has the cause under it.",
    },
    KindRow {
        kind: Kind::Unavailable,
        slug: "unavailable",
        status: StatusCode::SERVICE_UNAVAILABLE,
        title: "Not at the moment",
        meaning: "The service is starting, stopping or too busy, or its database does not answer.",
        remedy: "Wait for the seconds in `Retry-After`, then send the same request again; with an idempotency key it is done once.",
    },
    KindRow {
        kind: Kind::Timeout,
        slug: "timeout",
        status: StatusCode::GATEWAY_TIMEOUT,
        title: "It took too long",
        meaning: "The request was not answered within ten seconds. Whether it was recorded is not known.",
        remedy: "Send it again with the same idempotency key; it is done once.",
    },
];

impl Kind {
    /// What is published of this kind.
    #[must_use]
    pub fn row(self) -> &'static KindRow {
        // The table has a row for every kind, in their order; a test holds it to that.
        &KINDS[self as usize]
    }

    /// Whether the request was turned away before it was worked on. Whoever sends floods of such fills no log: they are
    /// counted there.
    #[must_use]
    pub fn is_refusal(self) -> bool {
        match self {
            Self::MalformedRequest
            | Self::MalformedBody
            | Self::HeadTooLarge
            | Self::Unauthenticated
            | Self::NotFound
            | Self::MethodNotAllowed
            | Self::NotAcceptable
            | Self::RequestTimeout
            | Self::BodyTooLarge
            | Self::UnsupportedMediaType
            | Self::Misdirected
            | Self::TooManyRequests
            | Self::Unavailable
            | Self::Timeout => true,
            Self::NothingToDraw
            | Self::Conflict
            | Self::AlreadyThere
            | Self::ReadOnly
            | Self::PreconditionFailed
            | Self::Invalid
            | Self::IdempotencyKeyReused
            | Self::AnswerTooLarge
            | Self::TooMuchWork
            | Self::PreconditionRequired
            | Self::Internal => false,
        }
    }

    /// The kind for a bare status that a library has answered with.
    #[must_use]
    pub fn of_status(status: StatusCode) -> Self {
        let known = KINDS.iter().find(|row| row.status == status).map(|row| row.kind);
        known.unwrap_or(if status.is_client_error() { Self::MalformedBody } else { Self::Internal })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_has_its_own_row_and_its_own_slug() {
        for (place, row) in KINDS.iter().enumerate() {
            assert_eq!(row.kind as usize, place, "{}", row.slug);
            assert_eq!(KINDS.iter().filter(|other| other.slug == row.slug).count(), 1, "{}", row.slug);
        }
        assert_eq!(Kind::Timeout as usize, KINDS.len() - 1, "the last kind is the last row");
    }

    #[test]
    fn a_bare_status_finds_its_kind() {
        assert_eq!(Kind::of_status(StatusCode::METHOD_NOT_ALLOWED), Kind::MethodNotAllowed);
        assert_eq!(Kind::of_status(StatusCode::UNPROCESSABLE_ENTITY), Kind::Invalid);
        assert_eq!(Kind::of_status(StatusCode::IM_A_TEAPOT), Kind::MalformedBody);
        assert_eq!(Kind::of_status(StatusCode::NOT_IMPLEMENTED), Kind::Internal);
    }
}
