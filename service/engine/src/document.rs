//! Reading a JSON document against its published schema: the contract is the validator. Every fault is reported
//! at once, each with a JSON Pointer, and near misses are suggested.
//!
//! A sound document is read by its type and looked through once more for its limits; only one that either refuses is
//! held against the whole schema, which is slower and says what is wrong.

mod shape;
#[cfg(test)]
mod tests;

use std::fmt::Write as _;
use std::marker::PhantomData;

use jsonschema::error::{TypeKind, ValidationErrorKind};
use jsonschema::{ValidationError, Validator};
use serde::de::DeserializeOwned;
use serde_json::{Value, json};
use utoipa::ToSchema;

use crate::faults::{Fault, FaultCode, nearest, pointer_token};
use crate::limits::FAULTS_LISTED_MAX;

use shape::SchemaShape;

/// Why a document could not be read.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Unreadable {
    /// It is not JSON at all, or nests deeper than is read (128 levels).
    #[error("not readable as JSON at line {line}, column {column}: {reason}")]
    NotJson {
        /// Line, from 1.
        line: usize,
        /// Column, from 1.
        column: usize,
        /// What the reader stumbled on.
        reason: String,
    },
    /// It is JSON, but not what the contract asks for.
    #[error("{} faults", .0.len())]
    Faults(Vec<Fault>),
}

/// The published schema of `T`, compiled once, used to read many documents.
pub struct Contract<T> {
    schema: Value,
    validator: Validator,
    limits: SchemaShape,
    document: PhantomData<fn() -> T>,
}

impl<T: ToSchema + DeserializeOwned> Contract<T> {
    /// Compiles the schema that is published for `T`.
    ///
    /// # Panics
    /// If the schema derived from the type is not a valid JSON Schema: a bug, found by the first test that runs.
    #[must_use]
    pub fn new() -> Self {
        let mut parts = Vec::new();
        T::schemas(&mut parts);
        let components: serde_json::Map<String, Value> = parts
            .into_iter()
            .chain([(T::name().into_owned(), T::schema())])
            .map(|(name, schema)| (name, serde_json::to_value(schema).unwrap_or_default()))
            .collect();
        let schema = json!({
            "$ref": format!("#/components/schemas/{}", T::name()),
            "components": { "schemas": components },
        });
        let validator = jsonschema::draft202012::new(&schema).expect("a schema derived from our own types is valid");
        let limits = SchemaShape::of(&json!({ "$ref": schema["$ref"] }), &schema["components"]["schemas"]);
        Self { schema, validator, limits, document: PhantomData }
    }

    /// Reads a document.
    ///
    /// # Errors
    /// [`Unreadable::NotJson`] where it is not JSON; otherwise every fault against the contract at once.
    pub fn read(&self, bytes: &[u8]) -> Result<T, Unreadable> {
        match serde_json::from_slice(bytes) {
            Ok(document) if self.limits.holds(bytes) => Ok(document),
            Ok(_) | Err(_) => self.read_by_schema(bytes),
        }
    }

    /// Reads a document as the published schema has it: what [`Contract::read`] materials, this materials too, and what it
    /// refuses this explains.
    fn read_by_schema(&self, bytes: &[u8]) -> Result<T, Unreadable> {
        let value: Value = serde_json::from_slice(bytes).map_err(|error| not_json(&error))?;
        let faults = self.faults(&value);
        if !faults.is_empty() {
            return Err(Unreadable::Faults(faults));
        }
        // Read again from the bytes: a map hides a key that is written twice, the typed reader does not.
        serde_json::from_slice(bytes).map_err(|error| {
            let detail = format!("{} (line {}, column {})", said(&error), error.line(), error.column());
            Unreadable::Faults(vec![Fault::new("", FaultCode::WrongForm, detail)])
        })
    }

    /// Every fault of `value` against the contract, sorted by place, at most [`FAULTS_LISTED_MAX`] of them.
    #[must_use]
    pub fn faults(&self, value: &Value) -> Vec<Fault> {
        if self.validator.is_valid(value) {
            return Vec::new();
        }
        let mut faults = Vec::new();
        for error in self.validator.iter_errors(value) {
            self.explain(&error, &mut faults);
            if faults.len() >= FAULTS_LISTED_MAX {
                break;
            }
        }
        faults.sort();
        faults.dedup();
        faults.truncate(FAULTS_LISTED_MAX);
        faults
    }

