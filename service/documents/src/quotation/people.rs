//! Who offers and to whom: what a firm and its client put on a quotation. None of it is part of a survey or an estimate.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// What a firm prints on its papers. Whatever is left out is left blank, or out, on the paper.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct FirmDetails {
    /// Its name.
    #[schema(max_length = 200, example = "Invented Electrical")]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// Its address, line by line. The law wants one on a contract that is made away from the firm's premises.
    #[schema(max_items = 8, example = json!(["1 Example Yard", "Kestrel Bank"]))]
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub address: Vec<String>,
    /// Telephone.
    #[schema(max_length = 100, example = "01632 960 001")]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub telephone: Option<String>,
    /// Electronic mail.
    #[schema(max_length = 200, example = "office@kestrel.example")]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub email: Option<String>,
    /// Registrations with their numbers, as they are to stand on the paper: company, tax, scheme of competent persons.
    #[schema(max_items = 12, example = json!(["Company number 00000000 (invented)"]))]
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub registrations: Vec<String>,
    /// What it is insured for.
    #[schema(max_length = 500, example = "Public liability 2,000,000")]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub insurance: Option<String>,
    /// Its own terms, a paragraph each.
    #[schema(max_items = 60)]
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub terms: Vec<String>,
    /// How the client complains, where not to the address above.
    #[schema(max_length = 1000)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub complaints: Option<String>,
    /// The colour of its rules and bands, as `#rrggbb`. Text stays black.
    #[schema(pattern = "^#[0-9a-fA-F]{6}$", example = "#1f5c4d")]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub colour: Option<String>,
    /// Its mark: a PNG or JPEG file in base64, at most 200 KB.
    #[schema(max_length = 273_068, content_encoding = "base64")]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub logo: Option<String>,
}

/// For whom the work is. Kept apart from the survey, so that a survey names nobody.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ClientDetails {
    /// The client's name.
    #[schema(max_length = 200, example = "An invented client")]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// The client's address, line by line.
    #[schema(max_items = 8)]
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub address: Vec<String>,
    /// The address of the work, where it is another.
    #[schema(max_items = 8)]
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub site_address: Vec<String>,
}

/// Bytes that a logo may have.
pub const LOGO_BYTES_MAX: usize = 200 * 1024;

/// The kinds of picture that print everywhere.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LogoKind {
    /// PNG.
    Png,
    /// JPEG.
    Jpeg,
}

/// A firm's mark, read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Logo {
    /// What it is.
    pub kind: LogoKind,
    /// The file.
    pub bytes: Vec<u8>,
}

/// Why a firm's details cannot be printed: the field, and what is wanted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DetailFault {
    /// The field at fault, as a JSON pointer.
    pub pointer: &'static str,
    /// What was found and what is wanted.
    pub detail: String,
}

impl FirmDetails {
    /// The mark, if there is one.
    ///
    /// # Errors
    /// Where it is no PNG or JPEG in base64, or too large.
    pub fn logo(&self) -> Result<Option<Logo>, DetailFault> {
        use base64::Engine;
        let Some(written) = self.logo.as_deref() else { return Ok(None) };
        let fault = |detail: String| DetailFault { pointer: "/logo", detail };
        let bytes = base64::engine::general_purpose::STANDARD
            .decode(written)
            .map_err(|_| fault("this is not base64; send the bytes of a PNG or JPEG file in base64".to_owned()))?;
        if bytes.len() > LOGO_BYTES_MAX {
            return Err(fault(format!("the file has {} bytes; give at most {LOGO_BYTES_MAX}", bytes.len())));
        }
        let kind = match bytes.as_slice() {
            [0x89, b'P', b'N', b'G', b'\r', b'\n', 0x1a, b'\n', ..] => LogoKind::Png,
            [0xff, 0xd8, 0xff, ..] => LogoKind::Jpeg,
            _ => return Err(fault("this is neither a PNG nor a JPEG file".to_owned())),
        };
        Ok(Some(Logo { kind, bytes }))
    }
}
