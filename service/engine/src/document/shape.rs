//! The limits of a published schema, compiled to be held against a document while it streams by.
//!
//! What a type cannot say (ranges, lengths, numbers of entries, patterns) is all that is looked at here: names, types
//! and closed lists are the typed reader's part. Nothing is built and nothing is kept, so that ten thousand circuits are
//! looked through in milliseconds, where a general validator over a tree takes a tenth of a second.

use std::fmt;

use jsonschema::Validator;
use serde::de::{DeserializeSeed, Deserializer, Error, IgnoredAny, MapAccess, SeqAccess, Visitor};
use serde_json::{Map, Value, json};

/// References followed and branches taken; our schemas nest a few deep.
const DEPTH_MAX: usize = 32;
/// Keywords without a limit, and those that the typed reader answers for.
const WITHOUT_LIMITS: [&str; 12] = [
    "type",
    "description",
    "title",
    "example",
    "examples",
    "default",
    "deprecated",
    "format",
    "enum",
    "required",
    "properties",
    "items",
];

/// What a place in a document is held to.
pub(super) enum SchemaShape {
    /// Nothing that the typed reader does not see.
    Anything,
    /// A number within limits.
    Number(NumberRange),
    /// A text of a length.
    Text(Count),
    /// A list of a length, and each of its entries.
    List(Count, Box<SchemaShape>),
    /// An object, and those of its fields that are held to something. None may be: the typed reader takes a list of
    /// values for an object, which the schema does not.
    Fields(Vec<(String, SchemaShape)>),
    /// `null`, or what is meant.
    Optional(Box<SchemaShape>),
    /// Whatever else a schema can say: the general validator judges this place alone.
    General(Box<Validator>),
}

/// The limits of a number.
#[derive(Default)]
pub(super) struct NumberRange {
    least: Option<f64>,
    most: Option<f64>,
    above: Option<f64>,
    below: Option<f64>,
}

/// How many there may be.
pub(super) struct Count {
    least: u64,
    most: u64,
}

impl SchemaShape {
    /// Compiles `schema`, whose references are into `components`.
    pub(super) fn of(schema: &Value, components: &Value) -> Self {
        Self::at(schema, components, DEPTH_MAX).unwrap_or_else(|| Self::general(schema, components))
    }

    /// None where a keyword is met that is not known here.
    fn at(schema: &Value, components: &Value, depth: usize) -> Option<Self> {
        let depth = depth.checked_sub(1)?;
        let keywords = schema.as_object()?;
        if let Some(name) = keywords.get("$ref").and_then(Value::as_str) {
            let plain = keywords.keys().all(|key| key == "$ref" || WITHOUT_LIMITS.contains(&key.as_str()));
            let meant = components.get(name.strip_prefix("#/components/schemas/")?)?;
            return if plain { Self::at(meant, components, depth) } else { None };
        }
        if let Some(branches) = keywords.get("oneOf").or_else(|| keywords.get("anyOf")).and_then(Value::as_array) {
            return Self::optional(keywords, branches, components, depth);
        }
        let (kind, nullable) = kind(keywords)?;
        let own = match kind {
            "number" | "integer" => Self::number(keywords),
            "string" => Self::text(keywords),
            "array" => Self::list(keywords, components, depth),
            "object" => Self::fields(keywords, components, depth),
            "boolean" | "null" => only(keywords, &[]).then_some(Self::Anything),
            _ => None,
        };
        let own = own.unwrap_or_else(|| Self::general(schema, components));
        Some(match own {
            Self::Anything => Self::Anything,
            held if nullable => Self::Optional(Box::new(held)),
            held => held,
        })
    }

    /// `null` or one other branch; anything else is for the general validator.
    fn optional(keywords: &Map<String, Value>, branches: &[Value], components: &Value, depth: usize) -> Option<Self> {
        let mut meant = branches.iter().filter(|branch| branch.get("type") != Some(&json!("null")));
        let (Some(branch), None) = (meant.next(), meant.next()) else { return None };
        if branches.len() != 2 || !only(keywords, &["oneOf", "anyOf"]) {
            return None;
        }
        Some(match Self::at(branch, components, depth).unwrap_or_else(|| Self::general(branch, components)) {
            Self::Anything => Self::Anything,
            held => Self::Optional(Box::new(held)),
        })
    }

