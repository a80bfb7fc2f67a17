//! The range against closed forms.

use super::*;