    fn explain(&self, error: &ValidationError<'_>, faults: &mut Vec<Fault>) {
        let pointer = error.instance_path().to_string();
        let found = shown(error.instance());
        match error.kind() {
            ValidationErrorKind::AdditionalProperties { unexpected } => {
                let accepted = self.accepted_fields(&pointer);
                faults.extend(unexpected.iter().map(|field| unknown_field(&pointer, field, &accepted)));
            }
            ValidationErrorKind::Required { property } => {
                let field = property.as_str().unwrap_or_default();
                faults.push(Fault::new(
                    format!("{pointer}/{}", pointer_token(field)),
                    FaultCode::MissingField,
                    format!("`{field}` is missing; add it"),
                ));
            }
            ValidationErrorKind::Enum { options } => faults.push(unknown_value(pointer, error.instance(), options)),
            // An optional value is published as 'null or …'; what it says of the second branch is what matters.
            ValidationErrorKind::OneOfNotValid { context } | ValidationErrorKind::AnyOf { context } => {
                let meant = context.iter().filter(|branch| !branch.iter().any(is_null_only)).flatten();
                let before = faults.len();
                meant.for_each(|inner| self.explain(inner, faults));
                if faults.len() == before {
                    faults.push(Fault::new(pointer, FaultCode::WrongForm, format!("{found} is not accepted here")));
                }
            }
            kind => {
                let (code, mend) = plain_mend(kind);
                let field = pointer.rsplit('/').next().unwrap_or_default().to_owned();
                faults.push(Fault::new(pointer, code, format!("`{field}` is {found}; {mend}")));
            }
        }
    }

    /// The fields that the contract knows at `pointer`.
    fn accepted_fields(&self, pointer: &str) -> Vec<&str> {
        let mut schema = self.resolved(&self.schema);
        for token in pointer.split('/').skip(1) {
            let key = token.replace("~1", "/").replace("~0", "~");
            let next = schema.get("items").or_else(|| schema.get("properties").and_then(|fields| fields.get(&key)));
            let Some(next) = next else { return Vec::new() };
            schema = self.resolved(next);
        }
        schema
            .get("properties")
            .and_then(Value::as_object)
            .map(|fields| fields.keys().map(String::as_str).collect())
            .unwrap_or_default()
    }

    fn resolved<'a>(&'a self, schema: &'a Value) -> &'a Value {
        let mut schema = schema;
        // Each turn follows one reference or takes the branch that is not null; our schemas nest a few deep.
        for _ in 0..8 {
            if let Some(name) = schema.get("$ref").and_then(Value::as_str) {
                schema = self.schema.pointer(name.trim_start_matches('#')).unwrap_or(&Value::Null);
            } else if let Some(branches) = schema.get("oneOf").and_then(Value::as_array) {
                let meant = branches.iter().find(|branch| branch.get("type") != Some(&json!("null")));
                schema = meant.unwrap_or(&Value::Null);
            } else {
                break;
            }
        }
        schema
    }
}

impl<T: ToSchema + DeserializeOwned> Default for Contract<T> {
    fn default() -> Self {
        Self::new()
    }
}

fn not_json(error: &serde_json::Error) -> Unreadable {
    let mut reason = said(error);
    if reason.contains("recursion limit") {
        "it nests deeper than 128 levels".clone_into(&mut reason);
    }
    Unreadable::NotJson { line: error.line(), column: error.column(), reason }
}

/// The reader's own words, without the place, which is given apart.
fn said(error: &serde_json::Error) -> String {
    let text = error.to_string();
    text.split(" at line ").next().unwrap_or(&text).to_owned()
}

fn is_null_only(error: &ValidationError<'_>) -> bool {
    matches!(error.kind(), ValidationErrorKind::Type { kind: TypeKind::Single(kind) }
        if *kind == jsonschema::JsonType::Null)
}