    fn number(keywords: &Map<String, Value>) -> Option<Self> {
        let limit = |key: &str| keywords.get(key).and_then(Value::as_f64);
        if !only(keywords, &["minimum", "maximum", "exclusiveMinimum", "exclusiveMaximum"]) {
            return None;
        }
        let range = NumberRange {
            least: limit("minimum"),
            most: limit("maximum"),
            above: limit("exclusiveMinimum"),
            below: limit("exclusiveMaximum"),
        };
        let bounded = [range.least, range.most, range.above, range.below].iter().any(Option::is_some);
        Some(if bounded { Self::Number(range) } else { Self::Anything })
    }

    fn text(keywords: &Map<String, Value>) -> Option<Self> {
        if !only(keywords, &["minLength", "maxLength"]) {
            return None;
        }
        Some(Count::of(keywords, "minLength", "maxLength").map_or(Self::Anything, Self::Text))
    }

    fn list(keywords: &Map<String, Value>, components: &Value, depth: usize) -> Option<Self> {
        if !only(keywords, &["minItems", "maxItems"]) {
            return None;
        }
        let items = keywords.get("items")?;
        let entry = Self::at(items, components, depth).unwrap_or_else(|| Self::general(items, components));
        match (Count::of(keywords, "minItems", "maxItems"), entry) {
            (None, Self::Anything) => Some(Self::Anything),
            (count, entry) => Some(Self::List(count.unwrap_or(Count { least: 0, most: u64::MAX }), Box::new(entry))),
        }
    }

    fn fields(keywords: &Map<String, Value>, components: &Value, depth: usize) -> Option<Self> {
        let closed = keywords.get("additionalProperties") == Some(&json!(false));
        if !closed || !only(keywords, &["additionalProperties"]) {
            return None;
        }
        let known = keywords.get("properties").and_then(Value::as_object)?;
        let held: Vec<(String, Self)> = known
            .iter()
            .map(|(field, schema)| {
                let shape = Self::at(schema, components, depth).unwrap_or_else(|| Self::general(schema, components));
                (field.clone(), shape)
            })
            .filter(|(_, shape)| !matches!(shape, Self::Anything))
            .collect();
        Some(Self::Fields(held))
    }

    fn general(schema: &Value, components: &Value) -> Self {
        let alone = json!({ "allOf": [schema], "components": { "schemas": components } });
        let validator = jsonschema::draft202012::new(&alone).expect("a part of a schema that was valid as a whole");
        Self::General(Box::new(validator))
    }
}

/// The one type that is named, and whether `null` is named beside it.
fn kind(keywords: &Map<String, Value>) -> Option<(&str, bool)> {
    match keywords.get("type")? {
        Value::String(kind) => Some((kind, false)),
        Value::Array(kinds) => {
            let mut meant = kinds.iter().filter_map(Value::as_str).filter(|kind| *kind != "null");
            let kind = meant.next()?;
            if meant.next().is_some() { None } else { Some((kind, kinds.iter().any(|kind| kind == "null"))) }
        }
        _ => None,
    }
}

/// Whether there are no keywords but those that are known.
fn only(keywords: &Map<String, Value>, known: &[&str]) -> bool {
    keywords.keys().all(|key| known.contains(&key.as_str()) || WITHOUT_LIMITS.contains(&key.as_str()))
}

impl NumberRange {
    fn holds(&self, value: f64) -> bool {
        self.least.is_none_or(|least| value >= least)
            && self.most.is_none_or(|most| value <= most)
            && self.above.is_none_or(|above| value > above)
            && self.below.is_none_or(|below| value < below)
    }
}

impl Count {
    fn of(keywords: &Map<String, Value>, least: &str, most: &str) -> Option<Self> {
        let limit = |key: &str| keywords.get(key).and_then(Value::as_u64);
        match (limit(least), limit(most)) {
            (None, None) => None,
            (least, most) => Some(Self { least: least.unwrap_or(0), most: most.unwrap_or(u64::MAX) }),
        }
    }

    const fn holds(&self, count: u64) -> bool {
        self.least <= count && count <= self.most
    }
}

/// Why the walk through a document stopped. It is never shown: the general validator says what is wrong.
const OUTSIDE: &str = "outside the limits";

impl SchemaShape {
    /// Whether a document keeps to the limits. One that the typed reader does not take may be called either.
    pub(super) fn holds(&self, bytes: &[u8]) -> bool {
        let mut document = serde_json::Deserializer::from_slice(bytes);
        self.deserialize(&mut document).is_ok()
    }
}

impl<'de> DeserializeSeed<'de> for &SchemaShape {
    type Value = ();

    fn deserialize<D: Deserializer<'de>>(self, document: D) -> Result<(), D::Error> {
        match self {
            SchemaShape::Anything => document.deserialize_ignored_any(IgnoredAny).map(|_| ()),
            SchemaShape::General(validator) => {
                let value = <Value as serde::Deserialize>::deserialize(document)?;
                if validator.is_valid(&value) { Ok(()) } else { Err(D::Error::custom(OUTSIDE)) }
            }
            SchemaShape::Optional(meant) => document.deserialize_option(OrNull(meant)),
            SchemaShape::Number(_) | SchemaShape::Text(_) | SchemaShape::List(..) | SchemaShape::Fields(_) => {
                document.deserialize_any(Held(self))
            }
        }
    }
}

struct OrNull<'a>(&'a SchemaShape);

impl<'de> Visitor<'de> for OrNull<'_> {
    type Value = ();

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("what the contract asks for, or null")
    }

    fn visit_none<E: Error>(self) -> Result<(), E> {
        Ok(())
    }

    fn visit_some<D: Deserializer<'de>>(self, document: D) -> Result<(), D::Error> {
        self.0.deserialize(document)
    }
}

struct Held<'a>(&'a SchemaShape);

impl Held<'_> {
    fn number<E: Error>(&self, value: f64) -> Result<(), E> {
        match self.0 {
            SchemaShape::Number(range) if range.holds(value) => Ok(()),
            _ => Err(E::custom(OUTSIDE)),
        }
    }
}

impl<'de> Visitor<'de> for Held<'_> {
    type Value = ();

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("what the contract asks for")
    }

    fn visit_f64<E: Error>(self, value: f64) -> Result<(), E> {
        self.number(value)
    }

    #[expect(clippy::cast_precision_loss, reason = "limits are far below the whole numbers that a double holds")]
    fn visit_u64<E: Error>(self, value: u64) -> Result<(), E> {
        self.number(value as f64)
    }

    #[expect(clippy::cast_precision_loss, reason = "limits are far below the whole numbers that a double holds")]
    fn visit_i64<E: Error>(self, value: i64) -> Result<(), E> {
        self.number(value as f64)
    }

    fn visit_str<E: Error>(self, value: &str) -> Result<(), E> {
        match self.0 {
            SchemaShape::Text(count) if count.holds(value.chars().count() as u64) => Ok(()),
            _ => Err(E::custom(OUTSIDE)),
        }
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut entries: A) -> Result<(), A::Error> {
        let SchemaShape::List(count, entry) = self.0 else { return Err(A::Error::custom(OUTSIDE)) };
        let mut found = 0_u64;
        while entries.next_element_seed(&**entry)?.is_some() {
            found += 1;
        }
        if count.holds(found) { Ok(()) } else { Err(A::Error::custom(OUTSIDE)) }
    }

    fn visit_map<A: MapAccess<'de>>(self, mut fields: A) -> Result<(), A::Error> {
        let SchemaShape::Fields(held) = self.0 else { return Err(A::Error::custom(OUTSIDE)) };
        while let Some(shape) = fields.next_key_seed(Named(held))? {
            match shape {
                Some(shape) => fields.next_value_seed(shape)?,
                None => {
                    fields.next_value::<IgnoredAny>()?;
                }
            }
        }
        Ok(())
    }
}

/// Finds what a field is held to.
struct Named<'a>(&'a [(String, SchemaShape)]);

impl<'de, 'a> DeserializeSeed<'de> for Named<'a> {
    type Value = Option<&'a SchemaShape>;

    fn deserialize<D: Deserializer<'de>>(self, name: D) -> Result<Self::Value, D::Error> {
        name.deserialize_identifier(self)
    }
}

impl<'a> Visitor<'_> for Named<'a> {
    type Value = Option<&'a SchemaShape>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a field's name")
    }

    fn visit_str<E: Error>(self, name: &str) -> Result<Self::Value, E> {
        Ok(self.0.iter().find(|(known, _)| known == name).map(|(_, shape)| shape))
    }
}