fn unknown_field(parent: &str, field: &str, accepted: &[&str]) -> Fault {
    let mut detail = format!("there is no field `{}` here", field.chars().take(64).collect::<String>());
    match nearest(field, accepted.iter().copied()) {
        Some(meant) => {
            let _ = write!(detail, "; did you mean `{meant}`?");
        }
        None if !accepted.is_empty() => {
            let _ = write!(detail, "; leave it out, or use one of {}", accepted.join(", "));
        }
        None => detail.push_str("; leave it out"),
    }
    Fault::new(format!("{parent}/{}", pointer_token(field)), FaultCode::UnknownField, detail)
}

fn unknown_value(pointer: String, found: &Value, options: &Value) -> Fault {
    let accepted: Vec<&str> = options.as_array().into_iter().flatten().filter_map(Value::as_str).collect();
    let mut detail = format!("{} is not known here", shown(found));
    match found.as_str().and_then(|written| nearest(written, accepted.iter().copied())) {
        Some(meant) => {
            let _ = write!(detail, "; did you mean `{meant}`?");
        }
        None => detail.push('.'),
    }
    let _ = write!(detail, " Accepted: {}", accepted.join(", "));
    Fault::new(pointer, FaultCode::UnknownValue, detail)
}

fn plain_mend(kind: &ValidationErrorKind) -> (FaultCode, String) {
    match kind {
        ValidationErrorKind::Minimum { limit } => (FaultCode::OutOfRange, format!("give {limit} or more")),
        ValidationErrorKind::Maximum { limit } => (FaultCode::OutOfRange, format!("give {limit} or less")),
        ValidationErrorKind::ExclusiveMinimum { limit } => (FaultCode::OutOfRange, format!("give more than {limit}")),
        ValidationErrorKind::ExclusiveMaximum { limit } => (FaultCode::OutOfRange, format!("give less than {limit}")),
        ValidationErrorKind::MinItems { limit } => (FaultCode::OutOfRange, format!("give at least {limit} entries")),
        ValidationErrorKind::MaxItems { limit } => (FaultCode::OutOfRange, format!("give at most {limit} entries")),
        ValidationErrorKind::MinLength { limit } => {
            (FaultCode::OutOfRange, format!("give at least {limit} characters"))
        }
        ValidationErrorKind::MaxLength { limit } => (FaultCode::OutOfRange, format!("give at most {limit} characters")),
        ValidationErrorKind::Pattern { pattern } => {
            (FaultCode::WrongForm, format!("give a text of the form {pattern}"))
        }
        ValidationErrorKind::Type { kind } => (FaultCode::WrongType, format!("give {}", type_words(kind))),
        other => (FaultCode::WrongForm, format!("it breaks the rule `{}` of the contract", other.keyword())),
    }
}

fn type_words(kind: &TypeKind) -> String {
    let word = |kind: &jsonschema::JsonType| match kind {
        jsonschema::JsonType::Array => "a list",
        jsonschema::JsonType::Boolean => "true or false",
        jsonschema::JsonType::Integer => "a whole number",
        jsonschema::JsonType::Null => "nothing",
        jsonschema::JsonType::Number => "a number",
        jsonschema::JsonType::Object => "an object",
        jsonschema::JsonType::String => "a text",
    };
    match kind {
        TypeKind::Single(kind) => word(kind).to_owned(),
        TypeKind::Multiple(kinds) => {
            let words: Vec<&str> =
                kinds.iter().filter(|kind| *kind != jsonschema::JsonType::Null).map(|kind| word(&kind)).collect();
            words.join(" or ")
        }
    }
}

/// A value as it is named in a message: short, whatever was sent.
fn shown(value: &Value) -> String {
    const CHARACTERS_SHOWN: usize = 60;
    match value {
        Value::Null => "null".to_owned(),
        Value::Array(_) => "a list".to_owned(),
        Value::Object(_) => "an object".to_owned(),
        plain => {
            let text = plain.to_string();
            if text.chars().count() <= CHARACTERS_SHOWN {
                text
            } else {
                format!("{}…", text.chars().take(CHARACTERS_SHOWN).collect::<String>())
            }
        }
    }
}
